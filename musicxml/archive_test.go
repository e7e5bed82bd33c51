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

// A zip may stand behind a program, whatever the program is, and behind the mark
// of an archive that was to be split.
func TestZipBehindProgram(t *testing.T) {
	for _, tt := range []struct {
		front, content, want, why string
	}{
		{"MZ\x90\x00" + strings.Repeat("\x00code", 1000), smallScore, "", "for one system"},
		{"\x7fELF\x02\x01", smallScore, "", "for another"},
		{"#!/bin/sh\nexec unzip \"$0\"\n", smallScore, "", "a script"},
		{"PK00", smallScore, "", "to be split"},
		{"MZ", "", "the entry \"score.xml\" is empty", "nothing in it"},
		{"%PDF-1.7\n", smallScore, "is a PDF file, not MusicXML", "something to read for itself"},
		{"no program", smallScore, "is a binary file, not MusicXML", "nor this"},
	} {
		raw := archivetest.Form{Front: tt.front}.Write(containerFor("score.xml"), file("score.xml", tt.content))
		d, err := Open(ctx, "score.exe", raw, Limits{})
		if err == nil {
			_, err = Read(ctx, d, Options{})
		}
		if tt.want != "" {
			wantError(t, err, tt.want, "")
			continue
		}
		if !strings.Contains(strings.Join(codes(d.Warnings), " "), "zip-behind-program") || d.Container.Rootfile != "score.xml" {
			t.Fatalf("%q: %v, %v: %s", tt.front, d.Warnings, err, tt.why)
		}
		out, err := d.Splice(ctx, []Edit{{0, 0, "<!-- x -->"}})
		if err != nil || !bytes.HasPrefix(out, []byte(tt.front)) {
			t.Fatalf("%q: %v: %s", tt.front, err, tt.why)
		}
		if again, err := Open(ctx, "score.exe", out, Limits{}); err != nil || string(again.Text) != "<!-- x -->"+tt.content {
			t.Errorf("%q: %v: %s", tt.front, err, tt.why)
		}
	}
	if _, err := Open(ctx, "x", []byte("MZ no zip"), Limits{}); err == nil || !strings.Contains(err.Error(), "is a program") {
		t.Errorf("error %v", err)
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
