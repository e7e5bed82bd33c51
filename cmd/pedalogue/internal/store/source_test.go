package store_test

import (
	"errors"
	"strings"
	"testing"
	"testing/iotest"

	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/storetest"
	"pedalogue/cmd/pedalogue/internal/testfolder"
)

func TestRead(t *testing.T) {
	testfolder.Enter(t, "a.xml")
	big := strings.Repeat("x", 5000)
	testfolder.Write(t, "big.xml", big)
	for _, tt := range []struct {
		name, path, stdin, want string
		why                     string
	}{
		{"file", "a.xml", "", "a.xml", "all of it"},
		{"larger than the first buffer", "big.xml", "", big, "all of it"},
		{"standard input", "-", big, big, "of unknown length"},
		{"empty standard input", "-", "", "", "whether that is a score is told elsewhere"},
	} {
		got, err := store.Source{Path: tt.path}.Read(t.Context(), iotest.HalfReader(strings.NewReader(tt.stdin)), 5000)
		if err != nil || string(got.Data) != tt.want {
			t.Errorf("%s: %d bytes, %v", tt.name, len(got.Data), err)
		}
	}
	_, err := store.Source{Path: "big.xml"}.Read(t.Context(), nil, 4999)
	storetest.Want(t, err, "big.xml", "larger than the limit of 4999 bytes", "--max-size")
	_, err = store.Source{Path: "-"}.Read(t.Context(), strings.NewReader(big), 4999)
	storetest.Want(t, err, "-", "larger than the limit", "--max-size")
	_, err = store.Source{Path: "-"}.Read(t.Context(), iotest.ErrReader(errors.New("the pipe broke")), 100)
	storetest.Want(t, err, "-", "the pipe broke", "")
	_, err = store.Source{Path: "gone.xml"}.Read(t.Context(), nil, 100)
	storetest.Want(t, err, "gone.xml", "no such file", "")
	failed := store.NewError("x", errors.New("failed before"), "")
	if _, err = (store.Source{Path: "a.xml", Err: failed}).Read(t.Context(), nil, 100); err != failed {
		t.Errorf("got %v, want the error from before", err)
	}
}
