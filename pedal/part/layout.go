package part

import (
	"slices"
	"sort"

	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// play lays the written measures out in playing order.
func (b *builder) play(c *clock) {
	moments, strikes := b.played()
	p := b.passage
	p.Moments = make([]pedal.Moment, 0, moments)
	p.Measures = make([]pedal.Measure, 0, len(b.score.Order))
	slab := make([]pedal.Strike, 0, strikes)
	broken := b.broken()
	for step, k := range b.score.Order {
		begins, ends := c.starts[step], c.starts[step].Add(b.score.Measures[k].Length)
		p.Measures = append(p.Measures, pedal.Measure{
			Written: k, First: len(p.Moments), Sign: broken[k],
			Onset: c.ticks(begins), At: c.seconds(begins),
			End: c.ticks(ends), Until: c.seconds(ends),
		})
		for _, w := range b.written[k].moments {
			at := c.starts[step].Add(w.offset)
			m := pedal.Moment{
				Onset: c.ticks(at), At: c.seconds(at),
				Beat: w.beat, Grace: w.grace.part != nil, Measure: step,
			}
			for _, s := range w.notes {
				end := at.Add(s.length)
				slab = append(slab, pedal.Strike{Note: s.note, End: c.ticks(end), Until: c.seconds(end)})
			}
			m.Strikes, slab = slab[:len(slab):len(slab)], slab[len(slab):]
			p.Moments = append(p.Moments, m)
		}
	}
}

// played counts the moments in playing order, and the notes struck at them.
func (b *builder) played() (moments, strikes int) {
	for _, k := range b.score.Order {
		moments += len(b.written[k].moments)
		for _, w := range b.written[k].moments {
			strikes += len(w.notes)
		}
	}
	return moments, strikes
}

// broken tells for each written measure, and the end, whether something else than
// the measure before leads to it, or the measure before leads elsewhere.
func (b *builder) broken() []bool {
	broken := make([]bool, len(b.score.Measures)+1)
	order := b.score.Order
	for i := range order {
		if i > 0 && order[i] != order[i-1]+1 {
			broken[order[i]] = true
			broken[order[i-1]+1] = true
		}
	}
	broken[order[len(order)-1]+1] = true // the music may end before it
	return broken
}

// countUntimed counts the moments that are played at a speed that was assumed.
func (b *builder) countUntimed(c *clock) {
	all := b.passage.Moments
	b.music.Untimed = len(all)
	if !c.never {
		from := c.ticks(c.given)
		b.music.Untimed = sort.Search(len(all), func(i int) bool { return all[i].Onset >= from })
	}
}

// placeDampers finds the moments at which a piano's damper pedal is marked, or
// the last ones before.
func (b *builder) placeDampers() {
	byMeasure := map[int][]musicxml.Frac{}
	for _, p := range b.player.Parts {
		for _, d := range p.Dampers {
			byMeasure[d.Measure] = append(byMeasure[d.Measure], d.Onset.Sub(b.score.Measures[d.Measure].Start))
		}
	}
	for _, m := range b.passage.Measures {
		for _, offset := range byMeasure[m.Written] {
			at := m.First
			for j, w := range b.written[m.Written].moments {
				if !offset.Less(w.offset) {
					at = m.First + j
				}
			}
			b.music.Dampers = append(b.music.Dampers, at)
		}
	}
	slices.Sort(b.music.Dampers)
}
