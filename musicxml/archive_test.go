package musicxml

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pedalogue/musicxml/internal/archive/archivetest"
)

func testArchive(f archivetest.Form) []byte {
	return f.Write(stored("mimetype", "application/vnd.recordare.musicxml"), containerFor("score.xml"),
		file("score.xml", smallScore+strings.Repeat("<!-- more -->\n", 50)), file("notes.txt", "Bitte nicht falten."), stored("page.pdf", "%PDF-1.7\x00\xff"))
}

// TestSpliceArchive: a copy of a zip is that zip with another score in it. What is
// kept besides is tested where archives are written.
func TestSpliceArchive(t *testing.T) {
	for name, f := range archivetest.Forms {
		if f.Front != "" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			raw := testArchive(f)
			d, err := Open(ctx, "x.mxl", raw, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			if same, err := d.Splice(ctx, nil); err != nil || &same[0] != &raw[0] {
				t.Errorf("without edits it is not the file itself (%v)", err)
			}
			at := bytes.Index(d.Text, []byte("<part-list"))
			// One that makes the score longer, one that makes it shorter.
			for _, edits := range [][]Edit{{{at, at, strings.Repeat("<!-- ♭ -->", 3)}}, {{at, len(d.Text) - 20, ""}}} {
				before := bytes.Clone(raw)
				out, err := d.Splice(ctx, edits)
				if err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(raw, before) {
					t.Fatal("the original has changed")
				}
				got, err := Open(ctx, "x.mxl", out, Limits{})
				if err != nil {
					t.Fatal(err)
				}
				want, err := d.SpliceDocument(ctx, edits)
				if err != nil || !bytes.Equal(got.Source, want) {
					t.Errorf("score %q, want %q, %v", got.Source, want, err)
				}
				checkContainerKept(t, d, got)
			}
		})
	}
}

// checkContainerKept compares the zip around a copy with that of its original.
func checkContainerKept(t *testing.T, was, is *Document) {
	t.Helper()
	a, b := was.Container, is.Container
	if !slices.Equal(a.Entries, b.Entries) || !slices.Equal(a.Stored, b.Stored) || a.Descriptors != b.Descriptors || a.score != b.score {
		t.Fatalf("%s: container %+v, was %+v", was.Name, b, a)
	}
	for i := range a.Entries {
		x, err := a.archive.Read(ctx, i, 1<<30)
		if err != nil {
			t.Fatal(err)
		}
		y, err := b.archive.Read(ctx, i, 1<<30)
		if err != nil || i != a.score && !bytes.Equal(x, y) {
			t.Errorf("%s: the content of %q has changed, %v", was.Name, a.Entries[i], err)
		}
	}
}

// A zip that cannot be read is an error with its file and a hint.
func TestArchiveErrors(t *testing.T) {
	good := testArchive(archivetest.Form{})
	bomb := zipOf(t, containerFor("s.xml"), file("s.xml", strings.Repeat(" ", 2<<20)))
	for _, tt := range []struct {
		name       string
		raw        []byte
		want, hint string
	}{
		{"cut", good[:len(good)-1], "x.mxl: the zip archive is damaged: it has no directory at its end", "cut short"},
		{"large", bomb, `x.mxl: the entry "s.xml" is larger than the limit of 1 MiB`, ""},
	} {
		_, err := Open(ctx, "x.mxl", tt.raw, Limits{Bytes: 1 << 20})
		t.Run(tt.name, func(t *testing.T) { wantError(t, err, tt.want, tt.hint) })
	}
}

func ExampleDocument_Splice() {
	d, err := Open(ctx, "score.xml", []byte("<words>forte</words>\r\n"), Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	out, err := d.Splice(ctx, []Edit{{Start: 7, End: 7, New: "molto\n"}})
	fmt.Printf("%q %v\n", out, err)
	// Output: "<words>molto\r\nforte</words>\r\n" <nil>
}
