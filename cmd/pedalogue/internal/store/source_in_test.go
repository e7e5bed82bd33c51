package store

import (
	"bytes"
	"errors"
	"os"
	"testing"
	"testing/iotest"
	"time"

	"pedalogue/cmd/pedalogue/internal/testfolder"
)

func TestIsUnchanged(t *testing.T) {
	testfolder.Enter(t, "a.xml")
	stat := func() os.FileInfo {
		info, err := os.Stat("a.xml")
		if err != nil {
			t.Fatal(err)
		}
		return info
	}
	first := stat()
	if !isUnchanged(first, stat()) {
		t.Error("the same state differs from itself")
	}
	testfolder.Write(t, "a.xml", "longer than it was")
	if isUnchanged(first, stat()) {
		t.Error("another size is not seen")
	}
	testfolder.Write(t, "a.xml", "a.XML")
	if err := os.Chtimes("a.xml", time.Time{}, first.ModTime().Add(time.Second)); err != nil {
		t.Fatal(err)
	}
	if isUnchanged(first, stat()) {
		t.Error("another time is not seen")
	}
	testfolder.Write(t, "b.xml", "a.xml")
	if err := errors.Join(os.Chtimes("b.xml", time.Time{}, first.ModTime()), os.Rename("b.xml", "a.xml")); err != nil {
		t.Fatal(err)
	}
	if isUnchanged(first, stat()) {
		t.Error("another file in its place is not seen")
	}
}

func TestReadAllGrows(t *testing.T) {
	want := bytes.Repeat([]byte("0123456789"), 10_000)
	got, err := readAll(iotest.OneByteReader(bytes.NewReader(want)), 0, 100_000)
	if err != nil || !bytes.Equal(got, want) {
		t.Errorf("%d bytes, %v", len(got), err)
	}
}
