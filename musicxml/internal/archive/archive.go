// Package archive reads zip files in memory, and puts another content in the
// place of one entry.
//
// [Open] takes the directory in, [Archive.Read] unpacks an entry, and
// [Archive.Replace] writes the archive again: every entry keeps its name, its
// place in the order, its times, attributes, comment and compression method, and
// all but the replaced one their packed bytes. What stands before the first entry,
// such as the program of an archive that unpacks itself, stays in front. Only what
// package archive/zip does not read is not kept: bytes between the entries, and
// the extra fields that stand before an entry's data but not in the directory.
package archive

import (
	"archive/zip"
	"bytes"
	"cmp"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/klauspost/compress/flate"
	"golang.org/x/text/encoding/charmap"
)

// An Error is what keeps an archive from being read or written.
type Error struct {
	Err  error  // what is wrong, in lower case
	Hint string // what to do about it; "" if there is nothing to say
}

// Error returns what is wrong.
func (e *Error) Error() string { return e.Err.Error() }

// Unwrap returns what is wrong.
func (e *Error) Unwrap() error { return e.Err }

// A SizeError says that an entry unpacks to more than the limit.
type SizeError struct {
	Entry string
	Limit int64 // in bytes
}

// Error names the entry.
func (e *SizeError) Error() string {
	return fmt.Sprintf("the entry %q is larger than the limit of %d bytes", e.Entry, e.Limit)
}

func fault(hint, format string, args ...any) *Error {
	return &Error{Err: fmt.Errorf(format, args...), Hint: hint}
}

func damaged(format string, args ...any) *Error {
	return fault("the file is damaged or cut short; get it again from where it came", "the zip archive is damaged: "+format, args...)
}

const unpackHint = "unpack it and give the score inside"

// Signatures of the records of a zip. Source: APPNOTE.TXT, the zip file format
// specification, 4.3.6 to 4.3.16.
const (
	sigLocal  = "PK\x03\x04" // the header before an entry's data
	sigHeader = "PK\x01\x02" // the header of an entry in the directory
	sigEnd    = "PK\x05\x06" // the end record
)

const (
	lenLocal       = 30 // of a header before an entry's data, without its name
	lenEnd         = 22
	flagEncrypted  = 0x1
	flagDescriptor = 0x8
	extraZip64     = 0x0001
)

var le = binary.LittleEndian

// Is reports whether data begins as a zip does that has entries.
func Is(data []byte) bool { return bytes.HasPrefix(data, []byte(sigLocal)) }

// An Archive is a zip file in memory.
type Archive struct {
	raw     []byte
	zip     *zip.Reader
	entries []Entry
	front   int // bytes before the first entry
}

// An Entry is one file or folder in an archive.
type Entry struct {
	Name       string // as UTF-8; a folder's ends with "/"
	Dir        bool   // it is a folder
	Stored     bool   // it is not compressed
	Descriptor bool   // its sizes stand behind its data

	file   *zip.File
	header int // offset of the header before its data
	from   int // offset of its data
	end    int // offset after its data
}

// Entries returns the entries in the order of the directory. The list is the
// archive's own: nobody may change it.
func (a *Archive) Entries() []Entry { return a.entries }

// Front returns how many bytes stand before the first entry; 0 in most archives.
func (a *Archive) Front() int { return a.front }

// Open reads the directory of a zip of at most maxEntries entries, and keeps raw.
// Archives are refused in which entries share bytes, or have another name before
// their data than in the directory: two readers would see two archives. Every
// error is an [*Error].
func Open(raw []byte, maxEntries int) (*Archive, error) {
	// There cannot be more entries than signatures; archive/zip would make them all.
	if n := bytes.Count(raw, []byte(sigHeader)); n > maxEntries {
		return nil, fault(unpackHint, "the archive has %d entries, more than the limit of %d", n, maxEntries)
	}
	r, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		return nil, notRead(raw, err)
	}
	r.RegisterDecompressor(zip.Deflate, flate.NewReader)
	a := &Archive{raw: raw, zip: r, front: len(raw)}
	for _, f := range r.File {
		if err := a.add(f); err != nil {
			return nil, notRead(raw, err)
		}
	}
	return a, a.checkOverlap()
}

// notRead says why a directory cannot be read or does not fit the file.
func notRead(raw []byte, err error) error {
	end := bytes.LastIndex(raw, []byte(sigEnd))
	var known *Error
	switch {
	case end < 0 || len(raw)-end < lenEnd:
		return damaged("it has no directory at its end")
	case len(raw)-end == lenEnd+int(le.Uint16(raw[end+20:])) && le.Uint16(raw[end+4:]) != 0:
		return fault("join the volumes first", "the archive is one volume of a split zip archive")
	case errors.As(err, &known):
		return err
	}
	return damaged("its directory cannot be read (%w)", err)
}

// add takes in an entry and finds its data.
func (a *Archive) add(f *zip.File) error {
	e := Entry{
		Name: utf8Name(f.Name), Dir: f.Mode().IsDir(), Stored: f.Method == zip.Store,
		Descriptor: f.Flags&flagDescriptor != 0, file: f,
	}
	from, err := f.DataOffset()
	if err != nil || from > int64(len(a.raw)) || uint64(len(a.raw))-uint64(from) < f.CompressedSize64 {
		return damaged("the entry %q is not where the directory says", f.Name)
	}
	e.from, e.end = int(from), int(from)+int(f.CompressedSize64)
	if e.header = a.localHeader(e.from); e.header < 0 {
		return damaged("the entry %q is not where the directory says", f.Name)
	}
	if name := a.raw[e.header+lenLocal:][:le.Uint16(a.raw[e.header+26:])]; string(name) != f.Name {
		return damaged("the entry %q has another name in the directory than before its data", f.Name)
	}
	a.front = min(a.front, e.header)
	a.entries = append(a.entries, e)
	return nil
}

// localHeader returns where the header begins that ends at the start of an entry's
// data, -1 if there is none.
func (a *Archive) localHeader(data int) int {
	const longest = lenLocal + 2*(1<<16-1)
	low := max(0, data-longest)
	for at := data; ; {
		if at = bytes.LastIndex(a.raw[low:at], []byte(sigLocal)); at < 0 {
			return -1
		}
		at += low
		if h := a.raw[at:]; data-at >= lenLocal && data-at == lenLocal+int(le.Uint16(h[26:]))+int(le.Uint16(h[28:])) {
			return at
		}
	}
}

// checkOverlap refuses archives in which entries share bytes: no honest program
// writes them, and such an archive can unpack to any size.
func (a *Archive) checkOverlap() error {
	sorted := slices.Clone(a.entries)
	slices.SortStableFunc(sorted, func(x, y Entry) int { return cmp.Compare(x.from, y.from) })
	for i := 1; i < len(sorted); i++ {
		if last := sorted[i-1]; sorted[i].header < last.end {
			return damaged("the entries %q and %q overlap", last.file.Name, sorted[i].file.Name)
		}
	}
	return nil
}

// utf8Name returns the name of an entry as UTF-8. Names that are marked as UTF-8
// or happen to be it are taken as they are; others are in the code page of the
// first PCs, as the zip format says.
func utf8Name(name string) string {
	if utf8.ValidString(name) {
		return name
	}
	text, err := charmap.CodePage437.NewDecoder().String(name)
	if err != nil {
		return strings.ToValidUTF8(name, "\uFFFD")
	}
	return text
}

// Read unpacks entry i and checks its checksum. Content of more than limit bytes
// is a [*SizeError], everything else that can be wrong an [*Error]; a context that
// has ended is its own error.
func (a *Archive) Read(ctx context.Context, i int, limit int64) ([]byte, error) {
	r, err := a.reader(i)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	e := &a.entries[i]
	if e.Stored && e.file.CompressedSize64 == e.file.UncompressedSize64 {
		// The bytes are here already; only their checksum is to be looked at.
		data := a.raw[e.from:e.end]
		if int64(len(data)) > limit {
			return nil, &SizeError{e.Name, limit}
		}
		if crc32.ChecksumIEEE(data) != e.file.CRC32 {
			return nil, e.damage(zip.ErrChecksum)
		}
		return data, nil
	}
	// The header's size is a promise: it sets the room, not the bound. Deflate
	// makes at most 1032 bytes of one.
	const maxRatio = 1032
	room := min(e.file.UncompressedSize64, uint64(limit), maxRatio*e.file.CompressedSize64)
	b := bytes.NewBuffer(make([]byte, 0, room+bytes.MinRead))
	if _, err := b.ReadFrom(io.LimitReader(readerUntil{ctx, r}, limit+1)); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, e.damage(err)
	}
	if int64(b.Len()) > limit {
		return nil, &SizeError{e.Name, limit}
	}
	return b.Bytes(), nil
}

// A readerUntil reads until its context ends.
type readerUntil struct {
	ctx context.Context
	io.Reader
}

func (r readerUntil) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.Read(p[:min(len(p), chunk)])
}

// chunk is how many bytes are packed or unpacked before the context is looked at.
const chunk = 1 << 20

// Peek unpacks the first n bytes of entry i, or all if there are fewer. Its error
// is an [*Error].
func (a *Archive) Peek(i, n int) ([]byte, error) {
	r, err := a.reader(i)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	head, err := io.ReadAll(io.LimitReader(r, int64(n)))
	if err != nil {
		return nil, a.entries[i].damage(err)
	}
	return head, nil
}

func (a *Archive) reader(i int) (io.ReadCloser, error) {
	e := &a.entries[i]
	if e.file.Flags&flagEncrypted != 0 {
		return nil, fault("unpack it with its password and give the score inside", "the entry %q is encrypted", e.Name)
	}
	r, err := e.file.Open()
	if errors.Is(err, zip.ErrAlgorithm) {
		return nil, fault(unpackHint+", or pack it again with deflate",
			"the entry %q is compressed by method %d, which is not read", e.Name, e.file.Method)
	}
	if err != nil {
		return nil, e.damage(err)
	}
	return r, nil
}

func (e *Entry) damage(err error) error {
	switch {
	case errors.Is(err, zip.ErrChecksum):
		return damaged("the entry %q does not have the checksum that was written with it", e.Name)
	case errors.Is(err, io.ErrUnexpectedEOF):
		return damaged("the entry %q is shorter or longer than the directory says", e.Name)
	}
	return damaged("the entry %q cannot be unpacked (%w)", e.Name, err)
}
