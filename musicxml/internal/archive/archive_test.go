package archive

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	at "pedalogue/musicxml/internal/archive/archivetest"
)

const scoreName = "score.xml"

// scoreIndex is the place of the score in testArchive.
const scoreIndex = 2

func testArchive(f at.Form) []byte {
	described := at.File("notes.txt", "Bitte nicht falten.")
	described.Comment = "a comment of the entry"
	return f.Write(at.Stored("mimetype", "application/vnd.recordare.musicxml"), at.File("META-INF/container.xml", "<container/>"),
		at.File(scoreName, "<score-partwise/>"+strings.Repeat("<!-- more -->\n", 50)), described, at.Stored("page.pdf", "%PDF-1.7\x00\xff"))
}

// kept is what archive/zip reads of an entry, sizes and checksum aside.
type kept struct {
	zip.FileHeader
	Packed string // its checksum
}

// keptOf reads an archive with archive/zip alone.
func keptOf(t *testing.T, raw []byte, changed int) (list []kept, comment string) {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range r.File {
		from, err := f.DataOffset()
		if err != nil {
			t.Fatal(err)
		}
		k := kept{f.FileHeader, fmt.Sprintf("%x", sha256.Sum256(raw[from:][:f.CompressedSize64]))}
		k.Extra = withoutZip64(k.Extra)
		k.CreatorVersion, k.ReaderVersion = k.CreatorVersion&0xff00, 0 // which version of the format is enough
		if i == changed {
			k.Packed, k.CRC32, k.CompressedSize64, k.UncompressedSize64 = "", 0, 0, 0
		}
		k.CompressedSize, k.UncompressedSize = 0, 0 // deprecated fields, the maximum for zip64
		list = append(list, k)
	}
	return list, r.Comment
}

func TestReplace(t *testing.T) {
	for name, form := range at.Forms {
		t.Run(name, func(t *testing.T) {
			raw := testArchive(form)
			a, err := Open(raw, 100)
			if err != nil {
				t.Fatal(err)
			}
			if a.Front() != len(form.Front) {
				t.Errorf("%d bytes in front, want %d", a.Front(), len(form.Front))
			}
			before := bytes.Clone(raw)
			for _, content := range []string{strings.Repeat("longer than it was: ♭ ", 100), "<a/>", ""} {
				out, err := a.Replace(ctx, scoreIndex, []byte(content))
				if err != nil {
					t.Fatal(err)
				}
				if !bytes.Equal(raw, before) {
					t.Fatal("the original has changed")
				}
				checkKept(t, raw, out, scoreIndex)
				if !bytes.HasPrefix(out, []byte(form.Front)) {
					t.Error("what stands in front is lost")
				}
				checkWithOthers(t, out, content)
				again, err := Open(out, 100)
				if err != nil {
					t.Fatal(err)
				}
				if got, err := again.Read(ctx, scoreIndex, 1<<20); err != nil || string(got) != content {
					t.Errorf("the score is %q, want %q, %v", got, content, err)
				}
			}
		})
	}
}

func checkKept(t *testing.T, was, is []byte, changed int) {
	t.Helper()
	a, commentBefore := keptOf(t, was, changed)
	b, commentAfter := keptOf(t, is, changed)
	if d := cmp.Diff(a, b, cmpopts.EquateEmpty()); d != "" || commentBefore != commentAfter {
		t.Errorf("comment %q was %q; entries: %s", commentAfter, commentBefore, d)
	}
}

// checkWithOthers has an archive tested by programs that other people wrote,
// where they are installed.
func checkWithOthers(t *testing.T, raw []byte, content string) {
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
		if err != nil {
			t.Fatal(err)
		}
		got, err := io.ReadAll(c)
		if err != nil || f.Name == scoreName && string(got) != content {
			t.Errorf("%s: %q, %v", f.Name, got, err)
		}
	}
}

// TestReplaceKeepsRealArchives does the same to archives from many hands.
func TestReplaceKeepsRealArchives(t *testing.T) {
	dir := filepath.Join("..", "..", "..", "..", "shared")
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the collection of scores is not here")
	}
	files, err := filepath.Glob(filepath.Join(dir, "scores", "*", "*.mxl"))
	if err != nil || len(files) < 10 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		a, err := Open(raw, 1000)
		if err != nil {
			t.Fatal(err)
		}
		for i, e := range a.Entries() {
			if e.Dir {
				continue
			}
			out, err := a.Replace(ctx, i, []byte("<a/>"))
			if err != nil {
				t.Fatal(err)
			}
			checkKept(t, raw, out, i)
		}
	}
}

func TestTraps(t *testing.T) {
	good := testArchive(at.Form{})
	a, err := Open(good, 100)
	if err != nil {
		t.Fatal(err)
	}
	score, notes := a.entries[scoreIndex], a.entries[scoreIndex+1]
	end := bytes.LastIndex(good, []byte(sigEnd))
	directory := int(le.Uint32(good[end+16:]))
	header := directory // of the score in the directory
	for range scoreIndex + 1 {
		header = directory + bytes.Index(good[directory:], []byte(scoreName)) - 46
	}
	next := header + bytes.Index(good[header:], []byte("notes.txt")) - 46
	change := func(edit func(b []byte)) []byte {
		b := bytes.Clone(good)
		edit(b)
		return b
	}
	put16, put32 := binary.LittleEndian.PutUint16, binary.LittleEndian.PutUint32
	damage := testArchive(at.Form{Store: true})
	damage[bytes.Index(damage, []byte("<!-- more -->"))+5] = 'M'
	many := make([]at.Entry, 101)
	for i := range many {
		many[i] = at.Stored("x", "")
	}
	for _, tt := range []struct {
		name       string
		raw        []byte
		want, hint string
		why        string
	}{
		{"only the signature", []byte(sigLocal), "it has no directory at its end", "cut short", "nothing behind it"},
		{"cut in the data", good[:score.from+10], "it has no directory at its end", "cut short", "a download that broke off"},
		{"cut in the directory", good[:directory+60], "it has no directory at its end", "cut short", "the same"},
		{"cut in the end record", good[:len(good)-1], "it has no directory at its end", "cut short", "the same"},
		{"directory elsewhere", change(func(b []byte) { put32(b[end+16:], uint32(end)+9) }), "the zip archive is damaged", "", "an offset behind the end"},
		{"directory moved", change(func(b []byte) { put32(b[end+16:], uint32(directory)+1) }), "the zip archive is damaged", "", "an offset that is off by one"},
		{"checksum", change(func(b []byte) { put32(b[header+16:], 1) }), "does not have the checksum", "get it again", "a bit that fell over"},
		{"damaged data", change(func(b []byte) { b[score.from] ^= 0xff }), `the entry "score.xml" cannot be unpacked`, "get it again", "a bit that fell over"},
		{"damaged text", damage, "does not have the checksum", "get it again", "not packed, so nothing but the checksum tells"},
		{"size too small", change(func(b []byte) { put32(b[header+24:], 10) }), "damaged", "", "the header's size is a promise"},
		{"size too large", change(func(b []byte) { put32(b[header+24:], 1<<31) }), "damaged", "", "the header's size is a promise"},
		{"encrypted", change(func(b []byte) { b[header+8] |= flagEncrypted }), `the entry "score.xml" is encrypted`, "password", "we have no password"},
		{"other method", change(func(b []byte) { put16(b[header+10:], 14) }), "compressed by method 14, which is not read", "deflate", "LZMA"},
		{"overlap", change(func(b []byte) { put32(b[next+42:], uint32(score.header)) }), `the entry "notes.txt" has another name`, "", "two names for the same bytes"},
		{"renamed", change(func(b []byte) { b[score.header+lenLocal] = 'X' }), `the entry "score.xml" has another name in the directory`, "", "two readers would see two archives"},
		{"local header gone", change(func(b []byte) { b[score.header] = 'X' }), `the entry "score.xml" is not where the directory says`, "", "an offset that leads nowhere"},
		{"data behind the file", change(func(b []byte) { put32(b[header+20:], 1<<30) }), `the entry "score.xml" is not where`, "", "longer than the file"},
		{"data in the next entry", change(func(b []byte) { put32(b[header+20:], uint32(notes.from-score.from)) }), `the entries "score.xml" and "notes.txt" overlap`, "", "longer than it can be"},
		{"split", change(func(b []byte) { put16(b[end+4:], 2); put32(b[end+16:], uint32(end)) }), "one volume of a split zip", "join", "the others are missing"},
		{"end in the comment", testArchive(at.Form{Comment: "see PK\x05\x06 for the end of this archive"}), "the zip archive is damaged", "", "two places could be the end; readers differ"},
		{"many entries announced", change(func(b []byte) { put16(b[end+8:], 60000); put16(b[end+10:], 60000) }), "damaged", "", "nothing is reserved for them"},
		{"many entries", at.Form{}.Write(many...), "more than the limit of 100", "unpack it", "before anything is reserved for them"},
		{"more entries than there are", change(func(b []byte) { put16(b[end+8:], 9); put16(b[end+10:], 9) }), "damaged", "", "the directory ends before"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a, err := Open(tt.raw, 100)
			if err == nil {
				_, err = a.Read(ctx, scoreIndex, 1<<20)
			}
			wantError(t, err, tt.want, tt.hint)
		})
	}
}

func wantError(t *testing.T, err error, want, hint string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) || !strings.Contains(err.Error(), want) || !strings.Contains(e.Hint, hint) {
		t.Errorf("error %v, want %q with hint %q", err, want, hint)
	}
}

// TestStrangeDescriptor: the directory has the sizes, so what stands behind the
// data does not count.
func TestStrangeDescriptor(t *testing.T) {
	raw := testArchive(at.Form{Descriptor: 16})
	a, err := Open(raw, 100)
	if err != nil {
		t.Fatal(err)
	}
	raw[a.entries[scoreIndex].end+8]++ // the packed size, behind the signature and the checksum
	out, err := a.Replace(ctx, scoreIndex, []byte("<a/>"))
	if err != nil {
		t.Fatal(err)
	}
	checkWithOthers(t, out, "<a/>")
}

// TestPackedFolder: some programs compress a folder's content, which is nothing,
// into two bytes and put a descriptor behind them.
func TestPackedFolder(t *testing.T) {
	raw := at.Form{Descriptor: 16}.Write(at.File("parts/", ""), at.File("s.xml", "<a/>"))
	a, err := Open(raw, 100)
	if err != nil {
		t.Fatal(err)
	}
	out, err := a.Replace(ctx, 1, []byte("<b/>"))
	if err != nil {
		t.Fatal(err)
	}
	checkWithOthers(t, out, "")
	again, err := Open(out, 100)
	if err != nil || !again.Entries()[0].Dir || again.Entries()[0].Name != "parts/" {
		t.Errorf("%+v, %v", again, err)
	}
}

func TestOverlap(t *testing.T) {
	// Two directory entries of the same name lead to one place: a quine of this
	// kind makes an endless archive out of few bytes.
	raw := at.Form{}.Write(at.File("n.txt", "1"), at.File("n.txt", "1"))
	a, err := Open(raw, 100)
	if err != nil {
		t.Fatal(err)
	}
	second := bytes.LastIndex(raw, []byte(sigHeader))
	le.PutUint32(raw[second+42:], uint32(a.entries[0].header))
	_, err = Open(raw, 100)
	wantError(t, err, `the entries "n.txt" and "n.txt" overlap`, "")
}

// TestBomb packs much into little and watches what is reserved for it.
func TestBomb(t *testing.T) {
	const limit = 1 << 20
	const unpacked = 32 * limit
	bomb := at.Zip(t, at.File("s.xml", strings.Repeat(" ", unpacked)))
	if len(bomb) > 100<<10 {
		t.Fatalf("%d bytes are no bomb", len(bomb))
	}
	allocated := allocatedBy(func() {
		a, err := Open(bomb, 100)
		if err != nil {
			t.Fatal(err)
		}
		_, err = a.Read(ctx, 0, limit)
		var large *SizeError
		if !errors.As(err, &large) || large.Entry != "s.xml" || large.Limit != limit {
			t.Errorf("error %v", err)
		}
	})
	if allocated > unpacked/4 {
		t.Errorf("%d bytes were reserved for a limit of %d", allocated, limit)
	}
}

// TestHeaderLies: a header that announces 4 GB for ten bytes reserves nothing.
func TestHeaderLies(t *testing.T) {
	raw := at.Form{}.Write(at.File("s.xml", "<score-partwise/>"))
	header := bytes.LastIndex(raw, []byte(sigHeader))
	le.PutUint32(raw[header+24:], 1<<32-2)
	allocated := allocatedBy(func() {
		a, err := Open(raw, 100)
		if err != nil {
			t.Fatal(err)
		}
		_, err = a.Read(ctx, 0, 1<<40)
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
