package main

import (
	"archive/zip"
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/beevik/etree"
)

// What follows reads scores without package musicxml, and holds the reduced copies to
// the lists of what was done.

// A plainNote is a note element as it stands in a file.
type plainNote struct {
	measure     int
	onset       string // from the start of the measure, quarter notes
	length      string
	voice       string
	staff       int
	pitch       string // "E♭4"; "" for a rest
	grace, tied bool   // tied to the note before
	starts      bool   // a tie starts here
	rolled      bool
	turn        int // of a grace note: how many of its voice come before it at its place
}

func (n plainNote) String() string {
	return fmt.Sprintf("%d+%s %s/%d for %s grace %v", n.measure, n.onset, n.pitch, n.staff, n.length, n.grace)
}

// plainScore reads the notes of a part.
func plainScore(t *testing.T, data []byte, id string) (notes []plainNote, ends []string) {
	t.Helper()
	doc := etree.NewDocument()
	doc.ReadSettings.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil }
	if err := doc.ReadFromBytes(scoreBytes(t, data)); err != nil {
		t.Fatal(err)
	}
	for _, p := range doc.Root().SelectElements("part") {
		if p.SelectAttrValue("id", "") != id {
			continue
		}
		divisions := big.NewRat(1, 1)
		for k, m := range p.SelectElements("measure") {
			at, last := new(big.Rat), new(big.Rat)
			end := new(big.Rat)
			byVoice := map[string]*big.Rat{}
			turns := map[string]int{} // by place and voice
			for _, e := range m.ChildElements() {
				length := new(big.Rat)
				if d := e.SelectElement("duration"); d != nil {
					length.SetString(strings.TrimSpace(d.Text()))
					length.Quo(length, divisions)
				}
				switch e.Tag {
				case "attributes":
					if d := e.SelectElement("divisions"); d != nil {
						divisions.SetString(strings.TrimSpace(d.Text()))
						divisions = new(big.Rat).Set(divisions)
					}
				case "backup":
					at.Sub(at, length)
				case "forward":
					at.Add(at, length)
				case "note":
					n := plainNote{measure: k, length: length.RatString(), staff: 1, grace: e.SelectElement("grace") != nil, rolled: e.FindElement("notations/arpeggiate") != nil}
					if v := e.SelectElement("voice"); v != nil {
						n.voice = strings.TrimSpace(v.Text())
					}
					if s := e.SelectElement("staff"); s != nil {
						n.staff, _ = strconv.Atoi(strings.TrimSpace(s.Text()))
					}
					for _, tie := range e.SelectElements("tie") {
						n.tied = n.tied || tie.SelectAttrValue("type", "") == "stop"
						n.starts = n.starts || tie.SelectAttrValue("type", "") == "start"
					}
					if e.SelectElement("chord") == nil {
						last.Set(at)
						if !n.grace {
							at.Add(at, length)
							if byVoice[n.voice] == nil {
								byVoice[n.voice] = new(big.Rat)
							}
							byVoice[n.voice].Add(byVoice[n.voice], length)
						}
					}
					n.onset = last.RatString()
					if place := n.onset + " " + n.voice; n.grace {
						if e.SelectElement("chord") == nil {
							turns[place]++
						}
						n.turn = turns[place]
					}
					n.pitch = plainPitch(e.SelectElement("pitch"))
					notes = append(notes, n)
				}
				if at.Cmp(end) > 0 {
					end.Set(at)
				}
			}
			var voices []string
			for v, sum := range byVoice {
				voices = append(voices, v+" "+sum.RatString())
			}
			slices.Sort(voices)
			ends = append(ends, end.RatString()+" "+at.RatString()+" "+strings.Join(voices, ","))
		}
	}
	return notes, ends
}

// plainPitch writes a pitch as reports do.
func plainPitch(p *etree.Element) string {
	if p == nil {
		return ""
	}
	sign := ""
	if a := p.SelectElement("alter"); a != nil {
		sign = map[string]string{"1": "♯", "-1": "♭", "2": "𝄪", "-2": "𝄫", "0": ""}[strings.TrimSpace(a.Text())]
	}
	return strings.TrimSpace(p.SelectElement("step").Text()) + sign + strings.TrimSpace(p.SelectElement("octave").Text())
}

// scoreBytes is the score document of a file, which may be a zip.
func scoreBytes(t *testing.T, data []byte) []byte {
	t.Helper()
	if !bytes.HasPrefix(data, []byte("PK")) {
		return data
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if strings.HasPrefix(f.Name, "META-INF") || !slices.Contains([]string{".xml", ".musicxml"}, filepath.Ext(f.Name)) {
			continue
		}
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		defer r.Close()
		all, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	t.Fatal("there is no score in the zip")
	return nil
}

// The reduce report as the contract has it.
type reduceDoc struct {
	Parts []struct {
		ID            string `json:"id"`
		Before, After struct{ Error, Warning int }
		Reductions    []struct {
			Measure, Offset string
			Index           int
			Ops             []reduceOp
			Loses           struct {
				Melody, Bass, Notes, Moved int
				PitchClasses               int `json:"pitch_classes"`
			}
		}
		Unsolved []struct{ For []string }
	}
}

type reduceOp struct {
	Op, Offset, Note, To string
	Index                *int
	Staff                int
	Grace                bool
}

// asListed does to the notes what a report lists, each operation once.
func asListed(t *testing.T, notes []plainNote, doc *reduceDoc, part int) []plainNote {
	t.Helper()
	notes = slices.Clone(notes)
	gone := map[int]bool{}
	var graces []plainNote
	for _, red := range doc.Parts[part].Reductions {
		for _, op := range red.Ops {
			index, offset := red.Index, red.Offset
			if op.Index != nil {
				index, offset = *op.Index, op.Offset
			}
			i := slices.IndexFunc(notes, func(n plainNote) bool {
				return n.measure == index && n.onset == offset && n.staff == op.Staff && n.pitch == op.Note && n.grace == op.Grace && !n.tied
			})
			for i >= 0 && gone[i] { // two of one name: the other one
				next := slices.IndexFunc(notes[i+1:], func(n plainNote) bool {
					return n.measure == index && n.onset == offset && n.staff == op.Staff && n.pitch == op.Note && n.grace == op.Grace && !n.tied
				})
				if next < 0 {
					i = -1
				} else {
					i += 1 + next
				}
			}
			if i < 0 {
				t.Errorf("measure %s: the score has no note for %+v", red.Measure, op)
				continue
			}
			chain := chainOf(notes, i)
			switch op.Op {
			case "leave-out":
				for _, k := range chain {
					gone[k] = true
				}
			case "octave", "other-string":
				for _, k := range chain {
					notes[k].pitch = op.To
				}
			case "other-hand":
				for _, k := range chain {
					notes[k].staff, _ = strconv.Atoi(op.To)
				}
			case "grace":
				g := notes[i]
				g.grace, g.length, g.starts = true, "0", false
				graces = append(graces, g)
				for _, k := range chain {
					gone[k] = true
				}
			case "shorten":
				left, _ := new(big.Rat).SetString(op.To)
				for _, k := range chain {
					if left.Sign() <= 0 {
						gone[k] = true
						continue
					}
					l, _ := new(big.Rat).SetString(notes[k].length)
					left.Sub(left, l)
				}
				if left.Sign() != 0 {
					t.Errorf("measure %s: %+v ends within a note", red.Measure, op)
				}
			}
		}
	}
	var list []plainNote
	for i, n := range notes {
		if !gone[i] {
			list = append(list, n)
		}
	}
	return append(list, graces...)
}

// chainOf is a note and all that is tied to it.
func chainOf(notes []plainNote, i int) []int {
	list := []int{i}
	for notes[i].starts {
		end, _ := new(big.Rat).SetString(notes[i].onset)
		length, _ := new(big.Rat).SetString(notes[i].length)
		end.Add(end, length)
		next := -1
		for k := i + 1; k < len(notes) && notes[k].measure <= notes[i].measure+1; k++ {
			n := notes[k]
			if n.tied && n.pitch == notes[i].pitch && n.staff == notes[i].staff && (n.measure == notes[i].measure && n.onset == end.RatString() || n.measure == notes[i].measure+1 && n.onset == "0") {
				next = k
				break
			}
		}
		if next < 0 {
			return list
		}
		i = next
		list = append(list, i)
	}
	return list
}

// sounding sorts the notes that sound, as texts.
func sounding(notes []plainNote) []string {
	var list []string
	for _, n := range notes {
		if n.pitch != "" {
			list = append(list, n.String())
		}
	}
	slices.Sort(list)
	return list
}

// unlike lists what is in one list and not in the other.
func unlike(a, b []string) (only []string) {
	n := map[string]int{}
	for _, s := range b {
		n[s]++
	}
	for _, s := range a {
		if n[s]--; n[s] < 0 {
			only = append(only, s)
		}
	}
	return only
}

// pianoScores are the scores whose last part is reduced: of three tests each takes a third
// of them, by its turn, and all with PEDALOGUE_WHOLE set; short ones take a few.
func pianoScores(t *testing.T, turn int) []string {
	files, _ := filepath.Glob(filepath.Join(scoresDir, "openscore_lieder", "*.mxl"))
	if files == nil {
		t.Skip("../shared/scores is not here")
	}
	files = append(files, filepath.Join(scoresDir, "muspy", "fur-elise.mxl"))
	if wholeTrial && !testing.Short() {
		return files
	}
	var some []string
	for i, f := range files {
		if !testing.Short() {
			if i%3 == turn {
				some = append(some, f)
			}
			continue
		}
		for _, name := range []string{"chevelure", "aeolsharfe", "morgen", "traeume", "mahler"} {
			if strings.Contains(f, name) {
				some = append(some, f)
			}
		}
	}
	return some
}

// reduceScore reduces the last part of a score.
func reduceScore(t *testing.T, path, out string, args ...string) (doc *reduceDoc, copied []byte) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	args = append([]string{"reduce", "--json", "--report", "none", "--out", out}, args...)
	code := run(append(args, path), nil, &stdout, &stderr)
	if _, last, ok := strings.Cut(stderr.String(), "number: --part "); ok {
		stdout.Reset()
		stderr.Reset()
		code = run(append(args, "--part", strings.Fields(last)[0], path), nil, &stdout, &stderr)
	}
	if code != exitDone {
		t.Fatalf("exit %d: %s", code, stderr.String())
	}
	doc = &reduceDoc{}
	if err := json.Unmarshal(stdout.Bytes(), doc); err != nil {
		t.Fatal(err)
	}
	ext := filepath.Ext(path)
	copied, err := os.ReadFile(filepath.Join(out, strings.TrimSuffix(filepath.Base(path), ext)+".reduced"+ext))
	if err != nil {
		t.Fatal(err)
	}
	return doc, copied
}

// The final copy has the notes of the original with what is listed done to them, and
// nothing else; each voice is as long as it was. No note of the melody or of the bass
// is lost that the report does not name and count.
func TestReducedCopies(t *testing.T) {
	melody, bass := 0, 0
	for _, path := range pianoScores(t, 0) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			doc, copied := reduceScore(t, path, t.TempDir(), "--apply=final")
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			for i, p := range doc.Parts {
				was, endsWas := plainScore(t, data, p.ID)
				is, ends := plainScore(t, copied, p.ID)
				if len(was) == 0 {
					t.Fatalf("no notes are in part %s", p.ID)
				}
				for k := range endsWas {
					if endsWas[k] != ends[k] {
						t.Errorf("measure %d: voices are %s, were %s", k, ends[k], endsWas[k])
					}
				}
				want := sounding(asListed(t, was, doc, i))
				if more, less := unlike(sounding(is), want), unlike(want, sounding(is)); len(more)+len(less) > 0 {
					t.Errorf("in the copy and not listed so: %v\nlisted and not in the copy: %v", more, less)
				}
				listed := lossesOf(t, doc, i)
				for _, n := range lost(was, is, func(k int) bool { return isMelody(was, k) }) {
					melody++
					if !listed.told(n, "melody") {
						t.Errorf("of the melody %v is not there any more, and the report does not count it", n)
					}
				}
				beats := plainBeats(t, data, p.ID)
				for _, n := range lost(was, is, func(k int) bool { return isBass(was, beats, k) }) {
					bass++
					if !listed.told(n, "bass") {
						t.Errorf("of the bass %v is not there any more, and the report does not count it", n)
					}
				}
				for k, l := range listed {
					if l.left["melody"]+l.left["bass"] > 0 {
						t.Errorf("measure %s: more notes of the melody or the bass are counted than are changed: %v", p.Reductions[k].Measure, l.left)
					}
				}
				if p.After.Error > p.Before.Error {
					t.Errorf("errors: %d before, %d after", p.Before.Error, p.After.Error)
				}
			}
		})
	}
	t.Logf("%d notes of the melody are changed, and %d of the bass", melody, bass)
	if !testing.Short() && (melody == 0 || bass == 0) {
		t.Error("too few for the test to mean anything")
	}
}

// semitones is how high a pitch sounds; 0 for none.
func semitones(pitch string) int {
	if pitch == "" {
		return 0
	}
	step := map[byte]int{'C': 0, 'D': 2, 'E': 4, 'F': 5, 'G': 7, 'A': 9, 'B': 11}[pitch[0]]
	rest := pitch[1:]
	for sign, by := range map[string]int{"♯": 1, "♭": -1, "𝄪": 2, "𝄫": -2} {
		if after, ok := strings.CutPrefix(rest, sign); ok {
			step, rest = step+by, after
			break
		}
	}
	octave, _ := strconv.Atoi(rest)
	return cmp.Or(12*(octave+1)+step, 1)
}

// The marked copy comes back byte for byte, and what is left out in it is silent: no
// chord has too many notes any more. It holds strings of the notes that the report lists,
// and those alone.
func TestReducedMarkedCopies(t *testing.T) {
	heldStrings := 0
	for _, path := range pianoScores(t, 1) {
		out := t.TempDir()
		doc, copied := reduceScore(t, path, out, "--apply")
		heldStrings += checkHeldStrings(t, path, doc, copied)
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		files, _ := filepath.Glob(filepath.Join(out, "[a-z]*"))
		var stdout, stderr bytes.Buffer
		back := t.TempDir()
		if code := run([]string{"strip", "--out", back, files[0]}, nil, &stdout, &stderr); code != exitDone {
			t.Fatalf("%s: exit %d: %s", path, code, stderr.String())
		}
		if bytes.Contains(scoreBytes(t, copied), []byte("pedalogue:begin")) {
			plain, err := os.ReadFile(filepath.Join(back, filepath.Base(files[0])))
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(scoreBytes(t, plain), scoreBytes(t, data)) {
				t.Errorf("%s: stripped, it is another score", path)
			}
		}
		args := []string{"mark", "--json", files[0]}
		run(args, nil, &stdout, &stderr)
		if _, last, ok := strings.Cut(stderr.String(), "number: --part "); ok {
			run(append(args, "--part", strings.Fields(last)[0]), nil, &stdout, &stderr)
		}
		if strings.Contains(stdout.String(), `"too-many-notes"`) {
			t.Errorf("%s: a chord has too many notes still", path)
		}
	}
	if heldStrings == 0 {
		t.Error("no note is held to a string: the scores are too easy")
	}
}
