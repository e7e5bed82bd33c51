package musicxml

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// sharedFiles lists the scores of a folder of the collection that lies beside
// the repository on some machines, and skips the test elsewhere.
func sharedFiles(t testing.TB, name string) []string {
	t.Helper()
	dir := filepath.Join("..", "..", "shared", name)
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the collection of scores is not here")
	}
	var files []string
	err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		// Copies that somebody has marked there are not part of it.
		if err == nil && slices.Contains([]string{".musicxml", ".xml", ".mxl"}, filepath.Ext(path)) && !strings.Contains(path, ".pedals.") {
			files = append(files, path)
		}
		return err
	})
	if err != nil || len(files) == 0 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	return files
}

func codes(warnings []Warning) []string {
	var all []string
	for _, w := range warnings {
		all = append(all, w.Code)
	}
	return all
}

// fileFacts are the facts about a file, not its music, in a case's JSON.
type fileFacts struct {
	Encoding *struct {
		Name, Declared, Newline string
		BOM                     bool
	}
	Container *struct {
		Rootfile        string
		Entries, Stored []string
		Descriptors     bool
	}
	Warnings []struct{ Code string }
}

func TestOpenCases(t *testing.T) {
	for _, file := range sharedFiles(t, "cases") {
		t.Run(filepath.Base(file), func(t *testing.T) {
			facts, err := os.ReadFile(strings.TrimSuffix(file, filepath.Ext(file)) + ".expect.json")
			if err != nil {
				t.Fatal(err)
			}
			var want fileFacts
			if err := json.Unmarshal(facts, &want); err != nil {
				t.Fatal(err)
			}
			d := openFile(t, file)
			if e := want.Encoding; e != nil && d.Encoding != (Encoding{e.Name, e.BOM, e.Declared, e.Newline}) {
				t.Errorf("encoding %+v, want %+v", d.Encoding, *e)
			}
			compareContainer(t, d.Container, want)
			for _, w := range want.Warnings {
				aboutFile := slices.Contains([]string{"extension-mismatch", "no-container", "path-separator"}, w.Code)
				if aboutFile && !slices.Contains(codes(d.Warnings), w.Code) {
					t.Errorf("no warning %s", w.Code)
				}
			}
			if len(d.Warnings) > len(want.Warnings) {
				t.Errorf("warnings %v, want %v", codes(d.Warnings), want.Warnings)
			}
		})
	}
}

func compareContainer(t *testing.T, got *Container, want fileFacts) {
	t.Helper()
	if (got == nil) != (want.Container == nil) {
		t.Fatalf("container %v, want %v", got, want.Container)
	}
	if got == nil {
		return
	}
	w := want.Container
	if got.Rootfile != w.Rootfile || !slices.Equal(got.Entries, w.Entries) || got.Descriptors != w.Descriptors {
		t.Errorf("container %+v, want %+v", got, w)
	}
	if w.Stored != nil && !slices.Equal(got.Stored, w.Stored) {
		t.Errorf("stored %q, want %q", got.Stored, w.Stored)
	}
}

func openFile(t testing.TB, file string) *Document {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	d, err := Open(ctx, file, raw, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestOpenScores(t *testing.T) {
	opened := 0
	for _, file := range sharedFiles(t, "scores") {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		d, err := Open(ctx, file, raw, Limits{})
		if filepath.Base(file) == "test_fingerings_utf16.musicxml" {
			// It says UTF-16 and is UTF-8, which xmllint refuses too.
			wantError(t, err, `says encoding "UTF-16", but the bytes are plain UTF-8`, `write encoding="UTF-8"`)
			continue
		}
		if err != nil {
			t.Error(err)
			continue
		}
		opened++
		if !strings.Contains(string(d.Text), "<score-") {
			t.Errorf("%s: no score in the text", file)
		}
	}
	if opened == 0 {
		t.Error("nothing opened")
	}
}

// wantError checks that err is an *Error whose message and hint hold these.
func wantError(t *testing.T, err error, message, hint string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) {
		t.Fatalf("error %v, want one about %q", err, message)
	}
	if !strings.Contains(e.Error(), message) || !strings.Contains(e.Hint, hint) {
		t.Errorf("error %q, hint %q, want %q and %q", e, e.Hint, message, hint)
	}
	text := strings.TrimPrefix(e.Err.Error(), containerName)
	if strings.HasSuffix(text, ".") || text[:1] != strings.ToLower(text[:1]) {
		t.Errorf("message %q does not keep the form of messages", text)
	}
}

const smallScore = `<score-partwise version="4.0"><part-list/></score-partwise>`

func TestNameAgainstContent(t *testing.T) {
	packed := zipOf(t, containerFor("score.xml"), file("score.xml", smallScore))
	for _, tt := range []struct {
		name string
		raw  []byte
		want bool
		why  string
	}{
		{"a.mxl", packed, false, "a compressed score by its usual name"},
		{"a.MXL", packed, false, "case says nothing"},
		{"a.musicxml", packed, true, "the name of plain XML"},
		{"a.xml", packed, true, "the older name of plain XML"},
		{"a.zip", packed, false, "a name that is true"},
		{"-", packed, false, "standard input has no name"},
		{"dir.xml/score", packed, false, "only the file's own name counts"},
		{"a.mxl", []byte(smallScore), true, "the name of a compressed score"},
		{`C:\scores\a.mxl`, []byte(smallScore), true, "a name with backslashes"},
		{"a.musicxml", []byte(smallScore), false, "plain XML by its usual name"},
		{"a.txt", []byte(smallScore), false, "another name promises nothing"},
		{"", []byte(smallScore), false, "no name promises nothing"},
	} {
		d, err := Open(ctx, tt.name, tt.raw, Limits{})
		if err != nil {
			t.Errorf("%s (%s): %v", tt.name, tt.why, err)
			continue
		}
		if got := slices.Contains(codes(d.Warnings), "extension-mismatch"); got != tt.want {
			t.Errorf("%q (%s): warned %t, want %t", tt.name, tt.why, got, tt.want)
		}
		for _, w := range d.Warnings {
			if w.Index != -1 {
				t.Errorf("%q: a warning about the file has measure index %d", tt.name, w.Index)
			}
		}
	}
}

func TestNewline(t *testing.T) {
	for _, tt := range []struct{ text, want, why string }{
		{"<a/>", "lf", "no line end at all"},
		{"<a>\n</a>\n", "lf", "lone line feeds"},
		{"<a>\r\n</a>\r\n", "crlf", "pairs"},
		{"<a>\r</a>\r", "cr", "lone carriage returns"},
		{"<a>\r\n\r\n</a>\n", "crlf", "the ends of most lines"},
		{"<a>\n</a>\r\n", "lf", "a draw"},
		{"<a>\n\n</a>\r\r\r", "cr", "most lines again"},
	} {
		d, err := Open(ctx, "", []byte(tt.text), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		ends := map[string]string{"lf": "\n", "crlf": "\r\n", "cr": "\r"}
		if d.Encoding.Newline != tt.want || d.NewlineText() != ends[tt.want] {
			t.Errorf("%q (%s): %s, want %s", tt.text, tt.why, d.Encoding.Newline, tt.want)
		}
	}
}

func TestNotXML(t *testing.T) {
	for _, tt := range []struct{ name, raw, want, hint, why string }{
		{"empty", "", "this is empty", "", "a file without bytes"},
		{"blank", " \r\n\t\n", "nothing but white space", "", "a file that was emptied in an editor"},
		{"marked blank", bomUTF8 + "\n", "nothing but white space", "", "the same, saved with a mark"},
		{"pdf", "%PDF-1.7\n%\xe2\xe3\xcf\xd3", "this is a PDF file, not MusicXML", "export", "the printed part"},
		{"png", "\x89PNG\r\n\x1a\n\x00\x00", "a PNG picture", "export", "a picture of a page"},
		{"jpeg", "\xff\xd8\xff\xe0", "a JPEG picture", "export", "a photograph of a page"},
		{"midi", "MThd\x00\x00\x00\x06", "a MIDI file", "export", "the other export of a score"},
		{"gzip", "\x1f\x8b\x08\x00", "a gzip file", "unpack", "packed by another program"},
		{"empty zip", "PK\x05\x06" + strings.Repeat("\x00", 18), "an empty zip archive", "unpack", "no entry, so it does not begin as others do"},
		{"split zip", "PK\x07\x08PK\x03\x04", "one volume of a split zip", "", "it begins with another signature"},
		{"program", "MZ\x90\x00", "a program", "", "anything can be dropped on a tool"},
		{"web page", "\n<!DOCTYPE html>\n<html>", "a web page (HTML)", "the page came instead", "a download that failed"},
		{"web page without doctype", "<HTML >", "a web page (HTML)", "", "the same, older"},
		{"nul bytes", strings.Repeat("\x00", 2000), "only NUL bytes", "get it again", "what a crash leaves of a file"},
		{"binary", "<\x01\x02\x00\x05", "a binary file", "export", "a program's own form"},
	} {
		_, err := Open(ctx, "x", []byte(tt.raw), Limits{})
		t.Run(tt.name, func(t *testing.T) { wantError(t, err, tt.want, tt.hint) })
	}
	for _, raw := range []string{"<htmlish/>", "<!DOCTYPE score-partwise><score-partwise/>", "plain words"} {
		if _, err := Open(ctx, "x", []byte(raw), Limits{}); err != nil {
			t.Errorf("%q: %v; whether it is a score is not to be told here", raw, err)
		}
	}
}

func TestNulInside(t *testing.T) {
	_, err := Open(ctx, "x", []byte("<a>\n"+strings.Repeat(" ", 2000)+"\r\n\r\x00</a>"), Limits{})
	wantError(t, err, "x:4: a NUL byte", "damaged")
}

func TestSizeLimit(t *testing.T) {
	const limit = 2000
	text := "<a>" + strings.Repeat("x", limit) + "</a>"
	for _, tt := range []struct {
		name string
		raw  []byte
		why  string
	}{
		{"plain", []byte(text), "the file itself"},
		{"packed", zipOf(t, containerFor("a.xml"), file("a.xml", text)), "its size is only known when it is unpacked"},
		{"stored", zipOf(t, containerFor("a.xml"), stored("a.xml", text)), "no unpacking needed"},
		{"decoded", []byte(`<?xml version="1.0" encoding="ISO-8859-1"?>` + strings.Repeat("\xe9", limit-100)), "it grows when it is decoded"},
	} {
		_, err := Open(ctx, "x", tt.raw, Limits{Bytes: limit})
		t.Run(tt.name, func(t *testing.T) { wantError(t, err, "larger than the limit of 2000 bytes", "") })
		if _, err := Open(ctx, "x", tt.raw, Limits{Bytes: 4 * limit}); err != nil {
			t.Errorf("%s (%s): %v with a higher limit", tt.name, tt.why, err)
		}
	}
}

func TestByteCount(t *testing.T) {
	for _, tt := range []struct {
		n    int64
		want string
	}{{256 << 20, "256 MiB"}, {1 << 20, "1 MiB"}, {1536 << 10, "1536 KiB"}, {2000, "2000 bytes"}, {0, "0 bytes"}} {
		if got := byteCount(tt.n); got != tt.want {
			t.Errorf("byteCount(%d) = %q, want %q", tt.n, got, tt.want)
		}
	}
}
