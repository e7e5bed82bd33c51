// Package archivetest makes zip files for tests, in every form that programs
// write.
package archivetest

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"hash/crc32"
	"io"
	"strings"
	"testing"
	"time"
)

var le = binary.LittleEndian

// An Entry is one entry of an archive made for a test.
type Entry struct {
	zip.FileHeader
	Content string // unpacked
}

var modified = time.Date(1913, 5, 29, 20, 15, 0, 0, time.UTC).AddDate(100, 0, 0)

// File is an entry to be compressed.
func File(name, content string) Entry {
	return Entry{zip.FileHeader{Name: name, Method: zip.Deflate, Modified: modified}, content}
}

// Stored is an entry that is not compressed.
func Stored(name, content string) Entry {
	e := File(name, content)
	e.Method = zip.Store
	return e
}

// Zip packs entries with archive/zip.
func Zip(t testing.TB, entries ...Entry) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, e := range entries {
		f, err := w.CreateHeader(&e.FileHeader)
		if err == nil {
			_, err = io.WriteString(f, e.Content)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A Form is a way in which archives are written. The zero value has the sizes
// before the data.
type Form struct {
	Descriptor int    // length of the data Descriptor: 0, 12, 16, 20 or 24
	Twice      bool   // sizes stand before the data as well as in the descriptor
	Zip64      bool   // sizes, offsets and the directory in zip64 records
	Store      bool   // nothing is compressed
	Comment    string // of the archive
	Gap        int    // bytes that belong to nothing, after each entry
	LocalExtra string // extra fields that stand only before the data
	Front      string // what stands before the first entry; offsets count it in
}

// Write makes an archive by hand: archive/zip writes only one form.
func (f Form) Write(entries ...Entry) []byte {
	out, dir := []byte(f.Front), []byte(nil)
	for _, e := range entries {
		data := []byte(e.Content)
		method := uint16(zip.Store)
		if !f.Store && e.Method == zip.Deflate {
			method = zip.Deflate
			var b bytes.Buffer
			w, _ := flate.NewWriter(&b, 9)
			w.Write(data)
			w.Close()
			data = b.Bytes()
		}
		crc := crc32.ChecksumIEEE([]byte(e.Content))
		at := len(out)
		out = f.local(out, e, method, crc, len(data))
		out = append(out, data...)
		out = f.behind(out, crc, len(data), len(e.Content))
		out = append(out, strings.Repeat("?", f.Gap)...)
		dir = f.header(dir, e, method, crc, len(data), at)
	}
	start := len(out)
	out = append(out, dir...)
	return f.finish(out, start, len(entries))
}

func (f Form) flags() uint16 {
	if f.Descriptor > 0 {
		return 0x8
	}
	return 0
}

func (f Form) local(out []byte, e Entry, method uint16, crc uint32, packed int) []byte {
	extra := f.LocalExtra
	size := len(e.Content)
	if f.Descriptor > 0 && !f.Twice {
		crc, packed, size = 0, 0, 0
	}
	sizes := [2]uint32{uint32(packed), uint32(size)}
	if f.Zip64 {
		sizes = [2]uint32{1<<32 - 1, 1<<32 - 1}
		field := le.AppendUint16(nil, 0x0001)
		field = le.AppendUint16(field, 16)
		field = le.AppendUint64(field, uint64(size))
		field = le.AppendUint64(field, uint64(packed))
		extra += string(field)
	}
	out = le.AppendUint32(out, 0x04034b50)
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

func (f Form) behind(out []byte, crc uint32, packed, size int) []byte {
	if f.Descriptor == 0 {
		return out
	}
	if f.Descriptor%8 == 0 { // 16 or 24: with a signature
		out = le.AppendUint32(out, 0x08074b50)
	}
	out = le.AppendUint32(out, crc)
	if f.Descriptor >= 20 {
		return le.AppendUint64(le.AppendUint64(out, uint64(packed)), uint64(size))
	}
	return le.AppendUint32(le.AppendUint32(out, uint32(packed)), uint32(size))
}

func (f Form) header(dir []byte, e Entry, method uint16, crc uint32, packed, at int) []byte {
	extra := "\x99\x99\x02\x00hi" // a field that nobody knows
	figures := [3]uint32{uint32(packed), uint32(len(e.Content)), uint32(at)}
	if f.Zip64 {
		figures = [3]uint32{1<<32 - 1, 1<<32 - 1, 1<<32 - 1}
		field := le.AppendUint16(nil, 0x0001)
		field = le.AppendUint16(field, 24)
		for _, v := range []int{len(e.Content), packed, at} {
			field = le.AppendUint64(field, uint64(v))
		}
		extra += string(field)
	}
	dir = le.AppendUint32(dir, 0x02014b50)
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

func (f Form) finish(out []byte, start, count int) []byte {
	size := len(out) - start
	if f.Zip64 {
		at := len(out)
		out = le.AppendUint32(out, 0x06064b50)
		out = le.AppendUint64(out, 56-12)
		out = le.AppendUint32(out, 45<<16|45)
		out = le.AppendUint64(out, 0)
		for _, v := range []int{count, count, size, start} {
			out = le.AppendUint64(out, uint64(v))
		}
		out = le.AppendUint32(out, 0x07064b50)
		out = le.AppendUint32(out, 0)
		out = le.AppendUint64(out, uint64(at))
		out = le.AppendUint32(out, 1)
		count, size, start = 1<<16-1, 1<<32-1, 1<<32-1
	}
	out = le.AppendUint32(out, 0x06054b50)
	for _, v := range []uint16{0, 0, uint16(count), uint16(count)} {
		out = le.AppendUint16(out, v)
	}
	out = le.AppendUint32(out, uint32(size))
	out = le.AppendUint32(out, uint32(start))
	out = le.AppendUint16(out, uint16(len(f.Comment)))
	return append(out, f.Comment...)
}

// Forms are the forms that a reader may meet, each with its reason.
var Forms = map[string]Form{
	"sizes before the data":            {},
	"stored":                           {Store: true},
	"descriptor":                       {Descriptor: 16},
	"descriptor without signature":     {Descriptor: 12},
	"descriptor and sizes before":      {Descriptor: 16, Twice: true},
	"zip64":                            {Zip64: true},
	"zip64, descriptor":                {Zip64: true, Descriptor: 24},
	"zip64, no signature":              {Zip64: true, Descriptor: 20},
	"comment":                          {Comment: "made for a test"},
	"bytes between the entries":        {Gap: 7},
	"times that only stand before":     {LocalExtra: "UT\x09\x00\x03abcdefgh"},
	"stored, descriptor and a comment": {Store: true, Descriptor: 16, Comment: "x"},
	"behind a program":                 {Front: "#!/bin/sh\nexec unzip \"$0\"\n"},
}
