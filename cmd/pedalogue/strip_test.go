package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/spelling"
)

// sharedScores lists the real scores and the reading cases, those with traps too.
func sharedScores(t *testing.T) []string {
	t.Helper()
	var files []string
	for _, dir := range []string{scoresDir, casesDir} {
		err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
			if err == nil && slices.Contains([]string{".musicxml", ".xml", ".mxl"}, filepath.Ext(path)) {
				files = append(files, path)
			}
			return err
		})
		if err != nil {
			t.Skip("the real scores are not here: " + dir)
		}
	}
	return files
}

// marking marks bytes, and returns the file that comes of it.
func marking(name string, data []byte, set options.Settings) (*marked, []byte, error) {
	m, err := markBytes(context.Background(), name, data, set)
	if err != nil {
		return nil, nil, err
	}
	out, err := m.doc.Splice(context.Background(), m.edits)
	return m, out, err
}

func opened(t *testing.T, name string, data []byte) *musicxml.Document {
	t.Helper()
	doc, err := musicxml.Open(context.Background(), name, data, musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// checkMarkAndStrip checks what holds for every score: strip(mark(x)) = x,
// mark(mark(x)) = mark(x) and mark(strip(mark(x))) = mark(x).
func checkMarkAndStrip(t *testing.T, path string, data []byte, set options.Settings) {
	t.Helper()
	m, once, err := marking(path, data, set)
	if err != nil && strings.Contains(err.Error(), "no harp") {
		score, err := musicxml.Read(context.Background(), opened(t, path, data), set.Read)
		if err != nil {
			t.Fatal(err)
		}
		set.Read.Part = score.Parts[len(score.Parts)-1].ID // in songs, the piano
		m, once, err = marking(path, data, set)
		if err != nil {
			t.Fatal(err)
		}
	} else if err != nil {
		return // what cannot be read is not marked; other tests say why
	}
	if len(m.edits) == 0 {
		t.Error("not marked at all")
	}
	doc := opened(t, path, data)
	plain, err := opened(t, path, once).Stripped(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(plain.Source, doc.Source) {
		t.Error("stripped, it is not what it was")
	}
	if doc.Container == nil && !bytes.Equal(plain.Raw, data) {
		t.Error("stripped, the file is not what it was")
	}
	if _, twice, err := marking(path, once, set); err != nil || !bytes.Equal(twice, once) {
		t.Errorf("marked twice, it is not what it is when marked once (%v)", err)
	}
	if _, again, err := marking(path, plain.Raw, set); err != nil || !bytes.Equal(again, once) {
		t.Errorf("stripped and marked again, it is another (%v)", err)
	}
}

func TestMarkAndStripScores(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	ways := []func(*options.Settings){
		func(*options.Settings) {},
		func(s *options.Settings) { s.Wants.Style.Respelt, s.Wants.Plan.Options.Mode = part.Rewrite, pedal.Free },
		func(s *options.Settings) { s.Wants.Style.Replace, s.Wants.Style.Language = true, spelling.German },
		func(s *options.Settings) { s.Wants.Plan.Obey, s.Wants.Style.Language = true, spelling.French },
	}
	for i, path := range sharedScores(t) {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(path, func(t *testing.T) {
			t.Parallel()
			for j, way := range ways {
				if len(data) > 20<<10 && i%len(ways) != j {
					continue // the larger ones take their turns
				}
				set := defaultSettings()
				set.Wants.Plan.Options.FootTime = -1 // the feet take long, and change no bytes of another kind
				way(&set)
				checkMarkAndStrip(t, path, data, set)
			}
		})
	}
}

// Marks of one run make way for those of another, with other options.
func TestMarkOverMark(t *testing.T) {
	data, err := os.ReadFile("demo.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	german := defaultSettings()
	german.Wants.Style.Language, german.Wants.Style.Form = spelling.German, part.Letters
	_, want, err := marking("demo", data, defaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	_, first, err := marking("demo", data, german)
	if err != nil || bytes.Equal(first, want) {
		t.Fatalf("the options make no difference (%v)", err)
	}
	if _, got, err := marking("demo", first, defaultSettings()); err != nil || !bytes.Equal(got, want) {
		t.Errorf("marks of another run have left something behind (%v)", err)
	}
}

func TestStripCommand(t *testing.T) {
	data, err := os.ReadFile("demo.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	writeFile(t, "a.musicxml", string(data))
	tool := func(wantCode int, args ...string) (out, errs string) {
		t.Helper()
		var o, e bytes.Buffer
		if code := run(args, strings.NewReader(""), &o, &e); code != wantCode {
			t.Fatalf("%v: exit %d: %s", args, code, e.String())
		}
		return o.String(), e.String()
	}
	same := func(path, want string) {
		t.Helper()
		got, err := os.ReadFile(path)
		if err != nil || string(got) != want {
			t.Errorf("%s is not what it should be (%v)", path, err)
		}
	}
	tool(exitConflict, "mark", "--quiet", "--report", "none", "a.musicxml") // one note has no string
	marked, err := os.ReadFile("a.pedals.musicxml")
	if err != nil {
		t.Fatal(err)
	}

	out, _ := tool(exitDone, "strip", "a.musicxml")
	if !strings.Contains(out, "a.musicxml: no marks of ours") {
		t.Errorf("says %q", out)
	}
	if _, err := os.Stat("a.plain.musicxml"); err == nil {
		t.Error("a score without marks was copied")
	}
	out, _ = tool(exitDone, "strip", "a.pedals.musicxml")
	if !strings.Contains(out, "taken out, written to a.pedals.plain.musicxml") {
		t.Errorf("says %q", out)
	}
	same("a.pedals.plain.musicxml", string(data))
	same("a.pedals.musicxml", string(marked))

	out, _ = tool(exitDone, "strip", "--diff", "a.pedals.musicxml")
	if !strings.Contains(out, "\n-") || strings.Contains(out, "\n+ ") || !strings.Contains(out, "pedalogue:begin") {
		t.Errorf("shows %q", out)
	}
	tool(exitDone, "strip", "--quiet", "--out", "all", ".")
	same("all/a.musicxml", string(data))
	same("all/a.pedals.musicxml", string(data))
	if _, err := os.Stat("all/a.pedals.plain.musicxml"); err == nil {
		t.Error("a copy without marks was taken from the folder")
	}
	tool(exitDone, "strip", "--quiet", "--write", "a.pedals.musicxml")
	same("a.pedals.musicxml", string(data))

	damaged := strings.Replace(string(marked), "<!--pedalogue:end-->", "", 1)
	writeFile(t, "b.musicxml", damaged)
	_, errs := tool(exitFailed, "strip", "--write", "b.musicxml")
	if !strings.Contains(errs, "b.musicxml:") || !strings.Contains(errs, "a mark has no end") {
		t.Errorf("says %q", errs)
	}
	same("b.musicxml", damaged)
	tool(exitFailed, "mark", "--write", "b.musicxml")
	same("b.musicxml", damaged)
}
