package part_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/part"
	"pedalogue/pedal/part/parttest"
)

// struckAt writes the notes of each moment that has any, with the time at which
// each ends: "0: C4-4 E4-2". Implied notes have a star.
func struckAt(p *pedal.Passage) []string {
	var list []string
	unit := (p.Measures[0].End - p.Measures[0].Onset) / 4
	for _, m := range p.Moments {
		if len(m.Strikes) == 0 {
			continue
		}
		var notes []string
		for _, s := range m.Strikes {
			n := p.Notes[s.Note]
			name := n.Pitch.String()
			if n.Implied {
				name += "*"
			}
			notes = append(notes, fmt.Sprintf("%s-%d", name, s.End/unit))
		}
		grace := ""
		if m.Grace {
			grace = "grace "
		}
		list = append(list, fmt.Sprintf("%s%d: %s", grace, m.Onset/unit, strings.Join(notes, " ")))
	}
	return list
}

func TestPassage(t *testing.T) {
	for _, test := range []struct {
		name, reason string
		measures     []string
		want         []string
	}{
		{"staves", "all that begins together is one moment, over both staves",
			[]string{"C5:8 D5:8 | C3:16"}, []string{"0: C5-2 C3-4", "2: D5-4"}},
		{"tie", "a tied note is not plucked again and lasts to the end of the tie",
			[]string{"<tie> C5:16", "</tie> C5:4 E5:12"}, []string{"0: C5-5", "5: E5-8"}},
		{"grace", "grace notes come one by one before the note they lean on",
			[]string{"g.D5 g.E5 F5:16"}, []string{"grace 0: D5-0", "grace 0: E5-0", "0: F5-4"}},
		{"repeat", "what is printed once is struck in each pass",
			[]string{"C5:16 {back}"}, []string{"0: C5-4", "4: C5-8"}},
		{"trill", "the trill's upper note is the next letter, as the key has it",
			[]string{"{key=-3} <trill> D5:16"}, []string{"0: D5-4 E♭5*-4"}},
		{"trill after accidental", "an earlier accidental in the measure goes before the key",
			[]string{"{key=-3} E5:4 <trill> D5:12"}, []string{"0: E5-1", "1: D5-4 E5*-4"}},
		{"turn", "a turn uses both neighbours",
			[]string{"<turn> C5:16"}, []string{"0: C5-4 D5*-4 B4*-4"}},
		{"mordent", "the mordent with the stroke goes below",
			[]string{"<mord> C5:16"}, []string{"0: C5-4 B4*-4"}},
		{"tremolo", "both notes of a tremolo are needed from its start to its end",
			[]string{"<trem> C#5:8 </trem> Db5:8"}, []string{"0: C♯5-4 D♭5-4", "2: D♭5-4"}},
		{"glissando", "all seven letters are needed until the end note, here as the key has them",
			[]string{"{key=1} <gliss> G4:8 </gliss> G5:8"},
			[]string{"0: G4-2 D4*-2 C4*-2 B4*-2 E4*-2 F♯4*-2 G4*-2 A4*-2", "2: G5-4"}},
		{"glissando with an octave written out", "seven notes that spell the setting go before the key",
			[]string{"C4:1 Db4:1 Eb4:1 F4:1 Gb4:1 Ab4:1 <gliss> Bb4:2 </gliss> C6:8"},
			[]string{"0: C4-0", "0: D♭4-0", "0: E♭4-0", "0: F4-1", "1: G♭4-1", "1: A♭4-1",
				"1: B♭4-2 D♭4*-2 C4*-2 B♭4*-2 E♭4*-2 F4*-2 G♭4*-2 A♭4*-2", "2: C6-4"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := struckAt(partOf(t, part.Options{}, test.measures...).Passage); !slices.Equal(got, test.want) {
				t.Errorf("%s: got %q, want %q", test.reason, got, test.want)
			}
		})
	}
}

func TestTremoloOfOnePitchNeedsTwoStrings(t *testing.T) {
	p := partOf(t, part.Options{}, "<trem> C#5:8 </trem> Db5:8")
	for _, n := range p.Passage.Notes {
		if !n.Fixed {
			t.Errorf("%s may be played on another string; the tremolo needs both spellings", n.Pitch.String())
		}
	}
}

func TestSeconds(t *testing.T) {
	for _, test := range []struct {
		name, reason string
		measures     []string
		tempo        musicxml.Frac
		want         []time.Duration // of each measure's start, in playing order
	}{
		{"default", "96 quarter notes a minute without any mark",
			[]string{"C4:16", "C4:16"}, musicxml.Frac{}, []time.Duration{0, 2500 * time.Millisecond}},
		{"marks", "a tempo holds from its place on",
			[]string{"{tempo=60} C4:16", "{tempo=120} C4:16", "C4:16"}, musicxml.Frac{},
			[]time.Duration{0, 4 * time.Second, 6 * time.Second}},
		{"repeat", "a jump back keeps the tempo until the next mark",
			[]string{"C4:16", "{tempo=60} C4:16 {back}"}, musicxml.Frac{},
			[]time.Duration{0, 2500 * time.Millisecond, 6500 * time.Millisecond, 10500 * time.Millisecond}},
		{"fixed", "the user's tempo goes before the marks",
			[]string{"{tempo=60} C4:16", "C4:16"}, musicxml.NewFrac(96, 1), []time.Duration{0, 2500 * time.Millisecond}},
	} {
		t.Run(test.name, func(t *testing.T) {
			p := partOf(t, part.Options{Tempo: test.tempo}, test.measures...).Passage
			var got []time.Duration
			for _, m := range p.Measures {
				got = append(got, p.Moments[m.First].At)
			}
			if !slices.Equal(got, test.want) {
				t.Errorf("%s: got %v, want %v", test.reason, got, test.want)
			}
		})
	}
}

func TestScoreWithoutMeasures(t *testing.T) {
	_, score := parttest.Read(t, parttest.Compose())
	if _, err := part.New(score, score.Players()[0], part.Options{}); err == nil || !strings.Contains(err.Error(), "no measures") {
		t.Errorf("error %v: want one that says that there is nothing to play", err)
	}
}

// Endings that no pass plays leave the measures as they stand.
func TestEndingsThatContradict(t *testing.T) {
	_, score := parttest.Read(t, parttest.Compose("{2} C4:16 {/1} {/2}"))
	if len(score.Order) != 1 {
		t.Errorf("playing order %v: want the measure played", score.Order)
	}
}

// signed is a part with what the findings want to know of notes.
const signed = `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>
<direction><direction-type><pedal type="start"/></direction-type></direction>
<note><pitch><step>C</step><octave>4</octave></pitch><duration>2</duration><notations><arpeggiate/></notations></note>
<note><pitch><step>D</step><octave>4</octave></pitch><duration>2</duration><notations><non-arpeggiate type="top"/></notations></note>
<note><pitch><step>E</step><octave>4</octave></pitch><duration>2</duration><notations><technical><open/></technical></notations></note>
<direction><direction-type><pedal type="stop"/></direction-type></direction>
<note><pitch><step>F</step><octave>4</octave></pitch><duration>1</duration><notations><technical><fingering>2</fingering></technical></notations></note>
<note><pitch><step>F</step><octave>4</octave></pitch><duration>1</duration><notations><technical><harmonic/></technical></notations></note>
</measure><measure number="2">
<direction><direction-type><pedal type="change"/></direction-type><offset>2</offset></direction>
<note><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration><notations><ornaments><tremolo type="single">3</tremolo></ornaments></notations></note>
<note><chord/><pitch><step>B</step><octave>4</octave></pitch><duration>4</duration></note>
<note><pitch><step>A</step><octave>4</octave></pitch><duration>1</duration><notations><ornaments><tremolo>1</tremolo></ornaments></notations></note>
<note><pitch><step>A</step><octave>4</octave></pitch><duration>3</duration><notations><ornaments><trill-mark/></ornaments></notations></note>
</measure></part></score-partwise>`

func TestSignsOfNotes(t *testing.T) {
	_, score := parttest.Read(t, []byte(signed))
	p, err := part.New(score, score.Players()[0], part.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []finding.Signs{
		{Roll: finding.Rolled}, {Roll: finding.Together}, {Harmonic: true}, {}, {Harmonic: true},
		{Plucks: 16}, // a half note in thirty-seconds
		{Plucks: 16}, // the sign stands at the first note of the chord only
		{Plucks: 2},  // an eighth in sixteenths
		{Trill: true},
		{Ornament: true, Of: 8 + 1}, // the upper note of the trill on note 8
	} {
		if got := p.Signs[i]; got != want {
			t.Errorf("note %d (%v): %+v, want %+v", i, p.Passage.Notes[i].Pitch, got, want)
		}
	}
	if !p.Passage.Notes[9].Implied {
		t.Error("the trill's upper note is written")
	}
	var at []string
	for _, m := range p.Dampers {
		place := p.Places.Of(m)
		at = append(at, fmt.Sprintf("measure %d, %v", place.Measure+1, p.Offset(place)))
	}
	if want := []string{"measure 1, 0", "measure 2, 1"}; !slices.Equal(at, want) {
		t.Errorf("the damper pedal goes down at %q, want %q", at, want)
	}
}

func TestTremoloHalves(t *testing.T) {
	p := partOf(t, part.Options{}, "<trem> C4+E4:4 </trem> G4+B4:4 R:8 | R:16")
	var halves []finding.TremoloHalf
	for _, n := range p.Signs {
		halves = append(halves, n.Tremolo)
	}
	if want := []finding.TremoloHalf{finding.FirstHalf, finding.FirstHalf, finding.SecondHalf, finding.SecondHalf}; !slices.Equal(halves, want) {
		t.Errorf("halves %v, want %v", halves, want)
	}
}

func TestGlissandoIsTold(t *testing.T) {
	p := partOf(t, part.Options{}, "{key=2} <gliss> D4:8 </gliss> D6:8 | R:16")
	want := []finding.Glissando{{
		Note: 0, Swept: []int{2, 3, 4, 5, 6, 7, 8},
		Setting: pedal.Setting{pedal.C: pedal.Sharp, pedal.F: pedal.Sharp}, Source: finding.FromKey,
	}}
	if diff := cmp.Diff(want, p.Glissandi); diff != "" {
		t.Error(diff)
	}
}

// A glissando sounds the full setting before it, also one in words.
func TestGlissandoAfterWords(t *testing.T) {
	p := partOf(t, part.Options{}, "{reh=@Mi_Fa♯_Sol_La_Si♭_Do_Ré♭} <gliss> C4:4 </gliss> C6:4")
	want := pedal.Setting{pedal.D: pedal.Flat, pedal.B: pedal.Flat, pedal.F: pedal.Sharp}
	if len(p.Glissandi) != 1 || p.Glissandi[0].Setting != want || p.Glissandi[0].Source != finding.FromSetting {
		t.Errorf("glissandi %+v, want %v from the setting", p.Glissandi, want)
	}
}
