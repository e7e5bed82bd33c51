package musicxml

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// checkArchiveKept compares a copy with its original, byte by byte outside the
// score.
func checkArchiveKept(t *testing.T, was, is *Document) {
	t.Helper()
	a, b := was.Container, is.Container
	if !slices.Equal(a.Entries, b.Entries) || !slices.Equal(a.Stored, b.Stored) || a.Descriptors != b.Descriptors || a.score != b.score {
		t.Fatalf("%s: container %+v, was %+v", was.Name, b, a)
	}
	if !bytes.Equal(a.archive.raw[a.archive.end+lenEnd:], b.archive.raw[b.archive.end+lenEnd:]) {
		t.Errorf("%s: the comment has changed", was.Name)
	}
	for i := range a.archive.entries {
		x, y := a.archive.entries[i], b.archive.entries[i]
		headers := [2][]byte{headerBytes(a.archive, x), headerBytes(b.archive, y)}
		locals := [2][]byte{bytes.Clone(a.archive.raw[x.local:x.data]), bytes.Clone(b.archive.raw[y.local:y.data])}
		for j := range 2 {
			blankAll(headerFields(headers[j]).offset)
			if i == a.score {
				for _, f := range []fields{headerFields(headers[j]), localFields(locals[j])} {
					blankAll(f.crc, f.packed, f.size)
				}
			}
		}
		if !bytes.Equal(headers[0], headers[1]) || !bytes.Equal(locals[0], locals[1]) {
			t.Errorf("%s: the headers of %q have changed", was.Name, a.Entries[i])
		}
		if i != a.score && !bytes.Equal(a.archive.raw[x.data:x.dataEnd], b.archive.raw[y.data:y.dataEnd]) {
			t.Errorf("%s: the content of %q has changed", was.Name, a.Entries[i])
		}
	}
}

func headerBytes(a *archive, e entry) []byte {
	h := a.raw[e.header:]
	size := lenHeader + int(le.Uint16(h[28:])) + int(le.Uint16(h[30:])) + int(le.Uint16(h[32:]))
	return bytes.Clone(h[:size])
}

func blankAll(fields ...[]byte) {
	for _, f := range fields {
		clear(f)
	}
}

// A form is a way in which archives are written.
type form struct {
	descriptor int  // length of the data descriptor: 0, 12, 16, 20 or 24
	twice      bool // sizes stand before the data as well as in the descriptor
	zip64      bool // sizes, offsets and the directory in zip64 records
	store      bool
	comment    string
	gap        int // bytes that belong to nothing, after each entry
	localExtra string
}

// write makes an archive by hand: archive/zip writes only one form.
func (f form) write(entries ...archived) []byte {
	var out, dir []byte
	for _, e := range entries {
		data := []byte(e.content)
		method := uint16(zip.Store)
		if !f.store && e.Method == zip.Deflate {
			method = zip.Deflate
			var b bytes.Buffer
			w, _ := flate.NewWriter(&b, 9)
			w.Write(data)
			w.Close()
			data = b.Bytes()
		}
		crc := crc32.ChecksumIEEE([]byte(e.content))
		at := len(out)
		out = f.local(out, e, method, crc, len(data))
		out = append(out, data...)
		out = f.behind(out, crc, len(data), len(e.content))
		out = append(out, strings.Repeat("?", f.gap)...)
		dir = f.header(dir, e, method, crc, len(data), at)
	}
	start := len(out)
	out = append(out, dir...)
	return f.finish(out, start, len(entries))
}

func (f form) flags() uint16 {
	if f.descriptor > 0 {
		return flagDescriptor
	}
	return 0
}

func (f form) local(out []byte, e archived, method uint16, crc uint32, packed int) []byte {
	extra := f.localExtra
	size := len(e.content)
	if f.descriptor > 0 && !f.twice {
		crc, packed, size = 0, 0, 0
	}
	sizes := [2]uint32{uint32(packed), uint32(size)}
	if f.zip64 {
		sizes = [2]uint32{1<<32 - 1, 1<<32 - 1}
		field := le.AppendUint16(nil, extraZip64)
		field = le.AppendUint16(field, 16)
		field = le.AppendUint64(field, uint64(size))
		field = le.AppendUint64(field, uint64(packed))
		extra += string(field)
	}
	out = le.AppendUint32(out, sigLocal)
	for _, v := range []uint16{45, f.flags(), method, 0x6000, 0x4321} {
		out = le.AppendUint16(out, v)
	}
	for _, v := range []uint32{crc, sizes[0], sizes[1]} {
		out = le.AppendUint32(out, v)
	}
	out = le.AppendUint16(out, uint16(len(e.Name)))
	out = le.AppendUint16(out, uint16(len(extra)))
	return append(out, e.Name+extra...)
}

func (f form) behind(out []byte, crc uint32, packed, size int) []byte {
	if f.descriptor == 0 {
		return out
	}
	if f.descriptor%8 == 0 { // 16 or 24: with a signature
		out = le.AppendUint32(out, sigDescriptor)
	}
	out = le.AppendUint32(out, crc)
	if f.descriptor >= 20 {
		return le.AppendUint64(le.AppendUint64(out, uint64(packed)), uint64(size))
	}
	return le.AppendUint32(le.AppendUint32(out, uint32(packed)), uint32(size))
}

func (f form) header(dir []byte, e archived, method uint16, crc uint32, packed, at int) []byte {
	extra := "\x99\x99\x02\x00hi" // a field that nobody knows
	figures := [3]uint32{uint32(packed), uint32(len(e.content)), uint32(at)}
	if f.zip64 {
		figures = [3]uint32{1<<32 - 1, 1<<32 - 1, 1<<32 - 1}
		field := le.AppendUint16(nil, extraZip64)
		field = le.AppendUint16(field, 24)
		for _, v := range []int{len(e.content), packed, at} {
			field = le.AppendUint64(field, uint64(v))
		}
		extra += string(field)
	}
	dir = le.AppendUint32(dir, sigHeader)
	for _, v := range []uint16{0x0314, 45, f.flags(), method, 0x6000, 0x4321} {
		dir = le.AppendUint16(dir, v)
	}
	for _, v := range []uint32{crc, figures[0], figures[1]} {
		dir = le.AppendUint32(dir, v)
	}
	for _, v := range []uint16{uint16(len(e.Name)), uint16(len(extra)), uint16(len(e.Comment)), 0, 0} {
		dir = le.AppendUint16(dir, v)
	}
	dir = le.AppendUint32(dir, 0o100640<<16)
	dir = le.AppendUint32(dir, figures[2])
	return append(dir, e.Name+extra+e.Comment...)
}

func (f form) finish(out []byte, start, count int) []byte {
	size := len(out) - start
	if f.zip64 {
		at := len(out)
		out = le.AppendUint32(out, sigEnd64)
		out = le.AppendUint64(out, lenEnd64-12)
		out = le.AppendUint32(out, 45<<16|45)
		out = le.AppendUint64(out, 0)
		for _, v := range []int{count, count, size, start} {
			out = le.AppendUint64(out, uint64(v))
		}
		out = le.AppendUint32(out, sigLocator64)
		out = le.AppendUint32(out, 0)
		out = le.AppendUint64(out, uint64(at))
		out = le.AppendUint32(out, 1)
		count, size, start = 1<<16-1, 1<<32-1, 1<<32-1
	}
	out = le.AppendUint32(out, sigEnd)
	for _, v := range []uint16{0, 0, uint16(count), uint16(count)} {
		out = le.AppendUint16(out, v)
	}
	out = le.AppendUint32(out, uint32(size))
	out = le.AppendUint32(out, uint32(start))
	out = le.AppendUint16(out, uint16(len(f.comment)))
	return append(out, f.comment...)
}

// testForms are the forms that a reader may meet, each with its reason.
var testForms = map[string]form{
	"sizes before the data":            {},
	"stored":                           {store: true},
	"descriptor":                       {descriptor: 16},
	"descriptor without signature":     {descriptor: 12},
	"descriptor and sizes before":      {descriptor: 16, twice: true},
	"zip64":                            {zip64: true},
	"zip64, descriptor":                {zip64: true, descriptor: 24},
	"zip64, no signature":              {zip64: true, descriptor: 20},
	"comment":                          {comment: "made for a test"},
	"bytes between the entries":        {gap: 7},
	"times that only stand before":     {localExtra: "UT\x09\x00\x03abcdefgh"},
	"stored, descriptor and a comment": {store: true, descriptor: 16, comment: "x"},
}

func testArchive(f form) []byte {
	described := file("notes.txt", "Bitte nicht falten.")
	described.Comment = "a comment of the entry"
	return f.write(stored("mimetype", "application/vnd.recordare.musicxml"), containerFor("score.xml"),
		file("score.xml", smallScore+strings.Repeat("<!-- more -->\n", 50)), described, stored("page.pdf", "%PDF-1.7\x00\xff"))
}

func TestSpliceArchive(t *testing.T) {
	for name, f := range testForms {
		t.Run(name, func(t *testing.T) {
			raw := testArchive(f)
			d, err := Open("x.mxl", raw, Limits{})
			if err != nil {
				t.Fatal(err)
			}
			if same, err := d.Splice(nil); err != nil || &same[0] != &raw[0] {
				t.Errorf("without edits it is not the file itself (%v)", err)
			}
			at := bytes.Index(d.Text, []byte("<part-list"))
			// One that makes the score longer, one that makes it shorter.
			for _, edits := range [][]Edit{{{at, at, strings.Repeat("<!-- ♭ -->", 3)}}, {{at, len(d.Text) - 20, ""}}} {
				before := bytes.Clone(raw)
				out, err := d.Splice(edits)
				if err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(raw, before) {
					t.Fatal("the original has changed")
				}
				got, err := Open("x.mxl", out, Limits{})
				if err != nil {
					t.Fatal(err)
				}
				want, err := d.SpliceDocument(edits)
				if err != nil || !bytes.Equal(got.Source, want) {
					t.Errorf("score %q, want %q, %v", got.Source, want, err)
				}
				checkArchiveKept(t, d, got)
				checkWithOthers(t, out)
			}
		})
	}
}

// checkWithOthers has an archive tested by programs that other people wrote,
// where they are installed.
func checkWithOthers(t *testing.T, raw []byte) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "x.zip")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	if unzip, err := exec.LookPath("unzip"); err == nil {
		if out, err := exec.Command(unzip, "-tqq", path).CombinedOutput(); err != nil {
			t.Errorf("unzip -t: %v\n%s", err, out)
		}
	}
	r, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range r.File {
		c, err := f.Open()
		if err == nil {
			_, err = io.Copy(io.Discard, c)
		}
		if err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
	}
}

func TestArchiveTraps(t *testing.T) {
	good := testArchive(form{})
	a, err := openArchive(good, 100)
	if err != nil {
		t.Fatal(err)
	}
	score := a.entries[2]
	change := func(edit func(b []byte)) []byte {
		b := bytes.Clone(good)
		edit(b)
		return b
	}
	put16 := binary.LittleEndian.PutUint16
	put32 := binary.LittleEndian.PutUint32
	for _, tt := range []struct {
		name       string
		raw        []byte
		want, hint string
		why        string
	}{
		{"only the signature", []byte("PK\x03\x04"), "it has no directory at its end", "cut short", "nothing behind it"},
		{"cut in the data", good[:score.data+10], "it has no directory at its end", "cut short", "a download that broke off"},
		{"cut in the directory", good[:a.directory+60], "it has no directory at its end", "cut short", "the same"},
		{"cut in the end record", good[:len(good)-1], "it has no directory at its end", "cut short", "the same"},
		{"directory elsewhere", change(func(b []byte) { put32(b[a.end+16:], uint32(a.end)+9) }), "its directory is not where it should be", "", "an offset behind the end"},
		{"directory moved", change(func(b []byte) { put32(b[a.end+16:], uint32(a.directory)+1) }), "the zip archive is damaged", "", "an offset that is off by one"},
		{"checksum", change(func(b []byte) { put32(b[score.header+16:], 1) }), "does not have the checksum", "get it again", "a bit that fell over"},
		{"damaged data", change(func(b []byte) { b[score.data] ^= 0xff }), `the entry "score.xml" cannot be unpacked`, "get it again", "a bit that fell over"},
		{"damaged text", testArchiveWithDamagedStore(), "does not have the checksum", "get it again", "not packed, so nothing but the checksum tells"},
		{"size too small", change(func(b []byte) { put32(b[score.header+24:], 10) }), "damaged", "", "the header's size is a promise"},
		{"size too large", change(func(b []byte) { put32(b[score.header+24:], 1<<31) }), "damaged", "", "the header's size is a promise"},
		{"encrypted", change(func(b []byte) { b[score.header+8] |= flagEncrypted }), `the entry "score.xml" is encrypted`, "password", "we have no password"},
		{"other method", change(func(b []byte) { put16(b[score.header+10:], 14) }), "compressed by method 14, which is not read", "deflate", "LZMA"},
		{"overlap", change(func(b []byte) { put32(b[a.entries[3].header+42:], uint32(score.local)) }), `the entry "notes.txt" has another name`, "", "two names for the same bytes"},
		{"renamed", change(func(b []byte) { b[score.local+lenLocal] = 'X' }), `the entry "score.xml" has another name in the directory`, "", "two readers would see two archives"},
		{"local header gone", change(func(b []byte) { b[score.local] = 'X' }), `the entry "score.xml" is not where the directory says`, "", "an offset that leads nowhere"},
		{"data behind the directory", change(func(b []byte) { put32(b[score.header+20:], 1<<30) }), `the entry "score.xml" is not where`, "", "longer than the file"},
		{"split", change(func(b []byte) { put16(b[a.end+4:], 2); put16(b[a.end+6:], 0) }), "one volume of a split zip", "join", "the others are missing"},
		{"end in the comment", testArchive(form{comment: "see PK\x05\x06 for the end of this archive"}), "the zip archive is damaged", "", "two places could be the end; readers differ"},
		{"many entries announced", change(func(b []byte) { put16(b[a.end+8:], 60000); put16(b[a.end+10:], 60000) }), "more than the limit of 10000", "", "before anything is reserved for them"},
		{"more entries than there are", change(func(b []byte) { put16(b[a.end+8:], 9); put16(b[a.end+10:], 9) }), "damaged", "", "the directory ends before"},
	} {
		_, err := Open("x.mxl", tt.raw, Limits{})
		t.Run(tt.name, func(t *testing.T) { wantError(t, err, tt.want, tt.hint) })
	}
}

func testArchiveWithDamagedStore() []byte {
	raw := testArchive(form{store: true})
	i := bytes.Index(raw, []byte("<!-- more -->"))
	raw[i+5] = 'M'
	return raw
}

// TestStrangeDescriptor: such an archive can be read, since the directory has
// the sizes, but a copy would have to guess.
func TestStrangeDescriptor(t *testing.T) {
	raw := testArchive(form{descriptor: 16})
	a, err := openArchive(raw, 100)
	if err != nil {
		t.Fatal(err)
	}
	raw[a.entries[2].dataEnd+8]++ // the packed size, behind the signature and the checksum
	d, err := Open("x.mxl", raw, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.Splice([]Edit{{0, 0, " "}})
	wantError(t, err, `x.mxl: the zip archive is damaged: the sizes behind the entry "score.xml"`, "get it again")
}

func TestOverlap(t *testing.T) {
	// Two directory entries of the same name lead to one place: a quine of this
	// kind makes an endless archive out of few bytes.
	raw := form{}.write(containerFor("s.xml"), file("s.xml", smallScore), file("n.txt", "1"), file("n.txt", "1"))
	a, err := openArchive(raw, 100)
	if err != nil {
		t.Fatal(err)
	}
	le.PutUint32(raw[a.entries[3].header+42:], uint32(a.entries[2].local))
	_, err = Open("x.mxl", raw, Limits{})
	wantError(t, err, `the entries "n.txt" and "n.txt" overlap`, "")
}

// TestBomb packs much into little and watches what is reserved for it.
func TestBomb(t *testing.T) {
	const limit = 1 << 20
	const unpacked = 32 * limit
	bomb := zipOf(t, containerFor("s.xml"), file("s.xml", strings.Repeat(" ", unpacked)))
	if len(bomb) > 100<<10 {
		t.Fatalf("%d bytes are no bomb", len(bomb))
	}
	allocated := allocatedBy(func() {
		_, err := Open("x.mxl", bomb, Limits{Bytes: limit})
		wantError(t, err, `the entry "s.xml" is larger than the limit of 1 MiB`, "--max-size")
	})
	if allocated > unpacked/4 {
		t.Errorf("%d bytes were reserved for a limit of %d", allocated, limit)
	}
}

// TestHeaderLies: a header that announces 4 GB for ten bytes reserves nothing.
func TestHeaderLies(t *testing.T) {
	raw := form{}.write(containerFor("s.xml"), file("s.xml", smallScore))
	a, err := openArchive(raw, 100)
	if err != nil {
		t.Fatal(err)
	}
	le.PutUint32(raw[a.entries[1].header+24:], 1<<32-2)
	allocated := allocatedBy(func() {
		_, err := Open("x.mxl", raw, Limits{})
		wantError(t, err, "shorter or longer than the directory says", "")
	})
	if allocated > 1<<20 {
		t.Errorf("%d bytes were reserved", allocated)
	}
}

// allocatedBy returns how many bytes f has allocated. Other tests may not run
// at the same time.
func allocatedBy(f func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

func ExampleDocument_Splice() {
	d, err := Open("score.xml", []byte("<words>forte</words>\r\n"), Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	out, err := d.Splice([]Edit{{Start: 7, End: 7, New: "molto\n"}})
	fmt.Printf("%q %v\n", out, err)
	// Output: "<words>molto\r\nforte</words>\r\n" <nil>
}
