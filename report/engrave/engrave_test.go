package engrave

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

var update = flag.Bool("update", false, "rewrite the pictures in testdata")

// The pitches of the bottom lines as any book of theory gives them.
func TestClefsGiveLinesTheirPitches(t *testing.T) {
	for _, test := range []struct {
		clef   Clef
		step   byte
		octave int
		why    string
	}{
		{Clef{}, 'E', 4, "the zero value is a treble clef"},
		{Clef{Sign: 'G', Line: 2}, 'E', 4, "treble"},
		{Clef{Sign: 'G', Line: 1}, 'G', 4, "French violin"},
		{Clef{Sign: 'F'}, 'G', 2, "a bass clef has its usual line"},
		{Clef{Sign: 'F', Line: 3}, 'B', 2, "baritone"},
		{Clef{Sign: 'C', Line: 3}, 'F', 3, "alto"},
		{Clef{Sign: 'C', Line: 4}, 'D', 3, "tenor"},
		{Clef{Sign: 'C', Line: 1}, 'C', 4, "soprano"},
		{Clef{Sign: 'G', Line: 2, Octaves: -1}, 'E', 3, "treble with an 8 below"},
		{Clef{Sign: 'G', Line: 2, Octaves: 1}, 'E', 5, "treble with an 8 above"},
		{Clef{Sign: 'P'}, 'E', 4, "unpitched notes are written as in a treble clef"},
	} {
		if got := (Opening{Clef: test.clef}).position(test.step, test.octave); got != 0 {
			t.Errorf("%s: %c%d stands %d steps above the bottom line", test.why, test.step, test.octave, got)
		}
	}
	if got := (Opening{Shift: 1}).position('E', 5); got != 0 {
		t.Errorf("under 8va, E5 stands at %d", got)
	}
}

// The places of the signs of key signatures, as they are printed everywhere:
// positions above the bottom line, in the order of the signs.
func TestKeySignaturesStandWhereTheyAlwaysDo(t *testing.T) {
	sharps, flats := "FCGDAEB", "BEADGCF"
	for _, test := range []struct {
		name string
		clef Clef
		sign Sign
		want []int
	}{
		{"treble", Clef{}, Sharp, []int{8, 5, 9, 6, 3, 7, 4}},
		{"treble", Clef{}, Flat, []int{4, 7, 3, 6, 2, 5, 1}},
		{"bass", Clef{Sign: 'F'}, Sharp, []int{6, 3, 7, 4, 1, 5, 2}},
		{"bass", Clef{Sign: 'F'}, Flat, []int{2, 5, 1, 4, 0, 3, -1}},
		{"alto", Clef{Sign: 'C'}, Sharp, []int{7, 4, 8, 5, 2, 6, 3}},
		{"alto", Clef{Sign: 'C'}, Flat, []int{3, 6, 2, 5, 1, 4, 0}},
		{"tenor", Clef{Sign: 'C', Line: 4}, Sharp, []int{2, 6, 3, 7, 4, 8, 5}},
		{"tenor", Clef{Sign: 'C', Line: 4}, Flat, []int{5, 8, 4, 7, 3, 6, 2}},
	} {
		steps := sharps
		if test.sign == Flat {
			steps = flats
		}
		var got []int
		for i := range steps {
			got = append(got, test.clef.keyPosition(KeySign{steps[i], test.sign}, test.sign))
		}
		if !slices.Equal(got, test.want) {
			t.Errorf("%s, sign %d: %v, want %v", test.name, test.sign, got, test.want)
		}
	}
}

// The metrics of SMuFL 1.4's reference font, from memory, in hundredths of a staff
// space: our drawings may differ by a tenth of a space.
func TestGlyphsHaveSMuFLProportions(t *testing.T) {
	for _, test := range []struct {
		name                     string
		glyph                    glyph
		left, top, right, bottom int
	}{
		{"noteheadBlack", noteBlack, 0, -50, 118, 50},
		{"noteheadHalf", noteHalf, 0, -50, 118, 50},
		{"noteheadWhole", noteWhole, 0, -50, 169, 50},
		{"accidentalSharp", sharp, 0, -140, 100, 139},
		{"accidentalFlat", flat, 0, -176, 90, 70},
		{"accidentalNatural", natural, 0, -136, 67, 134},
		{"accidentalDoubleSharp", doubleSharp, 0, -51, 99, 50},
		{"accidentalDoubleFlat", doubleFlat, 0, -175, 164, 70},
		{"restWhole", restWhole, 0, -4, 113, 54},
		{"restHalf", restHalf, 0, -57, 113, 1},
		{"restQuarter", restQuarter, 0, -149, 108, 150},
		{"rest8th", restEighth, 0, -70, 99, 100},
		{"flag8thUp", flagUp, 0, -4, 106, 324},
		{"flag8thDown", flagDown, 0, -323, 122, 6},
		{"gClef", clefG, 0, -439, 268, 263},
		{"fClef", clefF, -2, -105, 274, 254},
		{"cClef", clefC, 0, -202, 280, 202},
		{"augmentationDot", dot, 0, -20, 40, 20},
	} {
		want := box{test.left * space / 100, test.top * space / 100, test.right * space / 100, test.bottom * space / 100}
		got := shapes[test.glyph].box
		const most = space / 4
		if abs(got.left-want.left) > most || abs(got.top-want.top) > most || abs(got.right-want.right) > most || abs(got.bottom-want.bottom) > most {
			t.Errorf("%s covers %v, want about %v", test.name, got, want)
		}
	}
	ids := map[string]bool{}
	for _, s := range shapes {
		if ids[s.id] || !strings.HasPrefix(s.id, "g") {
			t.Errorf("the name %q is taken, or could be that of something else in a page", s.id)
		}
		ids[s.id] = true
	}
}

// randomMusic makes music of up to three staves: chords, seconds, two voices, grace
// notes, clef changes and octave lines.
func randomMusic(r *rand.Rand) *Music {
	m := &Music{Staves: 1 + r.IntN(3)}
	clefs := []Clef{{}, {Sign: 'F'}, {Sign: 'C'}, {Sign: 'C', Line: 4}, {Octaves: -1}}
	id := 0
	opens := make([]Opening, m.Staves)
	for range 1 + r.IntN(3) {
		measure := Measure{Number: fmt.Sprint(len(m.Measures) + 1), Length: Time{4, 1}}
		for s := range opens {
			if r.IntN(2) == 0 {
				opens[s].Clef = clefs[r.IntN(len(clefs))]
			}
			opens[s].Shift = r.IntN(3) - 1
		}
		measure.Opens = slices.Clone(opens)
		for s := range opens {
			if r.IntN(2) == 0 {
				clef := clefs[r.IntN(len(clefs))]
				opens[s].Clef = clef
				measure.Changes = append(measure.Changes, Change{At: Time{2, 1}, Staff: s + 1, Clef: &clef})
			}
			for voice := range 1 + r.IntN(2) {
				measure.addVoice(r, s+1, 10*s+voice, &id)
			}
		}
		m.Measures = append(m.Measures, measure)
	}
	return m
}

func (m *Measure) addVoice(r *rand.Rand, staff, voice int, id *int) {
	den := []int64{1, 2, 3}[r.IntN(3)]
	defer m.beamPairs(len(m.Chords), voice)
	for n := range 4 * den {
		c := Chord{At: Time{n, den}, Staff: staff, Voice: voice, Value: Quarter + Value(den/2), Dots: r.IntN(2)}
		if r.IntN(6) == 0 {
			m.Chords = append(m.Chords, c)
			continue
		}
		if r.IntN(5) == 0 {
			g := c
			g.Grace, g.Dots = true, 0
			g.addNotes(r, id)
			m.Chords = append(m.Chords, g)
		}
		c.addNotes(r, id)
		m.Chords = append(m.Chords, c)
	}
}

// beamPairs joins chords from an index on, two by two, where both are eighth notes.
func (m *Measure) beamPairs(from, voice int) {
	var last *Chord
	for i := from; i < len(m.Chords); i++ {
		c := &m.Chords[i]
		if c.Grace || c.Voice != voice {
			continue
		}
		if len(c.Notes) == 0 || c.Value != Eighth {
			last = nil
			continue
		}
		if last == nil {
			last = c
			continue
		}
		last.Beams, c.Beams, last = []Beam{Begin}, []Beam{End}, nil
	}
}

func (c *Chord) addNotes(r *rand.Rand, id *int) {
	from := 10 + r.IntN(25)
	for range 1 + r.IntN(4) {
		from += 1 + r.IntN(4)
		*id++
		c.Notes = append(c.Notes, Note{ID: *id, Staff: c.Staff, Step: "CDEFGAB"[from%7], Octave: from / 7, Sign: Sign(r.IntN(int(NaturalFlat) + 1))})
	}
}

// What is read back from a drawing is what was to be drawn: each head at its
// height by the clef and octave line in force, with its own accidental.
func TestHeadsAndAccidentalsReadBack(t *testing.T) {
	for seed := range uint64(25) {
		m := randomMusic(rand.New(rand.NewPCG(seed, 1)))
		d, p := draw(t, m)
		heads, signs := map[int]placed{}, map[int][]string{}
		for _, u := range p.uses {
			switch {
			case u.head():
				heads[u.note] = u
			case u.sign() && u.note >= 0:
				signs[u.note] = append(signs[u.note], u.id)
				if h := heads[u.note]; h.y != u.y || h.x <= u.x {
					t.Errorf("seed %d: the accidental of note %d stands at %d %d, its head at %d %d", seed, u.note, u.x, u.y, h.x, h.y)
				}
			}
		}
		for i := range m.Measures {
			measure := &m.Measures[i]
			for _, c := range measure.Chords {
				for _, n := range c.Notes {
					h, ok := heads[n.ID]
					if !ok || h.measure != i {
						t.Fatalf("seed %d: note %d is not drawn in measure %d", seed, n.ID, i)
					}
					o := measure.opening(n.Staff)
					for _, change := range measure.Changes {
						if change.Staff == n.Staff && change.At.Cmp(c.At) <= 0 {
							o.Clef = *change.Clef
						}
					}
					want := d.Staves[n.Staff-1] + staffHeight - half*o.position(n.Step, n.Octave)
					if h.y != want {
						t.Errorf("seed %d: note %d stands at %d, want %d", seed, n.ID, h.y, want)
					}
					if got := signs[n.ID]; !slices.Equal(got, signIDs(n.Sign)) && !shared(m, n, heads) {
						t.Errorf("seed %d: note %d has the accidentals %v, want sign %d", seed, n.ID, got, n.Sign)
					}
				}
			}
		}
	}
}

func signIDs(s Sign) []string {
	return [...][]string{NoSign: nil, Natural: {"ga-n"}, Sharp: {"ga-s"}, Flat: {"ga-f"}, DoubleSharp: {"ga-ss"},
		DoubleFlat: {"ga-ff"}, NaturalSharp: {"ga-n", "ga-s"}, NaturalFlat: {"ga-n", "ga-f"}}[s]
}

// shared reports whether another note of the same sign, or one of the two without
// any, is drawn with the very same head.
func shared(m *Music, n Note, heads map[int]placed) bool {
	for i := range m.Measures {
		for _, c := range m.Measures[i].Chords {
			for _, o := range c.Notes {
				if o.ID != n.ID && heads[o.ID].x == heads[n.ID].x && heads[o.ID].y == heads[n.ID].y {
					return o.Sign == n.Sign || o.Sign == NoSign || n.Sign == NoSign
				}
			}
		}
	}
	return false
}

// Nothing is drawn on anything else: no head on another one but where two voices
// share it, no accidental on a head, a dot or another accidental.
func TestNothingStandsOnAnythingElse(t *testing.T) {
	touch := func(a, b box, mercy int) bool {
		return a.left+mercy < b.right && b.left+mercy < a.right && a.top+mercy < b.bottom && b.top+mercy < a.bottom
	}
	for seed := range uint64(25) {
		_, p := draw(t, randomMusic(rand.New(rand.NewPCG(seed, 2))))
		var parts []placed
		for _, u := range p.uses {
			if u.head() || u.sign() || u.id == "gd" || strings.HasPrefix(u.id, "gc-") {
				parts = append(parts, u)
			}
		}
		for i, a := range parts {
			for _, b := range parts[:i] {
				same := a.head() && b.head() && a.x == b.x && a.y == b.y
				if a.id == "gd" && b.id == "gd" || same {
					continue
				}
				mercy := 3 // units that round shapes leave free at their corners
				if a.head() && b.head() {
					mercy = stemThick + 1 // heads in a second share the stem
				}
				if touch(a.box(), b.box(), mercy) {
					t.Fatalf("seed %d: %s of note %d stands on %s of note %d, %v and %v", seed, a.id, a.note, b.id, b.note, a.box(), b.box())
				}
			}
		}
	}
}

// Every stem begins at a head, and every beam has a stem at either end that
// reaches it and goes no farther.
func TestStemsAndBeamsMeet(t *testing.T) {
	beams := 0
	for seed := range uint64(25) {
		_, p := draw(t, randomMusic(rand.New(rand.NewPCG(seed, 5))))
		var heads []box
		for _, u := range p.uses {
			if u.head() {
				heads = append(heads, u.box())
			}
		}
		type stem struct{ x, root, tip int }
		var stems []stem
		for part := range strings.SplitSeq(p.paths["stems"], "M") {
			var s stem
			if n, _ := fmt.Sscanf(part, "%d %dV%d", &s.x, &s.root, &s.tip); n < 3 {
				continue // not a stem: the sides of a breve
			}
			stems = append(stems, s)
			if !slices.ContainsFunc(heads, func(h box) bool { return h.left <= s.x && s.x <= h.right && h.top <= s.root && s.root <= h.bottom }) {
				t.Errorf("seed %d: the stem %v begins at no head", seed, s)
			}
		}
		for part := range strings.SplitSeq(p.paths["solid"], "M") {
			var x0, y0, x1, y1, thick int
			if n, _ := fmt.Sscanf(part, "%d %dL%d %dv%dL", &x0, &y0, &x1, &y1, &thick); n < 5 {
				continue
			}
			beams++
			for _, end := range [][2]int{{x0, y0}, {x1, y1}} {
				if !slices.ContainsFunc(stems, func(s stem) bool {
					return abs(s.x-end[0]) <= stemThick && s.tip >= end[1]-1 && s.tip <= end[1]+thick+1
				}) {
					t.Errorf("seed %d: the beam from %d %d to %d %d has no stem at %v", seed, x0, y0, x1, y1, end)
				}
			}
		}
	}
	if beams < 50 {
		t.Errorf("there are only %d beams", beams)
	}
}

// A place in a drawing is where the heads of its time stand, later times stand
// farther right, and each measure keeps within its barlines.
func TestPlacesOfTimes(t *testing.T) {
	for seed := range uint64(25) {
		m := randomMusic(rand.New(rand.NewPCG(seed, 3)))
		d, p := draw(t, m)
		heads := map[int]placed{}
		for _, u := range p.uses {
			if u.head() {
				heads[u.note] = u
			}
		}
		for i := range m.Measures {
			left, right := d.Bounds(i)
			last := left
			for n := range int64(48) {
				x := d.X(i, Time{n, 12})
				if x < last || x > right {
					t.Fatalf("seed %d: measure %d from %d to %d: %d/12 stands at %d, what is before it at %d", seed, i, left, right, n, x, last)
				}
				last = x
			}
			for _, c := range m.Measures[i].Chords {
				for _, note := range c.Notes {
					h := heads[note.ID]
					if far := abs(h.x + headWidth/2 - d.X(i, c.At)); !c.Grace && far > 3*headWidth {
						t.Errorf("seed %d: note %d stands %d units from its time", seed, note.ID, far)
					}
				}
			}
		}
	}
}

// Lines broken at a width keep to it, and hold every measure once.
func TestBreak(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 4))
	m := &Music{Staves: 2}
	for len(m.Measures) < 30 {
		part := randomMusic(r)
		if part.Staves == 2 {
			m.Measures = append(m.Measures, part.Measures...)
		}
	}
	const width = 70 * space
	starts, err := Break(m, width)
	if err != nil || len(starts) < 5 || starts[0] != 0 {
		t.Fatal(starts, err)
	}
	for i, from := range starts {
		to := len(m.Measures)
		if i+1 < len(starts) {
			to = starts[i+1]
		}
		d, _ := draw(t, &Music{Staves: 2, Measures: m.Measures[from:to]})
		if _, right := d.Bounds(to - from - 1); to-from > 1 && right > width {
			t.Errorf("measures %d to %d take %d units of %d", from, to, right, width)
		}
	}
}

// What is wrong in the data is refused or left out and told, and never drawn
// somewhere.
func TestWrongData(t *testing.T) {
	one := func(c Chord) []Measure { return []Measure{{Length: Time{4, 1}, Chords: []Chord{c}}} }
	for _, test := range []struct {
		name  string
		music Music
		wrong bool   // an error
		omits string // what the drawing says that it leaves out
	}{
		{"no measures", Music{Staves: 2}, true, ""},
		{"no staves", Music{Measures: []Measure{{}}}, true, ""},
		{"five staves", Music{Staves: 5, Measures: []Measure{{}}}, true, ""},
		{"an empty measure", Music{Staves: 1, Measures: []Measure{{}}}, false, ""},
		{"a note on a staff that is not there", Music{Staves: 1, Measures: one(Chord{Notes: []Note{{Staff: 2, Step: 'C'}}})}, false, "staves"},
		{"a rest on a staff that is not there", Music{Staves: 1, Measures: one(Chord{Staff: 3})}, false, ""},
		{"a quarter tone", Music{Staves: 1, Measures: one(Chord{Notes: []Note{{Staff: 1, Step: 'C', Octave: 5, Sign: OtherSign}}})}, false, "accidentals"},
		{"a triangle", Music{Staves: 1, Measures: one(Chord{Notes: []Note{{Staff: 1, Step: 'C', Octave: 5, Head: OtherHead}}})}, false, "noteheads"},
		{"tablature", Music{Staves: 1, Measures: []Measure{{Opens: []Opening{{Clef: Clef{Sign: 'T'}}}}}}, false, "clefs"},
		{"a meter in letters", Music{Staves: 1, Measures: []Measure{{Meter: Meter{Beats: "x", Unit: "4"}}}}, false, "time signatures"},
		{"a beam that never ends", Music{Staves: 1, Measures: one(Chord{Value: Eighth, Beams: []Beam{Begin}, Notes: []Note{{Staff: 1, Step: 'C', Octave: 5}}})}, false, ""},
		{"a tuplet of nothing", Music{Staves: 1, Measures: []Measure{{Tuplets: []Tuplet{{First: 3, Last: 9}}}}}, false, ""},
		{"a tie to nowhere", Music{Staves: 1, Measures: one(Chord{Notes: []Note{{ID: 1, Staff: 1, Step: 'C', Octave: 5, TiedTo: 99}}})}, false, ""},
		{"times below zero and without a denominator", Music{Staves: 1, Measures: []Measure{{Length: Time{-1, 0}, Chords: []Chord{{At: Time{-5, -3}, Staff: 1}}}}}, false, ""},
	} {
		d, err := Draw(&test.music, Options{})
		if (err != nil) != test.wrong {
			t.Errorf("%s: %v", test.name, err)
		}
		if err != nil {
			continue
		}
		readBack(t, d.Body)
		if told := strings.Join(d.Omitted, "; "); (told != "") != (test.omits != "") || !strings.Contains(told, test.omits) {
			t.Errorf("%s: it says that it leaves out %q, want %q", test.name, told, test.omits)
		}
	}
}

// Whatever a score says, a drawing is text and shapes.
func TestHostileTexts(t *testing.T) {
	evil := `"><script>alert(1)</script><image href='http://x'/>` + "\x00\x1b]0;\xff&"
	m := &Music{Staves: 1, Measures: []Measure{{
		Number: evil, Ending: Ending{Over: true, Text: evil, Starts: true},
		Marks: []Mark{{Staff: 1, Class: evil, Rows: [][]Word{{{Text: evil, Class: evil, Sign: Sharp}}}}, {Staff: 1, Class: evil, Diagram: []int{0, 1}}},
	}}}
	d, p := draw(t, m)
	for name := range p.names {
		if !slices.Contains([]string{"svg", "g", "path", "use", "text"}, name) {
			t.Errorf("the drawing has an element %s", name)
		}
	}
	if all := d.Inline(8, evil, evil); strings.Contains(all, "<script") || strings.ContainsAny(all, "\x00\x1b") || !utf8.ValidString(all) {
		t.Errorf("%s", all)
	}
}

// The picture of everything that can be drawn, to be looked at: rewrite it with
// -update, and look.
func TestPictureOfEverything(t *testing.T) {
	d, err := Draw(everything(), Options{Concerns: map[int]Concern{11: Error, 12: Warning, 13: Remark}})
	if err != nil {
		t.Fatal(err)
	}
	got := d.Standalone(10, "Everything that can be drawn.")
	path := filepath.Join("testdata", "everything.svg")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the picture is not that of %s", path)
	}
}

// The accidental of a note without a head stands at the head in its place, and is
// not drawn where there is none; the music is not changed by that.
func TestAccidentalOfHeadlessNote(t *testing.T) {
	for _, tt := range []struct {
		reason string
		other  Note
		want   int
	}{
		{"another voice has the head", Note{ID: 2, Staff: 1, Step: 'A', Octave: 4}, 1},
		{"which has the same accidental", Note{ID: 2, Staff: 1, Step: 'A', Octave: 4, Sign: Natural}, 1},
		{"the head stands elsewhere", Note{ID: 2, Staff: 1, Step: 'F', Octave: 4}, 0},
	} {
		m := &Music{Staves: 1, Measures: []Measure{{Length: Time{Num: 2}, Chords: []Chord{
			{Value: N16th, Staff: 1, Voice: 1, Notes: []Note{{ID: 1, Staff: 1, Step: 'A', Octave: 4, Head: NoHead, Sign: Natural}}},
			{Value: Half, Staff: 1, Voice: 2, Notes: []Note{tt.other}},
		}}}}
		d, err := Draw(m, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(d.Body, `"#ga-n"`); n != tt.want || m.Measures[0].Chords[1].Notes[0] != tt.other {
			t.Errorf("%s: %d accidentals, want %d:\n%s", tt.reason, n, tt.want, d.Body)
		}
	}
}
