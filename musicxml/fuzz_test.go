package musicxml

import (
	"bytes"
	"errors"
	"runtime/metrics"
	"strings"
	"testing"

	"pedalogue/musicxml/internal/archive/archivetest"
)

// FuzzOpen: whatever the bytes are, there is a document or an *Error; what
// opens can be spliced, and opens again with the text that was put in.
func FuzzOpen(f *testing.F) {
	f.Add([]byte(smallScore))
	f.Add([]byte(bomUTF8 + smallScore))
	f.Add([]byte(declared("ISO-8859-1") + "<a>\xe9</a>"))
	f.Add([]byte(bomUTF16LE + encoded(declared("UTF-16")+"<a>\U0001D12A</a>\r\n", false)))
	f.Add([]byte(encoded(declared("UTF-16")+"<a/>", true)))
	f.Add([]byte("%PDF-1.4"))
	for _, form := range archivetest.Forms {
		f.Add(testArchive(form))
	}
	f.Add(zipOf(f, file("a.xml", smallScore)))
	lim := Limits{Bytes: 1 << 20, Entries: 100}
	f.Fuzz(func(t *testing.T, raw []byte) {
		before := bytes.Clone(raw)
		var d *Document
		var err error
		allocates(t, fuzzMemory, func() { d, err = Open(ctx, "x", raw, lim) })
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.File != "x" || strings.HasPrefix(err.Error(), "x: x:") {
				t.Fatalf("not an error with its place: %v", err)
			}
			return
		}
		if int64(len(d.Text)) > lim.Bytes || int64(len(d.Source)) > lim.Bytes {
			t.Fatalf("%d bytes of text, %d of source", len(d.Text), len(d.Source))
		}
		checkSplice(t, d)
		if !bytes.Equal(raw, before) {
			t.Fatal("the bytes have changed")
		}
	})
}

// fuzzMemory is what a document within the limits of the fuzzers may take, in
// bytes; a file may say that it is larger, or unpack to more.
const fuzzMemory = 64 << 20

// allocates checks how many bytes a function allocates, those that are free again
// counted too.
func allocates(t *testing.T, most uint64, do func()) {
	t.Helper()
	count := func() uint64 {
		sample := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
		metrics.Read(sample)
		return sample[0].Value.Uint64()
	}
	before := count()
	do()
	if n := count() - before; n > most {
		t.Errorf("it took %d bytes of memory, more than %d", n, most)
	}
}

func checkSplice(t *testing.T, d *Document) {
	t.Helper()
	same, err := d.Splice(ctx, nil)
	if err != nil || !bytes.Equal(same, d.Raw) {
		t.Fatalf("without edits it is not the same: %v", err)
	}
	at := len(d.Text) / 2
	for !d.isBoundary(at) {
		at++
	}
	// Far enough in not to be taken for a declaration or a signature.
	if at < 4*declarationLength && len(d.Text) > 0 {
		at = len(d.Text)
	}
	out, err := d.Splice(ctx, []Edit{{at, at, "<!--x-->"}})
	if err != nil {
		t.Fatal(err)
	}
	got, err := Open(ctx, "x", out, Limits{Bytes: 2 << 20, Entries: 100})
	if err != nil {
		t.Fatalf("the copy does not open: %v", err)
	}
	want := string(d.Text[:at]) + "<!--x-->" + string(d.Text[at:])
	if string(got.Text) != want || got.Encoding.Name != d.Encoding.Name {
		t.Fatalf("text %q, want %q", got.Text, want)
	}
}
