package musicxml

import (
	"fmt"
	"strings"
)

// An Error is a fault that keeps a file from being read or written, and the
// place at which it was found.
type Error struct {
	File    string // as the caller gave it; "-" is standard input
	Line    int    // line in the score document, from 1; 0 if unknown
	Part    string // part id, "P1"; "" outside a part
	Measure string // printed number, "12" or "X1"; "" outside a measure
	Beat    string // in quarter notes from 1, "5/2"; "" if unknown
	Err     error  // what is wrong, in lower case
	Hint    string // what to do about it; "" if there is nothing to say
	Limit   string // the field of [Limits] that the file goes beyond, "Bytes", "Depth" or "Played"; "" for another fault
}

// Error returns "file:line: part P1, measure 12: what is wrong", without what is
// not known.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	b.WriteString(": ")
	if e.Part != "" {
		fmt.Fprintf(&b, "part %s, ", e.Part)
	}
	if e.Measure != "" {
		fmt.Fprintf(&b, "measure %s", e.Measure)
		if e.Beat != "" {
			fmt.Fprintf(&b, " beat %s", e.Beat)
		}
		b.WriteString(": ")
	} else if e.Part != "" {
		s := strings.TrimSuffix(b.String(), ", ")
		b.Reset()
		b.WriteString(s + ": ")
	}
	b.WriteString(e.Err.Error())
	return b.String()
}

// Unwrap returns what is wrong without its place.
func (e *Error) Unwrap() error { return e.Err }

// A Warning is something in a file that was read in one way and could have been
// meant in another, or that a reader of the report should know.
type Warning struct {
	Code    string // one word of the list in the package comment, "backup-before-start"
	Part    string // part id; "" where it is about the whole file
	Measure string // printed number; "" outside a measure
	Index   int    // the measure's index, from 0; -1 outside a measure
	Line    int    // line in the score document, from 1; 0 if unknown
	Text    string // one sentence
}

// Limits keep a hostile file from using up the machine. A zero field stands for
// its default.
type Limits struct {
	Bytes   int64 // decoded size of the score document; default 256 MiB
	Depth   int   // nesting of elements; default 128
	Entries int   // entries in a zip; default 10,000
	Played  int   // measures in playing order; default 100,000
}

// WithDefaults returns the limits with each zero field replaced by its default.
func (l Limits) WithDefaults() Limits {
	if l.Bytes <= 0 {
		l.Bytes = 256 << 20
	}
	if l.Depth <= 0 {
		l.Depth = 128
	}
	if l.Entries <= 0 {
		l.Entries = 10_000
	}
	if l.Played <= 0 {
		l.Played = 100_000
	}
	return l
}
