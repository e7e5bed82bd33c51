package musicxml

import (
	"bytes"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

func TestSpliceEdits(t *testing.T) {
	const text = "<a>é</a>\n" // é is two bytes, at 3 and 4
	for _, tt := range []struct {
		name  string
		edits []Edit
		want  string // the new text, or part of the error after "error: "
		why   string
	}{
		{"none", nil, text, "nothing to do"},
		{"insertion", []Edit{{3, 3, "b"}}, "<a>bé</a>\n", "between two characters"},
		{"at the start", []Edit{{0, 0, "b"}}, "b" + text, "the first place"},
		{"at the end", []Edit{{10, 10, "b"}}, text + "b", "the last place"},
		{"replacement", []Edit{{3, 5, "e"}}, "<a>e</a>\n", "one character"},
		{"deletion", []Edit{{3, 5, ""}}, "<a></a>\n", "nothing in its place"},
		{"all", []Edit{{0, 10, "b"}}, "b", "the whole text"},
		{"order kept", []Edit{{3, 3, "1"}, {3, 3, "2"}, {3, 3, "3"}}, "<a>123é</a>\n", "insertions at one place"},
		{"any order", []Edit{{5, 5, "2"}, {3, 3, "1"}}, "<a>1é2</a>\n", "sorted by place"},
		{"insertion before replacement", []Edit{{3, 5, "e"}, {3, 3, "1"}}, "<a>1e</a>\n", "what is put in at its start comes before it"},
		{"insertion after replacement", []Edit{{5, 5, "1"}, {3, 5, "e"}}, "<a>e1</a>\n", "touching is not overlapping"},
		{"overlap", []Edit{{2, 5, ""}, {3, 6, ""}}, "error: overlaps", "which of the two is meant?"},
		{"the same twice", []Edit{{3, 5, "x"}, {3, 5, "x"}}, "error: overlaps", "a replacement can be made once"},
		{"inside a replacement", []Edit{{0, 10, ""}, {3, 3, "b"}}, "error: overlaps", "its place is gone"},
		{"before the text", []Edit{{-1, 0, ""}}, "error: outside", "no such place"},
		{"behind the text", []Edit{{11, 11, ""}}, "error: outside", "no such place"},
		{"backwards", []Edit{{5, 3, ""}}, "error: outside", "no such range"},
		{"inside a character", []Edit{{4, 4, "b"}}, "error: cuts a character", "it would be destroyed"},
		{"end inside a character", []Edit{{3, 4, "b"}}, "error: cuts a character", "half of it would stay"},
		{"not UTF-8", []Edit{{3, 3, "\xe9"}}, "error: not UTF-8", "it would spoil the file"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d, err := Open(ctx, "x", []byte(text), Limits{})
			if err != nil {
				t.Fatal(err)
			}
			out, err := d.Splice(ctx, tt.edits)
			if message, fails := strings.CutPrefix(tt.want, "error: "); fails {
				wantError(t, err, message, "")
				return
			}
			if err != nil || string(out) != tt.want {
				t.Errorf("got %q, %v; want %q (%s)", out, err, tt.want, tt.why)
			}
			if string(d.Raw) != text {
				t.Error("the document has changed")
			}
		})
	}
}

func TestSpliceNewlines(t *testing.T) {
	for _, tt := range []struct{ raw, put, want, why string }{
		{"<a>\n</a>", "b\nc\n", "<a>b\nc\n\n</a>", "as it is"},
		{"<a>\r\n</a>", "b\nc\n", "<a>b\r\nc\r\n\r\n</a>", "pairs"},
		{"<a>\r</a>", "b\nc\n", "<a>b\rc\r\r</a>", "lone carriage returns"},
		{"<a>\r\n</a>", "b\r\nc\n", "<a>b\r\nc\r\n\r\n</a>", "text taken from the document has its line ends already"},
	} {
		d, err := Open(ctx, "x", []byte(tt.raw), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		out, err := d.Splice(ctx, []Edit{{3, 3, tt.put}})
		if err != nil || string(out) != tt.want {
			t.Errorf("%s: got %q, %v; want %q", tt.why, out, err, tt.want)
		}
	}
}

// TestSpliceScores puts text into real scores at random places and takes it out
// again.
func TestSpliceScores(t *testing.T) {
	files := append(sharedFiles(t, "cases"), sharedFiles(t, "scores")...)
	random := rand.New(rand.NewPCG(1, 2))
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		d, err := Open(ctx, file, raw, Limits{})
		if err != nil {
			continue // TestOpenScores says which
		}
		if len(d.Text) > 4<<20 {
			continue // longer, not different
		}
		same, err := d.Splice(ctx, nil)
		if err != nil || !bytes.Equal(same, raw) {
			t.Errorf("%s: without edits it is not the same (%v)", file, err)
		}
		var edits []Edit
		for range 5 {
			at := random.IntN(len(d.Text) + 1)
			if d.isBoundary(at) && at > bytes.Index(d.Text, []byte("?>")) {
				edits = append(edits, Edit{at, at, "<!-- x -->\n"})
			}
		}
		out, err := d.Splice(ctx, edits)
		if err != nil {
			t.Errorf("%s: %v", file, err)
			continue
		}
		got, err := Open(ctx, file, out, Limits{})
		if err != nil {
			t.Errorf("%s: %v", file, err)
			continue
		}
		put := "<!-- x -->" + d.NewlineText()
		if n := bytes.Count(got.Text, []byte(put)); n < len(edits) {
			t.Errorf("%s: %d of %d insertions", file, n, len(edits))
		}
		if !bytes.Equal(bytes.ReplaceAll(got.Text, []byte(put), nil), bytes.ReplaceAll(d.Text, []byte(put), nil)) {
			t.Errorf("%s: the text outside the insertions has changed", file)
		}
		if d.Container != nil {
			checkContainerKept(t, d, got)
		}
	}
}
