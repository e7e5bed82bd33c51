package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// twoHarps is a score of a flute and two harps, which begin after three measures.
func twoHarps() string {
	var b strings.Builder
	b.WriteString(`<score-partwise version="4.0"><part-list>`)
	for _, p := range []string{"Flute", "Harp I", "Harp II"} {
		b.WriteString(`<score-part id="` + strings.ReplaceAll(p, " ", "") + `"><part-name>` + p + `</part-name></score-part>`)
	}
	b.WriteString("</part-list>\n")
	for _, p := range []string{"Flute", "HarpI", "HarpII"} {
		b.WriteString(`<part id="` + p + `">`)
		for k := range 4 {
			b.WriteString(`<measure number="` + string(rune('1'+k)) + `">`)
			if k == 0 {
				b.WriteString(`<attributes><divisions>1</divisions></attributes>`)
			}
			if p == "Flute" && k == 0 {
				b.WriteString(`<direction><direction-type><words>Lento</words></direction-type><sound tempo="50"/></direction>`)
			}
			if p == "Flute" || k == 3 {
				b.WriteString(`<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>4</duration></note>`)
			} else {
				b.WriteString(`<note><rest measure="yes"/><duration>4</duration></note>`)
			}
			b.WriteString("</measure>\n")
		}
		b.WriteString("</part>\n")
	}
	return b.String() + "</score-partwise>\n"
}

func TestPartFiles(t *testing.T) {
	folder(t)
	writeFile(t, "two.musicxml", twoHarps())
	for _, tt := range []struct {
		why   string
		args  []string
		code  int
		files string // in the folder afterwards, beside the score
		said  string
	}{
		{"--json writes nothing", []string{"--json"}, exitDone, "", `"multiple_rests":`},
		{"two players to one stream", []string{"-"}, exitFailed, "", "2 copies do not go to one stream"},
		{"one of the players", []string{"--part", "Harp II"}, exitDone, "two.harp.musicxml", "two.harp.musicxml"},
		{"both", nil, exitDone, "two.harp-1.musicxml two.harp-2.musicxml two.harp.musicxml", "two.harp-2.musicxml"},
		{"both again, which replaces what nobody has altered", nil, exitDone, "two.harp-1.musicxml two.harp-2.musicxml two.harp.musicxml", "two.harp-1.musicxml"},
		{"into a folder", []string{"--out", "stand"}, exitDone, "stand two.harp-1.musicxml two.harp-2.musicxml two.harp.musicxml", "stand/two.harp-1.musicxml"},
	} {
		args := append([]string{"part"}, tt.args...)
		if tt.args == nil || tt.args[0] != "-" {
			args = append(args, "two.musicxml")
		}
		var out, errs strings.Builder
		if code := run(args, strings.NewReader(twoHarps()), &out, &errs); code != tt.code || !strings.Contains(out.String()+errs.String(), tt.said) {
			t.Errorf("%s: exit %d\n%s%s", tt.why, code, out.String(), errs.String())
		}
		entries, err := os.ReadDir(".")
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, e := range entries {
			if name := e.Name(); name != "two.musicxml" && name[0] != '.' {
				names = append(names, name)
			}
		}
		if got := strings.Join(names, " "); got != tt.files {
			t.Errorf("%s: %s, want %s", tt.why, got, tt.files)
		}
	}
	second, err := os.ReadFile("two.harp-2.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`id="HarpII"`, "Lento", "<multiple-rest>", "harp-pedals"} {
		if !strings.Contains(string(second), want) {
			t.Errorf("%s is not in the second harp's part:\n%s", want, second)
		}
	}
	if strings.Contains(string(second), `"HarpI"`) {
		t.Errorf("the first harp is in the second one's part:\n%s", second)
	}
}

func TestPartAltered(t *testing.T) {
	folder(t)
	writeFile(t, "two.musicxml", twoHarps())
	ask := func() (int, string) {
		var out, errs strings.Builder
		return run([]string{"part", "two.musicxml"}, strings.NewReader(""), &out, &errs), errs.String()
	}
	if code, said := ask(); code != exitDone {
		t.Fatal(said)
	}
	writeFile(t, "two.harp-2.musicxml", "fingered by hand")
	if code, said := ask(); code != exitFailed || !strings.Contains(said, "nothing is overwritten") {
		t.Errorf("exit %d, %s", code, said)
	}
}

// A part reads back as the score: events, playing order and warnings, but for the cues,
// and what is planned, which tells of the tempo too. All scores with a harp, and the
// piano's part of ten songs.
func TestPartPlansAsTheScore(t *testing.T) {
	files, _ := filepath.Glob("../../../shared/scores/*/*.*")
	if len(files) == 0 {
		t.Skip("../shared/scores is not here")
	}
	if testing.Short() {
		t.Skip("takes long")
	}
	harps, songs := 0, 0
	for _, path := range files {
		if partAsScore(t, path) {
			harps++
		} else if songs < 10 && strings.Contains(path, "lieder") && partAsScore(t, path, "--part", "P2") {
			songs++
		}
	}
	if harps < 5 || songs < 10 {
		t.Errorf("%d scores with a harp, %d songs", harps, songs)
	}
}

// partAsScore compares the part of a score with it; false where there is no such part.
func partAsScore(t *testing.T, path string, options ...string) bool {
	t.Helper()
	dir := t.TempDir()
	if r := typed(t, append([]string{"part", "--out", dir, "--report", "none", path}, options...)...); r.code > exitConflict {
		return false
	}
	copies, _ := filepath.Glob(filepath.Join(dir, "[^.]*"))
	if len(copies) != 1 {
		t.Fatalf("%s: %v", path, copies)
	}
	for _, command := range []string{"mark", "look"} {
		of, in := readBack(t, path, command, options), readBack(t, copies[0], command, options)
		for key := range of {
			if of[key] != in[key] {
				t.Errorf("%s: by %s, %s of the part differs:\n%.2000s\n%.2000s", path, command, key, of[key], in[key])
			}
		}
	}
	return true
}

// readBack is what a command says of a score that is to be so in its part: the rest
// tells of the file, of other parts, or of cues.
func readBack(t *testing.T, path, command string, options []string) map[string]string {
	t.Helper()
	var all map[string]any
	asked(t, &all, append([]string{command, path}, options...)...)
	said := map[string]string{}
	for _, key := range []string{"parts", "playing_order", "events", "keys", "transpose", "tremolo_pairs", "glissandi", "playback", "playback_index", "warnings"} {
		list, is := all[key].([]any)
		if key == "parts" && command == "look" {
			continue
		}
		var kept []any
		for _, item := range list {
			object, _ := item.(map[string]any)
			if object["kind"] == "cue" || object["code"] == "cue-notes" {
				continue
			}
			delete(object, "line")
			kept = append(kept, item)
		}
		if !is {
			kept = []any{all[key]}
		}
		text, err := json.Marshal(kept)
		if err != nil {
			t.Fatal(err)
		}
		said[key] = string(text)
	}
	return said
}

// From a song with piano in an awkward key to a marked harp part, and on: each command
// takes what the one before has written.
func TestChain(t *testing.T) {
	folder(t)
	writeFile(t, "song.musicxml", awkwardSong())
	sounding := ""
	for _, step := range []struct {
		args []string
		file string // that it writes
		has  string
	}{
		{[]string{"keys", "--choose", "-1,0", "--out", "key", "song.musicxml"}, "key/song.*.musicxml", "<fifths>-2</fifths>"},
		{[]string{"reduce", "--apply=final", "--out", "reduced", "key/song.*.musicxml"}, "reduced/song.*.reduced.musicxml", "Mit Laune"},
		{[]string{"part", "--out", "part", "reduced/song.*.musicxml"}, "part/song.*.harp.musicxml", "Mit Laune"},
		{[]string{"mark", "--out", "marked", "part/song.*.harp.musicxml"}, "marked/song.*.harp.musicxml", "<harp-pedals>"},
		{[]string{"keys", "--choose", "1,0", "--out", "back", "marked/song.*.harp.musicxml"}, "back/*.musicxml", "<fifths>5</fifths>"},
		{[]string{"part", "--out", "again", "back/*.musicxml"}, "again/*.musicxml", "<harp-pedals>"},
	} {
		args := append([]string{step.args[0], "--part", "Piano", "--respell", "written", "--report", "none"}, step.args[1:]...)
		if found, _ := filepath.Glob(args[len(args)-1]); len(found) == 1 {
			args[len(args)-1] = found[0]
		}
		var out, errs strings.Builder
		if code := run(args, strings.NewReader(""), &out, &errs); code > exitConflict {
			t.Fatalf("%v: exit %d, %s", args, code, errs.String())
		}
		written, _ := filepath.Glob(step.file)
		if len(written) != 1 {
			t.Fatalf("%v wrote %v, not one file", args, written)
		}
		data, err := os.ReadFile(written[0])
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(data), step.has) {
			t.Errorf("%v: %s is not in\n%s", args, step.has, data)
		}
		sounding = string(data)
		if wide := strings.Count(sounding, "<chord/>"); (wide > 0) != (step.args[0] == "keys" && step.file == "key/song.*.musicxml") {
			t.Errorf("%v: %d notes out of reach, which are to stay up to the reduction", args, wide)
		}
		// The marks tell how they were planned: check needs no options to agree.
		if !strings.Contains(sounding, "respell=written") {
			t.Errorf("%v: the marks do not say with which options they were made", args)
		}
		if r := typed(t, "check", written[0]); r.code != exitDone {
			t.Errorf("%v: the copy does not check clean: %s%s", args, r.out, r.err)
		}
	}
	if strings.Contains(sounding, "Voice") || strings.Count(sounding, "Mit Laune") != 1 || strings.Count(sounding, "<staves>") != 1 {
		t.Errorf("the last of the chain is no harp part:\n%s", sounding)
	}
}

// awkwardSong is a song with piano in B major.
func awkwardSong() string {
	key := `<attributes><divisions>1</divisions><key><fifths>5</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>`
	note := func(step, alter, octave, staff string) string {
		return `<note><pitch><step>` + step + `</step><alter>` + alter + `</alter><octave>` + octave + `</octave></pitch><duration>1</duration><voice>` + staff + `</voice>` + `<type>quarter</type><staff>` + staff + `</staff></note>`
	}
	wide := strings.Replace(note("B", "0", "4", "2"), "<note>", "<note><chord/>", 1) // two octaves above the bass, for one hand
	voice := `<note><rest/><duration>4</duration></note>`
	hands := note("B", "0", "4", "1") + note("C", "1", "5", "1") + note("D", "1", "5", "1") + note("F", "1", "5", "1") +
		`<backup><duration>4</duration></backup>` + note("B", "0", "2", "2") + wide + note("F", "1", "3", "2") + note("A", "1", "3", "2") + note("E", "0", "3", "2")
	return `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Voice</part-name></score-part><score-part id="P2"><part-name>Piano</part-name></score-part></part-list>
<part id="P1"><measure number="1">` + key + `</attributes><direction><direction-type><words>Mit Laune, schnell</words></direction-type><sound tempo="90"/></direction>` + voice + `</measure>
<measure number="2">` + voice + `</measure></part>
<part id="P2"><measure number="1">` + key + `<staves>2</staves></attributes>` + hands + `</measure>
<measure number="2">` + hands + `</measure></part></score-partwise>
`
}
