package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/report"
)

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
	score, err := musicxml.Read(openText(t, signed), musicxml.Options{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := newBridge(score, score.Players()[0], true, tempoChoice{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []pedal.Note{
		{Roll: pedal.Rolled}, {Roll: pedal.Together}, {Harmonic: true}, {}, {Harmonic: true},
		{Plucks: 16}, // a half note in thirty-seconds
		{Plucks: 16}, // the sign stands at the first note of the chord only
		{Plucks: 2},  // an eighth in sixteenths
		{Trill: true},
	} {
		got := b.passage.Notes[i]
		if got.Roll != want.Roll || got.Harmonic != want.Harmonic || got.Plucks != want.Plucks || got.Trill != want.Trill {
			t.Errorf("note %d (%v): %+v, want %+v", i, got.Pitch, got, want)
		}
	}
	upper := b.passage.Notes[9]
	if !upper.Implied || upper.By != pedal.ByOrnament || upper.For != 8 {
		t.Errorf("the trill's upper note is %+v", upper)
	}
	var at []string
	for _, m := range b.passage.Dampers {
		at = append(at, b.place(m))
	}
	if want := []string{"measure 1, beat 1", "measure 2, beat 2"}; !slices.Equal(at, want) {
		t.Errorf("the damper pedal goes down at %q, want %q", at, want)
	}
}

func TestTremoloHalves(t *testing.T) {
	b := bridgeOf(t, "<trem> C4+E4:4 </trem> G4+B4:4 R:8 | R:16")
	var halves []pedal.TremoloHalf
	for _, n := range b.passage.Notes {
		halves = append(halves, n.Tremolo)
	}
	if want := []pedal.TremoloHalf{pedal.FirstHalf, pedal.FirstHalf, pedal.SecondHalf, pedal.SecondHalf}; !slices.Equal(halves, want) {
		t.Errorf("halves %v, want %v", halves, want)
	}
}

func TestGlissandoIsTold(t *testing.T) {
	b := bridgeOf(t, "{key=2} <gliss> D4:8 </gliss> D6:8 | R:16")
	want := []pedal.Glissando{{Note: 0, Setting: pedal.Setting{pedal.C: pedal.Sharp, pedal.F: pedal.Sharp}, Source: pedal.FromKey}}
	if !slices.Equal(b.passage.Glissandi, want) {
		t.Errorf("glissandi %+v, want %+v", b.passage.Glissandi, want)
	}
}

func TestImpliedLeftOutIsTold(t *testing.T) {
	_, score := readScore(t, "<trill> C5:4 <gliss> D4:8 </gliss> D6:4 | R:16")
	set := defaultSettings()
	set.implied = false
	b, err := newBridge(score, score.Players()[0], set.implied, tempoChoice{})
	if err != nil {
		t.Fatal(err)
	}
	plan, err := b.solve(context.Background(), set.plan)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range b.findings(plan, set) {
		got = append(got, f.Kind+" "+string(f.Severity)+" "+f.Offset+" "+strings.Join(f.Notes, "+"))
	}
	if want := []string{"left-out note 0 C5", "left-out note 1 D4"}; !slices.Equal(got, want) {
		t.Errorf("found %q, want %q", got, want)
	}
}

func TestFindingFlags(t *testing.T) {
	for _, tt := range []struct {
		args string
		fail string // in the error; "" for none
		kind finding.Kind
		want finding.Severity
		at   finding.Limit
	}{
		{args: "--findings string-clash=warning,leap=off", kind: "leap", want: finding.Off},
		{args: "--findings all=off --findings leap=error", kind: "leap", want: finding.Error},
		{args: "--findings leap=error,all=off", kind: "leap", want: finding.Off},
		{args: "--limit leap=0.3,right-hand-low=A2", kind: "leap", at: 300},
		{args: "--limit right-hand-low=A2", kind: "right-hand-low", at: 19},
		{args: "--findings leaps=off", fail: `"leaps" is no kind of finding; --help-findings lists them`},
		{args: "--findings leap=loud", fail: `"loud" is not a severity`},
		{args: "--findings leap", fail: "is not a severity"},
		{args: "--limit leap=soon", fail: `"soon" is not a number of seconds`},
		{args: "--limit one-foot=2", fail: "this kind has no limit"},
		{args: "--limit nothing=2", fail: "no kind of finding"},
	} {
		var s settings
		f := newFlags("mark", "")
		take := findingFlags(f, &s)
		if err := f.Parse(strings.Fields(tt.args)); err != nil {
			t.Fatal(err)
		}
		err := take()
		if tt.fail != "" {
			if err == nil || !strings.Contains(err.Error(), tt.fail) {
				t.Errorf("%s: the error is %v, want %q", tt.args, err, tt.fail)
			}
			continue
		}
		if err != nil || s.findings.severities[tt.kind] != tt.want || s.findings.limits[tt.kind] != tt.at {
			t.Errorf("%s: %v, %+v", tt.args, err, s.findings)
		}
	}
}

func TestHelpFindings(t *testing.T) {
	var out, complaints bytes.Buffer
	if code := runMark([]string{"--help-findings"}, streams{out: &out, err: &complaints}); code != exitDone || complaints.Len() > 0 {
		t.Fatalf("exit %d, %s", code, complaints.String())
	}
	for _, r := range finding.Rules() {
		if !strings.Contains(out.String(), "\n"+string(r.Kind)+": "+r.Severity.String()) || !strings.Contains(out.String(), r.Means) {
			t.Errorf("%s is not in the list", r.Kind)
		}
	}
}

// The composer of this harp part printed her own pedals at mm. 175, 180 and 199:
// a player can play it, so no finding may say otherwise. Source: the score.
func TestHarpPartHasNoErrors(t *testing.T) {
	const name = "hauptstimme/boulanger_d_un_matin_de_printemps.mxl"
	data, err := os.ReadFile(filepath.Join(scoresDir, name))
	if err != nil {
		t.Skip("the real scores are not here: " + scoresDir)
	}
	m, err := markScore(context.Background(), name, data, defaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range m.report.Parts[0].Findings {
		if f.Severity == report.SeverityError {
			t.Errorf("m. %s: %s", f.Measure, f.Text)
		}
	}
}

// BenchmarkFindings prints what all findings of the real scores cost against
// the planning of the same parts.
func BenchmarkFindings(b *testing.B) {
	set := defaultSettings()
	var planned, found time.Duration
	worst, at := 0.0, ""
	for _, s := range largestScores(b, 40) {
		score, err := readReal(s, partFor(b, s))
		if err != nil {
			continue // not every file of the collection is sound
		}
		for _, player := range score.Players() {
			passage, err := newBridge(score, player, true, tempoChoice{})
			if err != nil {
				b.Fatal(err)
			}
			start := time.Now()
			plan, err := pedal.Solve(context.Background(), passage.passage, set.plan)
			if err != nil {
				b.Fatal(err)
			}
			solved := time.Since(start)
			start = time.Now()
			passage.findings(plan, set)
			judged := time.Since(start)
			planned, found = planned+solved, found+judged
			if ratio := judged.Seconds() / solved.Seconds(); ratio > worst && len(passage.passage.Moments) > 100 {
				worst, at = ratio, s.name
			}
		}
	}
	b.ReportMetric(found.Seconds()/planned.Seconds(), "of-planning")
	b.Logf("planned in %v, judged in %v; at worst %.2f of the planning, %s", planned, found, worst, at)
}

func readReal(s realScore, part string) (*musicxml.Score, error) {
	doc, err := musicxml.Open(s.name, s.data, musicxml.Limits{})
	if err != nil {
		return nil, err
	}
	return musicxml.Read(doc, musicxml.Options{Part: part})
}

// Findings about marks in the score obey --findings like all others.
func TestFindingsAboutMarksAreJudged(t *testing.T) {
	var c findingChoice
	if err := c.take([]string{"mark-differs=off", "accidental-changed=error"}, nil); err != nil {
		t.Fatal(err)
	}
	got := c.judged([]report.Finding{
		{Kind: string(kindMarkDiffers), Severity: report.SeverityWarning},
		{Kind: string(kindAccidentalChanged), Severity: report.SeverityNote},
		{Kind: string(kindMarkNotKept), Severity: report.SeverityWarning},
	})
	if len(got) != 2 || got[0].Severity != report.SeverityError || got[1].Severity != report.SeverityWarning {
		t.Errorf("judged %+v: want the first left out, the second an error, the third as it was", got)
	}
}

// place names a moment.
func (b *bridge) place(moment int) string {
	o := b.moments[moment]
	text := fmt.Sprintf("measure %s, beat %s", b.score.Measures[o.measure].Number, b.beatAt(o))
	if o.pass > 1 {
		text += fmt.Sprintf(", pass %d", o.pass)
	}
	return text
}
