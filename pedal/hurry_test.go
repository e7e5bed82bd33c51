package pedal

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// What is said of rushed changes, against trying all orders in which a foot could make
// its changes without a pause, and against the plans of music that is slower, or has
// fewer notes.
func TestHurry(t *testing.T) {
	seeds := uint64(1500)
	if testing.Short() {
		seeds = 300
	}
	var cannot, can, slower, freed, without int
	for seed := range seeds {
		r := rand.New(rand.NewPCG(seed, 8))
		p, o := crowdedPassage(r)
		plan := mustSolve(t, p, o)
		h := NewHurry(p, o, plan)
		made := slices.DeleteFunc(slices.Clone(plan.Moves), func(mv Move) bool { return mv.Rushed })
		order := make([]int, len(plan.Moves))
		for i := range order {
			order[i] = i
		}
		slices.SortFunc(order, func(a, b int) int {
			return cmp.Or(plan.Moves[a].Needed-plan.Moves[b].Needed, int(plan.Moves[a].Letter)-int(plan.Moves[b].Letter))
		})
		for _, i := range order {
			mv := plan.Moves[i]
			if !mv.Rushed {
				continue
			}
			all := append(slices.Clone(made), mv)
			want := mostMoves(all, o.Times().Move) < len(all)
			if got := h.Cannot(i); got != want {
				t.Fatalf("seed %d, %+v: cannot be made: %v, want %v\n%s", seed, mv, got, want, describe(p, o))
			}
			if !want {
				can++
				made = all
				continue
			}
			cannot++
			if r.IntN(4) > 0 {
				continue
			}
			// Twice as slow.
			half := *p
			half.Moments = slices.Clone(p.Moments)
			for k := range half.Moments {
				m := &half.Moments[k]
				m.At, m.Strikes = 2*m.At, slices.Clone(m.Strikes)
				for s := range m.Strikes {
					m.Strikes[s].Until *= 2
				}
			}
			slow := mustSolve(t, &half, o).Moves
			there := slices.DeleteFunc(slices.Clone(slow), func(mv Move) bool {
				return !slices.ContainsFunc(accepted(h, plan), func(o Move) bool { return o.Needed == mv.Needed && o.Letter == mv.Letter })
			})
			there = append(there, slow[slices.IndexFunc(slow, func(o Move) bool { return o.Needed == mv.Needed && o.Letter == mv.Letter })])
			want = mostMoves(there, o.Times().Move) == len(there)
			if got := h.CanAt(i, 1, 2); got != want {
				t.Fatalf("seed %d, %+v: can be made at half the tempo: %v, want %v\n%s", seed, mv, got, want, describe(p, o))
			}
			if want {
				slower++
			}
			// Without a strike, or without another change.
			at := Dropped{r.IntN(len(p.Moments)), 0}
			if strikes := p.Moments[at.Moment].Strikes; len(strikes) > 0 {
				at.Strike = r.IntN(len(strikes))
				less := *p
				less.Moments = slices.Clone(p.Moments)
				m := &less.Moments[at.Moment]
				m.Strikes = slices.Delete(slices.Clone(m.Strikes), at.Strike, at.Strike+1)
				fewer := mustSolve(t, &less, o).Moves
				want := len(fewer)-mostMoves(fewer, o.Times().Move) < len(plan.Moves)-mostMoves(plan.Moves, o.Times().Move)
				if got := h.Frees(i, []Dropped{at}, String{}); got != want {
					t.Fatalf("seed %d, %+v: freed without %v: %v, want %v\n%s", seed, mv, at, got, want, describe(p, o))
				}
				if want {
					freed++
				}
			}
			other := r.IntN(len(plan.Moves))
			left := slices.DeleteFunc(append(accepted(h, plan), mv), func(o Move) bool { return o == plan.Moves[other] })
			want = mostMoves(left, o.Times().Move) == len(left)
			if got := h.CanWithout(i, other); got != want {
				t.Fatalf("seed %d, %+v: can be made without %+v: %v, want %v\n%s", seed, mv, plan.Moves[other], got, want, describe(p, o))
			}
			if want {
				without++
			}
		}
	}
	t.Logf("%d cannot be made, %d can; of those looked at %d at half the tempo, %d without a note, %d without another change", cannot, can, slower, freed, without)
	if min(cannot, can, slower, freed, without) < 10 {
		t.Error("too few for a test")
	}
}

// accepted are the moves of a plan that a foot can make.
func accepted(h *Hurry, plan *Plan) (list []Move) {
	for i, mv := range plan.Moves {
		if !h.Cannot(i) {
			list = append(list, mv)
		}
	}
	return list
}

// mostMoves is how many moves the feet can start in their windows, if each foot starts
// one after another so much time apart: it tries every order.
func mostMoves(moves []Move, apart time.Duration) (n int) {
	for f := range Foot(2) {
		mine := slices.DeleteFunc(slices.Clone(moves), func(mv Move) bool { return mv.Letter.Foot() != f })
		var most func(left []Move, free time.Duration) int
		most = func(left []Move, free time.Duration) (n int) {
			soonest := forever // in a best order nothing else would fit in before the next
			for _, mv := range left {
				if start := max(free, mv.WindowStart); start <= mv.WindowEnd {
					soonest = min(soonest, start+apart)
				}
			}
			for i, mv := range left {
				if start := max(free, mv.WindowStart); start <= mv.WindowEnd && (start < soonest || apart == 0) {
					n = max(n, 1+most(slices.Delete(slices.Clone(left), i, i+1), start+apart))
				}
			}
			return n
		}
		if apart == 0 {
			for _, mv := range mine {
				if mv.WindowStart <= mv.WindowEnd {
					n++
				}
			}
			continue
		}
		n += most(mine, longAgo)
	}
	return n
}
