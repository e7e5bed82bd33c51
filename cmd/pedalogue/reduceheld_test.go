package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// repeated is four quick notes of one pitch, twice in a measure, over a held fifth.
func repeated() string {
	var b strings.Builder
	b.WriteString(`<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>4</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves><clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef></attributes>
<direction><sound tempo="120"/></direction>
`)
	for range 2 {
		for range 4 {
			b.WriteString("<note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration><voice>1</voice><type>16th</type><staff>1</staff></note>\n")
		}
		b.WriteString("<note><rest/><duration>4</duration><voice>1</voice><type>quarter</type><staff>1</staff></note>\n")
	}
	b.WriteString(`<backup><duration>16</duration></backup>
<note><pitch><step>F</step><octave>3</octave></pitch><duration>16</duration><voice>2</voice><type>whole</type><staff>2</staff></note>
</measure></part></score-partwise>
`)
	return b.String()
}

// A heldDoc is what is looked at in a report of mark.
type heldDoc struct {
	Parts []struct {
		Options struct {
			Held int `json:"held_strings"`
		}
		Cost     heldCost
		Respelt  []struct{ Offset, Written, Played string }
		Findings []struct{ Kind, Severity string }
		Verdict  string
	}
}

type heldCost struct{ Unsounded, Held, Rushed, Respelt, Switches, Changes, Notches int }

func runDoc(t *testing.T, args ...string) heldDoc {
	t.Helper()
	var stdout, stderr bytes.Buffer
	if code := run(args, nil, &stdout, &stderr); code != exitDone {
		t.Fatalf("%v: exit %d: %s", args, code, stderr.String())
	}
	var doc heldDoc
	if err := json.Unmarshal(stdout.Bytes(), &doc); err != nil || len(doc.Parts) != 1 {
		t.Fatalf("%v: %v, %d parts", args, err, len(doc.Parts))
	}
	return doc
}

// The strings that are chosen for notes are those on which every command plays them in
// both copies: else what is repeated too soon would be found again.
func TestChosenStringsAreHeld(t *testing.T) {
	dir := t.TempDir()
	score := filepath.Join(dir, "repeated.musicxml")
	if err := os.WriteFile(score, []byte(repeated()), 0o644); err != nil {
		t.Fatal(err)
	}
	before := runDoc(t, "mark", "--json", score)
	if !slices.ContainsFunc(before.Parts[0].Findings, func(f struct{ Kind, Severity string }) bool { return f.Kind == "repeated-string" }) {
		t.Fatal("nothing is repeated too soon in the score")
	}
	var costs []heldCost
	for _, form := range []string{"marked", "final"} {
		out := filepath.Join(dir, form)
		runDoc(t, "reduce", "--json", "--report", "none", "--out", out, "--apply="+form, score)
		copied := filepath.Join(out, "repeated.reduced.musicxml")
		now := runDoc(t, "mark", "--json", copied).Parts[0]
		for _, f := range now.Findings {
			if f.Severity != "note" {
				t.Errorf("%s: mark finds %s", form, f.Kind)
			}
		}
		if now.Options.Held == 0 {
			t.Errorf("%s: mark does not say that strings are held", form)
		}
		data, err := os.ReadFile(copied)
		if err != nil {
			t.Fatal(err)
		}
		renamed := strings.Count(string(data), "<step>B</step>")
		switch {
		case form == "final" && (now.Cost.Respelt != 0 || renamed != 4):
			t.Errorf("final: %d notes are called B♯, want 4; %d are played otherwise than written", renamed, now.Cost.Respelt)
		case form == "marked" && renamed != 0:
			t.Errorf("marked: %d notes are called B♯", renamed)
		}
		costs = append(costs, now.Cost)
		if v := runDoc(t, "check", "--json", copied).Parts[0].Verdict; v != "clean" {
			t.Errorf("%s: check says %s", form, v)
		}
		pinned := runDoc(t, "mark", "--json", "--spell", map[string]string{"marked": "1: C=C", "final": "1: B♯=C"}[form], copied).Parts[0]
		if pinned.Cost.Unsounded != 0 || !slices.ContainsFunc(pinned.Findings, func(f struct{ Kind, Severity string }) bool { return f.Kind == "repeated-string" }) {
			t.Errorf("%s: the player's own word does not count more", form)
		}
		runDoc(t, "mark", "--json", "--strings", "D1-C5", copied) // a harp that has no B♯4 is no error
		moved := filepath.Join(dir, form+"-moved")
		var stdout, stderr bytes.Buffer
		if code := run([]string{"keys", "--choose", "2,1", "--out", moved, "--report", "none", copied}, nil, &stdout, &stderr); code != exitDone {
			t.Fatalf("keys: exit %d: %s", code, stderr.String())
		}
		files, _ := filepath.Glob(filepath.Join(moved, "r*"))
		if len(files) != 1 {
			t.Fatalf("keys wrote %v", files)
		}
		if data, err := os.ReadFile(files[0]); err != nil || strings.Contains(string(data), ` string="`) {
			t.Errorf("%s: in another key a note is still held to a string: %v", form, err)
		}
	}
	if costs[0] != costs[1] {
		t.Errorf("the two copies are planned unlike: %+v", costs)
	}
}

// checkHeldStrings holds the notes of a copy that are held to strings against those that
// are listed so, and returns their number.
func checkHeldStrings(t *testing.T, path string, doc *reduceDoc, copied []byte) int {
	t.Helper()
	other := 0
	for _, p := range doc.Parts {
		for _, r := range p.Reductions {
			for _, op := range r.Ops {
				other += map[bool]int{true: 1}[op.Op == "other-string"]
			}
		}
	}
	if held := strings.Count(string(scoreBytes(t, copied)), ` of="reduction" string="`); held != other {
		t.Errorf("%s: %d notes are held to strings, and %d are listed", filepath.Base(path), held, other)
	}
	return other
}

// What is to stay stays: no note of the melody or the bass is changed, and nothing at all
// where all is kept.
func TestReduceKeeps(t *testing.T) {
	for _, path := range pianoScores(t, 2) {
		if filepath.Base(path) == "bishop_home_sweet_home.mxl" {
			continue // its piano is a harp from measure 74 on alone, and nothing is struck before
		}
		doc, _ := reduceScore(t, path, t.TempDir(), "--apply", "--keep", "melody,bass", "--keep", "#1-#10: all")
		for _, p := range doc.Parts {
			for _, r := range p.Reductions {
				if r.Loses.Melody+r.Loses.Bass > 0 {
					t.Errorf("%s, measure %s: the melody or the bass is changed", filepath.Base(path), r.Measure)
				}
				for _, op := range r.Ops {
					if index := r.Index; op.Index == nil && index < 10 || op.Index != nil && *op.Index < 10 {
						t.Errorf("%s, measure %s: %s is changed all the same", filepath.Base(path), r.Measure, op.Note)
					}
				}
			}
		}
	}
}
