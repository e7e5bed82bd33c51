package main

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pedalogue/report"
)

// ownTransposition moves a score by another way than the program does: over its text
// by patterns, and on the line of fifths, where each letter with its sign has one
// number (F 0, C 1, … B 6, F♯ 7). Accidentals are left out: alterations say it all.
func ownTransposition(text string, semitones, steps int) string {
	const line, scale = "FCGDAEB", "CDEFGAB"
	by := 7*semitones - 12*steps
	number := func(pattern, text string) (int, string) {
		m := regexp.MustCompile(pattern).FindStringSubmatch(text)
		if m == nil {
			return 0, ""
		}
		n, _ := strconv.Atoi(m[1])
		return n, m[0]
	}
	text = regexp.MustCompile(`(?s)<accidental[ >].*?</accidental>`).ReplaceAllString(text, "")
	text = regexp.MustCompile(`(?s)<pitch>.*?</pitch>`).ReplaceAllStringFunc(text, func(pitch string) string {
		step := regexp.MustCompile(`<step>([A-G])</step>`).FindStringSubmatch(pitch)[1]
		alter, _ := number(`<alter>(-?\d)</alter>`, pitch)
		octave, _ := number(`<octave>(\d)</octave>`, pitch)
		fifth := strings.Index(line, step) + 7*alter + by
		place := 7*octave + strings.Index(scale, step) + steps
		letter := ((fifth % 7) + 7) % 7
		return fmt.Sprintf("<pitch><step>%c</step><alter>%d</alter><octave>%d</octave></pitch>", line[letter], (fifth-letter)/7, (place-place%7)/7)
	})
	return regexp.MustCompile(`<fifths>-?\d+</fifths>`).ReplaceAllStringFunc(text, func(key string) string {
		n, _ := number(`>(-?\d+)<`, key)
		return fmt.Sprintf("<fifths>%d</fifths>", n+by)
	})
}

// unzipped is the score in an .mxl.
func unzipped(t *testing.T, path string) string {
	t.Helper()
	z, err := zip.OpenReader(path)
	if err != nil {
		t.Skip("the real scores are not here: " + path)
	}
	defer z.Close()
	for _, f := range z.File {
		if ext := filepath.Ext(f.Name); ext != ".xml" && ext != ".musicxml" || strings.HasPrefix(f.Name, "META-INF") {
			continue
		}
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	t.Fatal("no score in " + path)
	return ""
}

// asked runs a command with --json and reads what it prints.
func asked(t *testing.T, into any, args ...string) {
	t.Helper()
	r := typed(t, append(args, "--json")...)
	if r.code > exitConflict {
		t.Fatalf("%v: exit %d, %s", args, r.code, r.err)
	}
	if err := json.Unmarshal([]byte(r.out), into); err != nil {
		t.Fatal(err)
	}
}

// For every transposition of two songs the cost is that of mark on a copy that
// another program has moved; of one in short tests, and of five with PEDALOGUE_WHOLE set.
func TestKeysCostWhatMovedCopiesCost(t *testing.T) {
	for i, name := range []string{"strauss_morgen", "boulanger_reflets", "faure_apres_un_reve", "webern_kahl_reckt_der_baum", "debussy_l_ombre_des_arbres"} {
		t.Run(name, func(t *testing.T) {
			if testing.Short() && i > 0 || !wholeTrial && i > 1 {
				t.Skip("a sample")
			}
			text := unzipped(t, filepath.Join(scoresDir, "openscore_lieder", name+".mxl"))
			folder(t)
			writeFile(t, "song.musicxml", text)
			var all report.Keys
			asked(t, &all, "keys", "--part", "Piano", "song.musicxml")
			outside := map[int][]int{}
			for _, k := range all.Parts[0].Keys {
				writeFile(t, "moved.musicxml", ownTransposition(text, k.Semitones, k.Steps))
				var moved report.Score
				asked(t, &moved, "mark", "--part", "Piano", "moved.musicxml")
				harp := moved.Parts[0]
				counts := report.KeyCounts{}
				beyond := 0
				for _, f := range harp.Findings {
					switch f.Severity {
					case report.SeverityError:
						counts.Error++
					case report.SeverityWarning:
						counts.Warning++
					default:
						counts.Note++
					}
					if f.Kind == "out-of-compass" {
						beyond += len(f.Notes)
					}
				}
				if k.Cost != harp.Cost || k.Proof.Minimal != harp.Proof.Minimal || k.Findings.Error != counts.Error || k.Findings.Warning != counts.Warning {
					t.Errorf("%s: %+v, %+v; mark on a moved copy has %+v, %+v", k.Name, k.Cost, k.Findings, harp.Cost, counts)
				}
				outside[k.Semitones] = append(outside[k.Semitones], beyond)
			}
			for semitones, counts := range outside {
				if slices.Min(counts) != slices.Max(counts) {
					t.Errorf("%d semitones: spelt differently, %v notes are beyond the strings", semitones, counts)
				}
			}
		})
	}
}

// A pair of harps, a clarinet that transposes, chord symbols, a mark by somebody
// else, and a later key that would have eight sharps.
const chosenScore = `<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
  <part-list>
    <score-part id="P1"><part-name>Clarinet</part-name></score-part>
    <score-part id="P2"><part-name>Harp</part-name></score-part>
  </part-list>
  <part id="P1">
    <measure number="1">
      <attributes><divisions>1</divisions><key><fifths>2</fifths></key><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>
      <note><pitch><step>D</step><octave>5</octave></pitch><duration>4</duration><type>whole</type></note>
    </measure>
    <measure number="2">
      <attributes><key><fifths>6</fifths></key></attributes>
      <note><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch><duration>4</duration><type>whole</type></note>
    </measure>
  </part>
  <part id="P2">
    <measure number="1">
      <attributes><divisions>1</divisions><key><fifths>0</fifths></key></attributes>
      <harmony><root><root-step>C</root-step></root><kind>dominant</kind></harmony>
      <direction placement="below"><direction-type><words>F♯</words></direction-type></direction>
      <note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>2</duration><type>half</type><accidental>sharp</accidental></note>
      <note><pitch><step>B</step><alter>-1</alter><octave>4</octave></pitch><duration>2</duration><type>half</type><accidental>flat</accidental></note>
    </measure>
    <measure number="2">
      <attributes><key><fifths>4</fifths></key></attributes>
      <note><pitch><step>G</step><alter>1</alter><octave>4</octave></pitch><duration>4</duration><type>whole</type></note>
    </measure>
  </part>
</score-partwise>
`

func TestChoose(t *testing.T) {
	for _, tt := range []struct {
		why   string
		args  string // ␣ is a blank within one
		file  string
		wants string // what stands in the copy, at |
		not   string // and what not
	}{
		{"up a major third, and its last section in A flat, not in eight sharps", "--choose E", "s.E.musicxml",
			"<fifths>4</fifths>|<fifths>-4</fifths>|<root-step>E</root-step>|<step>A</step><alter>1</alter><octave>4</octave></pitch><duration>2</duration><type>half</type><accidental>sharp|" +
				"<diatonic>-1</diatonic><chromatic>-2|<fifths>6</fifths>|<fifths>-2</fifths>|<harp-pedals>", "<words>F♯</words>"},
		{"by interval", "--choose 2,1", "s.D.musicxml", "<fifths>2</fifths>|<root-step>D</root-step>", "<words>F♯</words>"},
		{"without marks", "--choose D --no-marks", "s.D.musicxml", "<fifths>2</fifths>", "<harp-pedals>"},
		{"the harp alone", "--choose D --only-harp --no-marks", "s.D.musicxml", `<key><fifths>2</fifths></key><transpose>|<step>D</step><octave>5</octave>|<root-step>D`, "<fifths>8"},
		{"with its direction in the name", "--choose Gb␣down", "s.G♭ down.musicxml", "<fifths>-6</fifths>", ""},
		{"as it is: marks by others stay", "--choose C", "s.C.musicxml", "<fifths>0</fifths>|<words>F♯</words>|<harp-pedals>", ""},
		{"replaced", "--choose D --write", "s.musicxml", "<fifths>2</fifths>", "<words>F♯</words>"},
		{"elsewhere", "--choose D --out o", "o/s.D.musicxml", "<fifths>2</fifths>", ""},
		{"in marks of the house", "--choose D --setting-as letters --language de", "s.D.musicxml", "pedalogue:begin", "<harp-pedals>"},
	} {
		folder(t)
		writeFile(t, "s.musicxml", chosenScore)
		args := []string{"keys", "s.musicxml"}
		for arg := range strings.FieldsSeq(tt.args) {
			args = append(args, strings.ReplaceAll(arg, "␣", " "))
		}
		typed(t, args...).want(t, exitDone, "Written in ", "")
		data, err := os.ReadFile(tt.file)
		if err != nil {
			t.Errorf("%s: %v", tt.why, err)
			continue
		}
		for want := range strings.SplitSeq(tt.wants, "|") {
			if !strings.Contains(string(data), want) {
				t.Errorf("%s: the copy does not hold %s\n%s", tt.why, want, data)
			}
		}
		if tt.not != "" && strings.Contains(string(data), tt.not) {
			t.Errorf("%s: the copy holds %s", tt.why, tt.not)
		}
		if original, _ := os.ReadFile("s.musicxml"); tt.file != "s.musicxml" && string(original) != chosenScore {
			t.Errorf("%s: the score itself has changed", tt.why)
		}
	}
}

// What the report says of a copy: where it is, what was struck out, what is spelt
// otherwise.
func TestChooseReports(t *testing.T) {
	folder(t)
	writeFile(t, "s.musicxml", chosenScore)
	var r report.Keys
	asked(t, &r, "keys", "--choose", "E", "--out", "o", "s.musicxml")
	c := r.Chosen
	if c == nil || c.Name != "E" || c.Semitones != 4 || c.Steps != 2 || !c.Marked || c.OnlyHarp || r.Output != filepath.Join("o", "s.E.musicxml") {
		t.Fatalf("%+v, %q", c, r.Output)
	}
	if len(c.Struck) != 1 || c.Struck[0].Text != "F♯" || c.Struck[0].Measure != "1" || c.Struck[0].Part != "P2" {
		t.Errorf("struck out: %+v", c.Struck)
	}
	if fmt.Sprint(c.Respelt) != "[{P1 2 1 -2} {P2 2 1 -4}]" {
		t.Errorf("spelt otherwise: %+v", c.Respelt)
	}
	writeFile(t, "g.musicxml", string(composeMarks("{reh=@gliss._C9} <gliss> C4:8 </gliss> C6:8")))
	r = report.Keys{}
	asked(t, &r, "keys", "--choose", "D", "g.musicxml")
	if left := r.Chosen.Left; len(left) != 1 || !strings.Contains(left[0].Text, "“gliss. C9” name the chord") {
		t.Errorf("left: %+v", left)
	}
	r = report.Keys{}
	asked(t, &r, "keys", "s.musicxml")
	if r.Chosen != nil || r.Output != "" {
		t.Errorf("nothing is chosen: %+v", r.Chosen)
	}
}

// A copy in another key is known as a result, is replaced by the next run, and not if
// somebody has worked on it; --diff writes nothing; standard input is answered.
func TestChosenCopiesAreResults(t *testing.T) {
	folder(t)
	writeFile(t, "in/s.musicxml", chosenScore)
	for _, key := range []string{"E", "D", "E"} {
		typed(t, "keys", "--choose", key, "--report", "json", "in/s.musicxml").want(t, exitDone, "", "")
	}
	typed(t, "keys", "--quiet", "in").want(t, exitDone, "", "")
	if r := typed(t, "mark", "--json", "in"); strings.Count(r.out, `"score":`) != 1 {
		t.Errorf("copies are taken for scores: %s", r.out)
	}
	diff := typed(t, "keys", "--choose", "E", "--diff", "in/s.musicxml")
	diff.want(t, exitDone, "+++ in/s.E.musicxml", "")
	for _, want := range []string{"<fifths>4</fifths>", "pedalogue:begin"} {
		if !strings.Contains(diff.out, want) {
			t.Errorf("the diff does not show %s:\n%s", want, diff.out)
		}
	}
	piped := typedOn(t, disk(), chosenScore, "keys", "--choose", "E")
	copied, err := os.ReadFile("in/s.E.musicxml")
	if err != nil || piped.out != string(copied) {
		t.Errorf("standard output has another copy than the file (%v): %s", err, piped.err)
	}
	writeFile(t, "in/s.D.musicxml", "mine")
	typed(t, "keys", "--choose", "D", "in/s.musicxml").want(t, exitFailed, "", "is there already")
}

// There and back gives the notes back; strip leaves what is moved, without marks.
func TestThereAndBack(t *testing.T) {
	folder(t)
	plain := strings.Replace(chosenScore, `      <direction placement="below"><direction-type><words>F♯</words></direction-type></direction>`+"\n", "", 1)
	plain = strings.Replace(plain, "<fifths>6</fifths>", "<fifths>3</fifths>", 1) // else it would be spelt otherwise
	for _, key := range []struct{ there, back string }{{"2,1", "-2,-1"}, {"-3,-2", "3,2"}, {"1,1", "-1,-1"}, {"-2,-1", "2,1"}} {
		for _, text := range []string{plain, strings.ReplaceAll(plain, "\n", "\r\n")} {
			writeFile(t, "s.musicxml", text)
			typed(t, "keys", "--write", "--quiet", "--choose", key.there, "s.musicxml").want(t, exitDone, "", "")
			typed(t, "keys", "--write", "--quiet", "--no-marks", "--choose", key.back, "s.musicxml").want(t, exitDone, "", "")
			got, err := os.ReadFile("s.musicxml")
			if err != nil || string(got) != text {
				t.Errorf("%s and %s (%v):\n%s", key.there, key.back, err, got)
			}
		}
	}
}

// In a zip, all other entries stay.
func TestChooseInAZip(t *testing.T) {
	folder(t)
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range [][2]string{
		{"META-INF/container.xml", `<container><rootfiles><rootfile full-path="score.xml"/></rootfiles></container>`},
		{"score.xml", chosenScore}, {"cover.txt", "a cover"},
	} {
		w, err := z.Create(f[0])
		if err != nil {
			t.Fatal(err)
		}
		io.WriteString(w, f[1])
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	writeFile(t, "s.mxl", b.String())
	typed(t, "keys", "--choose", "E", "s.mxl").want(t, exitDone, "s.E.mxl", "")
	writeFile(t, "s.musicxml", chosenScore)
	typed(t, "keys", "--choose", "E", "s.musicxml").want(t, exitDone, "", "")
	want, err := os.ReadFile("s.E.musicxml")
	if err != nil || unzipped(t, "s.E.mxl") != string(want) {
		t.Errorf("the score in the zip is another (%v)", err)
	}
}

func TestChooseWrongly(t *testing.T) {
	folder(t)
	writeFile(t, "s.musicxml", chosenScore)
	for _, tt := range []struct {
		args string
		code int
		want string
	}{
		{"--choose H", exitUsage, "no key from seven flats to seven sharps"},
		{"--choose Gb", exitFailed, "can be reached in 2 ways: G♭ down, G♭ up"},
		{"--choose A --within 1", exitFailed, "none of the keys within reach is A"},
		{"--choose 3,x", exitUsage, "no interval"},
		{"--only-harp", exitUsage, "--only-harp goes with --choose"},
		{"--no-marks", exitUsage, "--no-marks goes with --choose"},
		{"--write", exitUsage, "--write goes with --choose"},
		{"--diff", exitUsage, "--diff goes with --choose"},
		{"--existing keep", exitUsage, "it is an option of mark"},
		{"--choose", exitUsage, "--choose needs a value"},
	} {
		before := tree(t, ".")
		args := append([]string{"keys", "s.musicxml"}, strings.Fields(tt.args)...)
		typed(t, args...).want(t, tt.code, "", tt.want)
		if len(tree(t, ".")) != len(before) {
			t.Errorf("%s: something was written", tt.args)
		}
	}
}
