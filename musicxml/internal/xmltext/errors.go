package xmltext

import (
	"bytes"
	"fmt"
	"unicode/utf8"
)

// An Error is a fault at a place of the text.
type Error struct {
	Offset int   // of the fault, in bytes from 0; -1 where it has no place
	Err    error // what is wrong, in lower case
}

// Error returns what is wrong, without its place.
func (e *Error) Error() string { return e.Err.Error() }

// Unwrap returns what is wrong.
func (e *Error) Unwrap() error { return e.Err }

// A DepthError says that elements are nested deeper than the limit.
type DepthError struct {
	Depth int // the limit
}

// Error says how deep elements may be nested.
func (e *DepthError) Error() string {
	return fmt.Sprintf("elements are nested more than %d deep", e.Depth)
}

// Errorf returns an [*Error] at an offset. Texts among the arguments that are too
// long for a message are cut: see [Shortened].
func Errorf(offset int, format string, args ...any) error {
	return &Error{Offset: offset, Err: fmt.Errorf(format, Shortened(args)...)}
}

// Shortened cuts those of the arguments that are of type string down to what a
// message has room for, 60 bytes and "…". It changes args and returns it.
func Shortened(args []any) []any {
	const most = 60
	for i, a := range args {
		if s, ok := a.(string); ok && len(s) > most {
			end := most
			for !utf8.RuneStart(s[end]) {
				end--
			}
			args[i] = s[:end] + "…"
		}
	}
	return args
}

// Line returns the line of an offset, from 1; an offset behind the end is in the
// last line. LF, CRLF and a lone CR end a line, as they do in XML.
func Line(text []byte, offset int) int {
	before := text[:min(offset, len(text))]
	n := 1 + bytes.Count(before, []byte("\n"))
	if cr := bytes.Count(before, []byte("\r")); cr > 0 {
		n += cr - bytes.Count(before, []byte("\r\n"))
	}
	return n
}
