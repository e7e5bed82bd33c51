package part_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/part"
)

// Marks by anybody are followed in playing order: what stands in a repeated
// measure is read in each pass, and what stands after the last note of a measure
// before what is played next.
func TestFollow(t *testing.T) {
	for _, test := range []struct {
		name, reason string
		measures     []string
		want         string // for each moment with notes, the pedals that are not natural, each with the measure of its mark
	}{
		{"setting and change", "each holds until the next",
			[]string{"{reh=@Db_C_B_|_E_F#_G_A} D5:16", "{reh=@D♮} D5:16"}, "D♭1 F♯1; F♯1"},
		{"repeat", "the second pass comes with what the first has left, until the mark is met again",
			[]string{"{fwd} D5:8 {reh=@F♯} F5:8", "{reh=@B♭} B5:16 {back}"}, "; F♯1; B♭2 F♯1; B♭2 F♯1; B♭2 F♯1; B♭2 F♯1"},
		{"after the last note", "it is read before what is played next, here by way of the jump",
			[]string{"{fwd} D5:16", "B5:16 {reh=@B♭} {back}", "G5:16"}, "; ; B♭2; B♭2; B♭2"},
		{"not played", "a mark in an ending that is never played is never read",
			[]string{"D5:16", "{2} {reh=@B♭} B5:16 {/2}"}, "; B♭2"},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := partOf(t, part.Options{}, test.measures...)
			marks := p.Others()
			var list []string
			for i, now := range part.Follow(p.Places, pedal.Setting{}, marks) {
				if len(p.Passage.Moments[i].Strikes) == 0 {
					continue
				}
				var pedals []string
				for l := range pedal.Letter(pedal.Letters) {
					if now.Setting[l] != pedal.Natural {
						pedals = append(pedals, fmt.Sprintf("%v%s%d", l, now.Setting[l].Sign(), marks[now.Last[l].Mark].Measure+1))
					}
				}
				list = append(list, strings.Join(pedals, " "))
			}
			if got := strings.Join(list, "; "); got != test.want {
				t.Errorf("%q, want %q (%s)", got, test.want, test.reason)
			}
		})
	}
}

// Marks that make no sense are passed over.
func TestFollowOddMarks(t *testing.T) {
	p := partOf(t, part.Options{}, "D5:16")
	marks := []part.Mark{
		{Place: part.Place{Measure: 7}, Pedals: map[pedal.Letter]pedal.Position{pedal.D: pedal.Flat}},
		{Place: part.Place{Measure: -1, At: 3}, Pedals: map[pedal.Letter]pedal.Position{pedal.D: pedal.Flat}},
		{Pedals: map[pedal.Letter]pedal.Position{9: pedal.Sharp}},
		{},
	}
	for i, now := range part.Follow(p.Places, pedal.Setting{}, marks) {
		if now.Moved > 0 || now.Last != [pedal.Letters]part.Set{} {
			t.Errorf("moment %d: %+v", i, now)
		}
	}
	if marks[2].Setting() != (pedal.Setting{}) {
		t.Error("a pedal that there is not is in the setting")
	}
}

func TestPlaces(t *testing.T) {
	p := partOf(t, part.Options{}, "{fwd} C5:16", "{1} D5:8 E5:8 {/1}", "{2} F5:16 {/2}")
	places := p.Places
	var got []string
	for i := range p.Passage.Moments {
		at := places.Of(i)
		if !slices.Contains(places.Playings(at), i) {
			t.Errorf("moment %d is at %v, which is played at %v", i, at, places.Playings(at))
		}
		if at.At == 0 {
			got = append(got, fmt.Sprintf("%d/%d@%d", at.Measure, places.Pass(i), places.Measure(i)))
		}
	}
	if want := []string{"0/1@0", "1/1@1", "0/2@2", "2/1@3"}; !slices.Equal(got, want) {
		t.Errorf("measures/passes %v, want %v", got, want)
	}
	last := len(p.Passage.Moments) - 1
	for _, test := range []struct {
		got, want any
		why       string
	}{
		{places.Of(last + 1), places.Of(last), "past the end is the end"},
		{places.Of(-3), part.Place{}, "before the start is the start"},
		{places.Pass(last + 9), 1, "past the end is the end"},
		{len(places.Playings(part.Place{Measure: 5})), 0, "no such measure"},
		{len(places.Playings(part.Place{Measure: 0, At: 99})), 0, "no such moment"},
		{len(places.Playings(part.Place{Measure: -1})), 0, "no such measure"},
		{p.Offset(part.Place{Measure: 0, At: 99}).String(), "0", "no such moment"},
		{p.Note(-1) == nil && p.Note(99) == nil, true, "no such note"},
	} {
		if test.got != test.want {
			t.Errorf("%v, want %v (%s)", test.got, test.want, test.why)
		}
	}
}

// What a caller can get wrong is an error.
func TestNewErrors(t *testing.T) {
	p, other := partOf(t, part.Options{}, "C5:16"), partOf(t, part.Options{}, "C5:16")
	for _, test := range []struct {
		why string
		err func() error
	}{
		{"no score", func() error { _, err := part.New(nil, p.Player, part.Options{}); return err }},
		{"a player of another score", func() error { _, err := part.New(p.Score, other.Player, part.Options{}); return err }},
		{"no player", func() error {
			var none = p.Player
			none.Parts = nil
			_, err := part.New(p.Score, none, part.Options{})
			return err
		}},
		{"options that make no plan", func() error {
			_, err := p.Plan(t.Context(), part.Wishes{Options: pedal.Options{Mode: 99}})
			return err
		}},
	} {
		if test.err() == nil {
			t.Errorf("%s: no error", test.why)
		}
	}
}

// Planning leaves a part as it is, also where marks by others are obeyed.
func TestPlanChangesNothing(t *testing.T) {
	p := partOf(t, part.Options{}, "{reh=@F♯} C5:16", "F5:16")
	notes, strikes := len(p.Passage.Notes), len(p.Passage.Moments[0].Strikes)
	done, err := p.Plan(t.Context(), part.Wishes{Obey: true, Options: written()})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Passage.Notes) != notes || len(p.Passage.Moments[0].Strikes) != strikes {
		t.Errorf("%d notes, %d at first: want %d and %d", len(p.Passage.Notes), len(p.Passage.Moments[0].Strikes), notes, strikes)
	}
	if len(done.Part.Passage.Notes) != notes+1 || done.Plan.Cost.Changes != 1 {
		t.Errorf("%d notes and %d changes in what was planned: want one note for the mark, and F set natural after it", len(done.Part.Passage.Notes), done.Plan.Cost.Changes)
	}
}
