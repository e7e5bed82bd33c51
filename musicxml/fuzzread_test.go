package musicxml

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

// fuzzLimits keep what a fuzzer makes up small.
var fuzzLimits = Limits{Bytes: 1 << 20, Depth: 64, Entries: 20, Played: 2000}

// fuzzScores are scores of every kind that the reader tells apart.
func fuzzScores() []string {
	tie := tone("C#4", "2", "", `<tie type="start"/>`) + tone("C#4", "2", "", `<tie type="stop"/>`)
	line := tone("C4", "1", "", `<notations><glissando type="start"/></notations>`) + tone("C6", "1", "", `<notations><glissando type="stop"/></notations>`)
	trill := tone("D4", "1", "", `<notations><ornaments><trill-mark/><accidental-mark>sharp</accidental-mark></ornaments><arpeggiate/><technical><harmonic/></technical></notations>`)
	pair := tone("C4", "1", "", `<notations><ornaments><tremolo type="start">3</tremolo></ornaments></notations>`) +
		tone("E4", "1", "", `<notations><ornaments><tremolo type="stop">3</tremolo></ornaments></notations>`)
	staves := twoStaves + tone("C4", "4", "", "") + turnBack + tone("C3", "2", "", low) + tone("E3", "2", "<chord/>", low)
	words := `<direction placement="above"><direction-type><words>D.C. al Fine</words></direction-type><offset>-1</offset><staff>2</staff><sound tempo="60"/></direction>`
	pedals := `<direction><direction-type><harp-pedals><pedal-tuning><pedal-step>D</pedal-step><pedal-alter>-1</pedal-alter></pedal-tuning></harp-pedals></direction-type></direction>`
	list := listed("P1", "Harp") + listed("P2", "Flute")
	scores := []string{
		harpScore(quarters + plain1("C4", "Bb3")),
		harpScore(fourths+tie+line, staves, trill+pair),
		harpScore(twoStaves+words+staves, "", pedals+tone("C4", "", "<grace/>", "")+plain1("C4")),
		harpScore(quarters+repeatForward+plain1("C4"), `<barline location="left"><ending number="1,2" type="start"/></barline>`+plain1("C4")+
			`<barline location="right"><ending number="1,2" type="stop"/><repeat direction="backward" times="3"/></barline>`, `<sound segno="a"/>`+plain1("C4"), `<sound dalsegno="a" tocoda="b"/>`, `<sound coda="b" fine="yes"/>`),
		timewiseScore(list, []string{quarters + plain1("C4"), ""}, []string{"", plain1("D4")}),
		strings.ReplaceAll(harpScore(quarters+plain1("C4"), ""), "></measure>", "/>"),
		prefixed(strings.ReplaceAll(harpScore(quarters+plain1("C4")), "version=\"4.0\"", "")),
		strings.ReplaceAll(harpScore(quarters+plain1("C4", "D4")), "><", ">\r\n  <"),
		partwise(list, partOf("P1", `<attributes><divisions>0.5</divisions><key><key-step>F</key-step><key-alter>0.5</key-alter></key><transpose><chromatic>-2</chromatic></transpose></attributes>`+plain1("C4")), partOf("P2", "", "")),
		partwise(harpPart{name: "Piano (or Harp)", instrument: "Piano", sound: "keyboard.piano", program: 47}.list("P1")),
	}
	return scores
}

// FuzzRead: whatever the bytes are, there is a score that holds together or an
// *Error.
func FuzzRead(f *testing.F) {
	for _, s := range fuzzScores() {
		f.Add([]byte(s))
	}
	for _, s := range badFields()[:20] {
		f.Add([]byte(s.text))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		d, err := Open(ctx, "x", raw, fuzzLimits)
		if err != nil {
			return // FuzzOpen
		}
		var score *Score
		allocates(t, fuzzMemory, func() { score, err = Read(ctx, d, Options{Limits: fuzzLimits}) })
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.File != "x" || e.Err == nil || len(err.Error()) > 4000+2*len(raw) {
				t.Fatalf("not an error with its place: %v", err)
			}
			return
		}
		checkScore(t, d, score)
	})
}

// checkScore checks what holds of every score.
func checkScore(t *testing.T, d *Document, s *Score) {
	t.Helper()
	if len(s.Order) > fuzzLimits.Played {
		t.Fatalf("%d measures in playing order", len(s.Order))
	}
	for _, k := range append(s.Order, s.Literal...) {
		if k < 0 || k >= len(s.Measures) {
			t.Fatalf("measure %d of %d is played", k, len(s.Measures))
		}
	}
	start := Frac{}
	for i := range s.Measures {
		m := &s.Measures[i]
		if m.Start != start || m.Length.Sign() <= 0 || m.Part < 0 || m.Part >= len(s.Parts) {
			t.Fatalf("measure %d is %+v, want its start at %v", i, m, start)
		}
		start = start.Add(m.Length)
	}
	for _, w := range s.Warnings {
		if w.Code == "" || w.Text == "" || w.Line < 0 || w.Line > len(d.Text)+1 {
			t.Fatalf("warning %+v", w)
		}
	}
	for _, p := range s.Parts {
		checkPart(t, d, s, p)
	}
}

func checkPart(t *testing.T, d *Document, s *Score, p *Part) {
	t.Helper()
	if len(p.Measures) > len(s.Measures) || p.Staves < 1 {
		t.Fatalf("part %s has %d measures of %d, %d staves", p.ID, len(p.Measures), len(s.Measures), p.Staves)
	}
	for k := range p.Measures {
		m := &p.Measures[k]
		if m.Tag >= 0 && (m.Tag > m.End || m.End > len(d.Text) || m.Head > len(d.Text) || d.Text[m.Tag] != '<' || m.End != m.Tag && m.Head > m.End) {
			t.Fatalf("measure %d of %s lies at %+v", k, p.ID, m)
		}
	}
	for i := range p.Notes {
		n := &p.Notes[i]
		if !n.Onset.OK() || !n.Ends().OK() || n.Length.Sign() < 0 || n.Onset.Less(s.Measures[n.Measure].Start) ||
			!bytes.HasPrefix(d.Text[n.Start:], []byte("<")) || !bytes.HasSuffix(d.Text[:n.End], []byte(">")) || n.Head > i {
			t.Fatalf("note %d is %+v", i, n)
		}
		if n.TiedTo >= 0 && (!p.Notes[n.TiedTo].Tied || p.Notes[n.TiedTo].Onset != n.Ends()) {
			t.Fatalf("note %d is tied to %+v", i, p.Notes[n.TiedTo])
		}
	}
	for _, g := range p.Glissandi {
		if p.Notes[g.To].Onset.Less(p.Notes[g.From].Onset) {
			t.Fatalf("a glissando goes back in time: %+v", g)
		}
	}
	for _, g := range p.Tremolos {
		if !p.Notes[g.From].Onset.Less(p.Notes[g.To].Onset) {
			t.Fatalf("a tremolo goes back in time: %+v", g)
		}
	}
}

// FuzzMark: marks in whatever score can be read splice, the copy can be read, has
// the same notes and the marks at their times, and is the original without them.
func FuzzMark(f *testing.F) {
	for i, s := range fuzzScores() {
		f.Add([]byte(s), uint8(i), uint8(i*7))
	}
	f.Fuzz(func(t *testing.T, raw []byte, where, eighths uint8) {
		d, err := Open(ctx, "x", raw, fuzzLimits)
		if err != nil {
			return
		}
		if own, err := d.Strip(ctx); err != nil || len(own.Edits)+len(own.Kept) > 0 {
			return // marks that are there already are another matter
		}
		score, err := Read(ctx, d, Options{Limits: fuzzLimits, Part: "1"})
		if err != nil || len(score.Measures) == 0 {
			return
		}
		const words = "E♯ G♮\nD♭"
		k := int(where) % len(score.Measures)
		at := NewFrac(int64(eighths), 8)
		if score.Measures[k].Length.Less(at) {
			at = score.Measures[k].Length
		}
		m := Mark{Part: score.Parts[0], Measure: k, Offset: at, Before: -1, Staff: 1 + int(where)%score.Parts[0].Staves, Placement: "below", Words: words}
		edits, err := score.Edits(ctx, d, []Mark{m, m})
		if err != nil {
			return // a place that cannot be named
		}
		checkMarked(t, d, score, m, edits)
	})
}

// checkMarked checks a copy with one mark, written twice.
func checkMarked(t *testing.T, d *Document, score *Score, m Mark, edits []Edit) {
	t.Helper()
	copied, err := d.Splice(ctx, edits)
	if err != nil {
		t.Fatal(err)
	}
	larger := Limits{Bytes: 2 << 20, Depth: 64, Entries: 20, Played: 2000}
	again, err := Open(ctx, "x", copied, larger)
	if err != nil {
		t.Fatalf("the copy does not open: %v", err)
	}
	wantPlain(t, d, again)
	if bytes.Contains(d.Text, []byte("<!DOCTYPE")) {
		return // its entities may stand for anything
	}
	got, err := Read(ctx, again, Options{Limits: larger, Part: "1"})
	if err != nil {
		t.Fatalf("the copy does not read: %v\n%s", err, again.Text)
	}
	was, is := score.Parts[0], got.Parts[0]
	if sounds(was) != sounds(is) || orderText(score.Order) != orderText(got.Order) {
		t.Fatalf("the copy plays %s in %v, the score %s in %v", sounds(is), got.Order, sounds(was), score.Order)
	}
	found := 0
	for _, text := range is.Directions {
		if text.Words == m.Words && text.Measure == m.Measure && text.Staff == m.Staff && text.Onset == score.Measures[m.Measure].Start.Add(m.Offset) {
			found++
		}
	}
	if len(is.Directions) != len(was.Directions)+2 || found < 2 {
		t.Fatalf("the marks of measure %d, %v are read back as %+v in\n%s", m.Measure, m.Offset, is.Directions, again.Text)
	}
}
