package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"testing"

	"pedalogue/report/plain"
)

func TestCSVGolden(t *testing.T) {
	for _, tt := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"changes.csv", func(w io.Writer) error { return WriteChangesCSV(w, demo(), unread()) }},
		{"findings.csv", func(w io.Writer) error { return WriteFindingsCSV(w, demo(), unread()) }},
		{"batch.csv", func(w io.Writer) error {
			return WriteBatchCSV(w, Batch{EntryOf(demo(), "demo.html"), EntryOf(unread(), "")})
		}},
	} {
		var b bytes.Buffer
		if err := tt.write(&b); err != nil {
			t.Fatal(err)
		}
		golden(t, tt.name, b.String())
	}
}

// TestCSVHasNoFormula reads hostile tables back: as many columns in each line,
// one record a line, and no cell that a spreadsheet would run.
func TestCSVHasNoFormula(t *testing.T) {
	s := hostile()
	broken := unread()
	broken.Error = attack
	for name, write := range map[string]func(io.Writer) error{
		"changes":  func(w io.Writer) error { return WriteChangesCSV(w, s, broken) },
		"findings": func(w io.Writer) error { return WriteFindingsCSV(w, s, broken) },
		"batch":    func(w io.Writer) error { return WriteBatchCSV(w, Batch{EntryOf(s, attack), EntryOf(broken, "-1+1")}) },
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		text, ok := strings.CutPrefix(b.String(), byteOrderMark)
		if !ok {
			t.Errorf("%s: no byte order mark", name)
		}
		records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if lines := strings.Count(text, "\r\n"); lines != len(records) || strings.Count(text, "\n") != lines {
			t.Errorf("%s: %d records in %d lines", name, len(records), lines)
		}
		for _, record := range records {
			for _, cell := range record {
				if strings.IndexFunc(cell, plain.Steers) >= 0 || cell != "" && strings.ContainsAny(cell[:1], "=+@-\t\r") {
					t.Errorf("%s: the cell %q", name, cell)
				}
			}
		}
	}
}

func TestPlainCell(t *testing.T) {
	for _, tt := range []struct{ name, in, want string }{
		{"text", "C♯ and C", "C♯ and C"},
		{"empty", "", ""},
		{"formula", "=1+2", "'=1+2"},
		{"behind spaces", "  =1+2", "'  =1+2"},
		{"behind a line break", "\n=1+2", "' =1+2"},
		{"plus, minus, at", "+1", "'+1"},
		{"a name with a minus", "-cmd", "'-cmd"},
		{"at", "@SUM", "'@SUM"},
		{"full width", "＝1", "'＝1"},
		{"a number as text", "-3/2", "'-3/2"},
		{"a sign alone", "-", "'-"},
	} {
		if got := plainCell(tt.in); got != tt.want {
			t.Errorf("%s: plainCell(%q) = %q, want %q", tt.name, tt.in, got, tt.want)
		}
	}
}

// TestCSVNumbers makes sure that a spreadsheet reads the numbers it is given.
func TestCSVNumbers(t *testing.T) {
	for _, tt := range []struct{ name, in, want string }{
		{"whole", "4", "4"}, {"more than one", "3/2", "1 1/2"}, {"less than one", "1/2", "0 1/2"},
		{"before the barline", "-3/2", "-1 1/2"}, {"not reduced", "6/4", "1 1/2"}, {"no fraction", "=1", "=1"},
	} {
		if got := fmt.Sprint(mixed(tt.in)); got != tt.want {
			t.Errorf("%s: mixed(%q) = %q, want %q", tt.name, tt.in, got, tt.want)
		}
	}
	for _, tt := range []struct{ name, in, want string }{
		{"a number", "12", "12"}, {"letters", "X1", "X1"}, {"a letter behind", "12a", "12a"}, {"nothing", "", ""},
		{"a date", "1-2", "'1-2"}, {"another", "3/4", "'3/4"}, {"a power of ten", "1e5", "'1e5"}, {"a decimal", "1.5", "'1.5"},
	} {
		if got := labelCell(tt.in); got != tt.want {
			t.Errorf("%s: labelCell(%q) = %q, want %q", tt.name, tt.in, got, tt.want)
		}
	}
}

// A failing writer takes some bytes and then no more.
type failing int

func (f *failing) Write(p []byte) (int, error) {
	if *f -= failing(len(p)); *f < 0 {
		return 0, io.ErrShortWrite
	}
	return len(p), nil
}

func TestWritersReportErrors(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"json":     func(w io.Writer) error { return WriteJSON(w, demo()) },
		"text":     func(w io.Writer) error { return WriteText(w, demo(), TextOptions{}) },
		"html":     func(w io.Writer) error { return WriteHTML(w, demo()) },
		"changes":  func(w io.Writer) error { return WriteChangesCSV(w, demo()) },
		"findings": func(w io.Writer) error { return WriteFindingsCSV(w, demo()) },
		"batch":    func(w io.Writer) error { return WriteBatchCSV(w, Batch{EntryOf(demo(), "")}) },
		"index":    func(w io.Writer) error { return WriteIndexHTML(w, Batch{EntryOf(demo(), "")}) },
		"table":    func(w io.Writer) error { return WriteBatchText(w, Batch{EntryOf(demo(), "")}, TextOptions{}) },
	} {
		for _, room := range []failing{0, 10} {
			if write(&room) == nil {
				t.Errorf("%s: a full disk goes unnoticed", name)
			}
		}
	}
}
