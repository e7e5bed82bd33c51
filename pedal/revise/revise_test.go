package revise_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// piece is two measures, of which the second is played twice: a chord of five on two
// staves, C5 held over from it in staff 1, then repeated notes.
//
//	0 C3 (2)  1 G3 (2)  2 E4 (1)  3 C5 (1, two beats)   beat
//	4 A4 (1)                                            off the beat
//	5 B4 6 B4 7 B4 8 B4 (1)                             second measure, 5 and 7 on the beat
func piece(t *testing.T) *finding.Music {
	t.Helper()
	b := pedal.Builder{Tick: 250 * time.Millisecond, Beat: 2}
	b.Strike(2, "C3", "G3", "E4")
	b.Strike(4, "C5")
	b.Wait(1)
	b.Strike(1, "A4")
	b.Wait(3)
	b.Bar()
	for range 4 {
		b.Strike(1, "B4")
		b.Wait(1)
	}
	b.Again(1, 1)
	p, err := b.Passage()
	if err != nil {
		t.Fatal(err)
	}
	for i, staff := range []int{2, 2, 1, 1, 1, 1, 1, 1, 1} {
		p.Notes[i].Staff = staff
	}
	return &finding.Music{Passage: p}
}

// sounding writes what is struck, moment by moment: "C3:2+G3:2 A4:1", graces in
// brackets; lengths in ticks.
func sounding(p *pedal.Passage) string {
	var list []string
	for _, m := range p.Moments {
		var notes []string
		for _, s := range m.Strikes {
			notes = append(notes, p.Notes[s.Note].Pitch.String()+":"+string('0'+rune(s.End-m.Onset)))
		}
		if len(notes) == 0 {
			continue
		}
		text := strings.Join(notes, "+")
		if m.Grace {
			text = "(" + text + ")"
		}
		list = append(list, text)
	}
	return strings.Join(list, " ")
}

func TestApply(t *testing.T) {
	const twice = " B4:1 B4:1 B4:1 B4:1 B4:1 B4:1 B4:1 B4:1"
	for _, tt := range []struct {
		why  string
		ops  []revise.Op
		want string
		text string
	}{
		{"nothing", nil, "C3:2+G3:2+E4:2+C5:4 A4:1" + twice, ""},
		{"a note less", []revise.Op{{Note: 1}}, "C3:2+E4:2+C5:4 A4:1" + twice, "Leave out G3."},
		{"in every pass", []revise.Op{{Note: 6}, {Note: 8}}, "C3:2+G3:2+E4:2+C5:4 A4:1 B4:1 B4:1 B4:1 B4:1", "Leave out B4."},
		{"an octave up and one down", []revise.Op{{Do: revise.Octave, Note: 0, Octaves: 1}, {Do: revise.Octave, Note: 4, Octaves: -1}},
			"C4:2+G3:2+E4:2+C5:4 A3:1" + twice, "Play C3 as C4 and A4 as A3."},
		{"shorter", []revise.Op{{Do: revise.Shorten, Note: 3, Ticks: 1}}, "C3:2+G3:2+E4:2+C5:1 A4:1" + twice, "End C5 sooner."},
		{"the bass before the chord", []revise.Op{{Do: revise.Grace, Note: 0}}, "(C3:0) G3:2+E4:2+C5:4 A4:1" + twice, "Play C3 as a grace note before the rest."},
		{"before each playing", []revise.Op{{Do: revise.Grace, Note: 5}},
			"C3:2+G3:2+E4:2+C5:4 A4:1 (B4:0) B4:1 B4:1 B4:1 (B4:0) B4:1 B4:1 B4:1", "Play B4 as a grace note before the rest."},
		{"two strings in turn", []revise.Op{{Do: revise.OtherString, Note: 5, Letter: pedal.B}, {Do: revise.OtherString, Note: 6, Letter: pedal.C}},
			"C3:2+G3:2+E4:2+C5:4 A4:1" + twice, "Play B4 on the B and C strings in turn."},
		{"another string", []revise.Op{{Do: revise.OtherString, Note: 5, Letter: pedal.C}, {Do: revise.OtherString, Note: 2, Letter: pedal.F}},
			"C3:2+G3:2+E4:2+C5:4 A4:1" + twice, "Play B4 on the C string and play E4 on the F string."},
		{"several acts", []revise.Op{{Note: 1}, {Note: 2}, {Do: revise.Roll, Note: 0}}, "C3:2+C5:4 A4:1" + twice, "Leave out G3 and E4, and roll the chord."},
		{"two acts", []revise.Op{{Note: 1}, {Do: revise.OtherHand, Note: 2, Staff: 2}}, "C3:2+E4:2+C5:4 A4:1" + twice, "Leave out G3 and take E4 with the left hand."},
	} {
		m := piece(t)
		before := piece(t)
		r, err := revise.Apply(m, tt.ops)
		if err != nil {
			t.Errorf("%s: %v", tt.why, err)
			continue
		}
		if d := cmp.Diff(before, m); d != "" {
			t.Errorf("%s: the original is changed: %s", tt.why, d)
		}
		if got := sounding(r.Music.Passage); got != tt.want {
			t.Errorf("%s: now %s, want %s", tt.why, got, tt.want)
		}
		if got := revise.Sentence(m, tt.ops); got != tt.text {
			t.Errorf("%s: told as %q, want %q", tt.why, got, tt.text)
		}
		for i, k := range r.Moments {
			if old, now := m.Passage.Moments[i], r.Music.Passage.Moments[k]; old.Onset != now.Onset || now.Grace || old.Measure != now.Measure {
				t.Errorf("%s: moment %d is said to be %d now", tt.why, i, k)
			}
		}
		// What comes of it can be planned: measures, moments and notes agree.
		plan, err := pedal.Solve(t.Context(), r.Music.Passage, pedal.Options{})
		if err == nil {
			_, err = finding.All(r.Music, plan, finding.Options{})
		}
		if err != nil {
			t.Errorf("%s: %v", tt.why, err)
		}
	}
}

// A length is shortened in seconds too, also between moments and at another tempo.
func TestShortenInSeconds(t *testing.T) {
	m := piece(t)
	r, err := revise.Apply(m, []revise.Op{{Do: revise.Shorten, Note: 3, Ticks: 3}})
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Music.Passage.Moments[0].Strikes[3].Until; got != 750*time.Millisecond {
		t.Errorf("three ticks of a quarter second end at %v", got)
	}
}

// Other strings, hands and rolls are said of notes, and hold for what they ask for.
func TestApplyToNotes(t *testing.T) {
	m := piece(t)
	p := m.Passage
	p.Notes = append(p.Notes, pedal.Note{Pitch: pedal.Pitch{Letter: pedal.D, Octave: 5}, Staff: 1, Implied: true})
	upper := len(p.Notes) - 1
	p.Moments[0].Strikes = append(p.Moments[0].Strikes, pedal.Strike{Note: upper, End: 4, Until: time.Second})
	m.Signs = make([]finding.Signs, len(p.Notes))
	m.Signs[upper] = finding.Signs{Ornament: true, Of: 3 + 1}
	m.LeftOut = []finding.LeftOut{{Note: 3}}

	r, err := revise.Apply(m, []revise.Op{{Do: revise.OtherString, Note: 5, Letter: pedal.C}, {Do: revise.OtherHand, Note: 3, Staff: 2}, {Do: revise.Roll, Note: 2}})
	if err != nil {
		t.Fatal(err)
	}
	now := r.Music
	if now.Passage.Notes[5].On != pedal.SetOf(pedal.C) || now.Passage.Notes[3].Staff != 2 || now.Passage.Notes[upper].Staff != 2 {
		t.Error("the string or the hand is not what was asked for")
	}
	for i, want := range []finding.Roll{finding.Rolled, finding.Rolled, finding.Rolled, finding.Rolled, finding.RollOpen} {
		if got := now.Signs[i].Roll; got != want {
			t.Errorf("note %d is rolled as %d, want %d", i, got, want)
		}
	}
	r, err = revise.Apply(m, []revise.Op{{Note: 3}})
	if err != nil {
		t.Fatal(err)
	}
	if got := sounding(r.Music.Passage); strings.Contains(got, "5") || len(r.Music.LeftOut) > 0 {
		t.Errorf("the ornament of a note that is left out stays: %s", got)
	}
}

func TestApplyRefuses(t *testing.T) {
	for _, tt := range []struct {
		why string
		ops []revise.Op
	}{
		{"no such note", []revise.Op{{Note: 99}}},
		{"no octave", []revise.Op{{Do: revise.Octave, Note: 0}}},
		{"no such hand", []revise.Op{{Do: revise.OtherHand, Note: 0}}},
		{"A has one string", []revise.Op{{Do: revise.OtherString, Note: 4, Letter: pedal.B}}},
		{"B is no D", []revise.Op{{Do: revise.OtherString, Note: 5, Letter: pedal.D}}},
		{"as long as before", []revise.Op{{Do: revise.Shorten, Note: 0, Ticks: 2}}},
		{"no length", []revise.Op{{Do: revise.Shorten, Note: 0}}},
		{"no such act", []revise.Op{{Do: 99, Note: 0}}},
	} {
		if _, err := revise.Apply(piece(t), tt.ops); err == nil {
			t.Errorf("%s: no error", tt.why)
		}
	}
}

func TestRepeatedNotes(t *testing.T) {
	notes := []int{5, 6, 7, 8}
	if got, want := revise.EverySecond(notes), []revise.Op{{Note: 6}, {Note: 8}}; !slices.Equal(got, want) {
		t.Errorf("every second: %v", got)
	}
	want := []revise.Op{{Do: revise.OtherString, Note: 6, Letter: pedal.C}, {Do: revise.OtherString, Note: 8, Letter: pedal.C}}
	if got := revise.Alternate(notes, pedal.C, 0); !slices.Equal(got, want) {
		t.Errorf("alternate strings: %v", got)
	}
	want = []revise.Op{{Do: revise.Octave, Note: 6, Octaves: -1}, {Do: revise.Octave, Note: 8, Octaves: -1}}
	if got := revise.Alternate(notes, 0, -1); !slices.Equal(got, want) {
		t.Errorf("alternate octaves: %v", got)
	}
}

// What is lost, in the words of the report's contract.
func TestLoss(t *testing.T) {
	for _, tt := range []struct {
		why  string
		ops  []revise.Op
		want revise.Loss
	}{
		{"the bass at a beat, doubled an octave above", []revise.Op{{Note: 0}}, revise.Loss{Bass: 1, Notes: 1, Doubled: 1}},
		{"an inner note, the only one of its pitch class", []revise.Op{{Note: 1}}, revise.Loss{PitchClasses: 1, Notes: 1}},
		{"the melody", []revise.Op{{Note: 3}}, revise.Loss{Melody: 1, Notes: 1, Doubled: 1}},
		{"both of a pair that doubles", []revise.Op{{Note: 0}, {Note: 3}}, revise.Loss{Melody: 1, Bass: 1, PitchClasses: 1, Notes: 2}},
		{"under a higher note that is held, off the beat", []revise.Op{{Note: 4}}, revise.Loss{PitchClasses: 1, Notes: 1}},
		{"moved by an octave", []revise.Op{{Do: revise.Octave, Note: 0, Octaves: 1}}, revise.Loss{Bass: 1, Moved: 1}},
		{"a repeated note, played twice, counts once", []revise.Op{{Note: 6}}, revise.Loss{Melody: 1, PitchClasses: 1, Notes: 1}},
		{"rolled, given away", []revise.Op{{Do: revise.Roll, Note: 0}, {Do: revise.Roll, Note: 1}, {Do: revise.OtherHand, Note: 2, Staff: 2}}, revise.Loss{Rolled: 1, Hands: 1}},
		{"another string and less long", []revise.Op{{Do: revise.OtherString, Note: 5, Letter: pedal.C}, {Do: revise.Shorten, Note: 3, Ticks: 1}}, revise.Loss{}},
	} {
		if got := revise.LossOf(piece(t), tt.ops); got != tt.want {
			t.Errorf("%s: %+v, want %+v", tt.why, got, tt.want)
		}
		if got := revise.NewLedger(piece(t)).Of(tt.ops); got != tt.want {
			t.Errorf("%s: by a ledger of all %+v, want %+v", tt.why, got, tt.want)
		}
	}
	order := []revise.Loss{ // from what is minded least
		{}, {Hands: 1}, {Notes: 1, Doubled: 1}, {Rolled: 1}, {Notes: 3, Doubled: 3}, {Moved: 1}, {Notes: 1}, {PitchClasses: 1}, {Bass: 1}, {Melody: 1},
	}
	for i := range order[1:] {
		if order[i].Compare(order[i+1]) >= 0 {
			t.Errorf("%+v is not less than %+v", order[i], order[i+1])
		}
	}
}
