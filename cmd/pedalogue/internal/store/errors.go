package store

import (
	"errors"
	"io/fs"
	"os"
)

// An Error is a fault that keeps a file from being read or written.
type Error struct {
	File string // as the caller gave it; "-" is standard input
	Err  error  // what is wrong, in lower case
	Hint string // what to do about it; "" if there is nothing to say
}

// Error returns "file: what is wrong".
func (e *Error) Error() string { return e.File + ": " + e.Err.Error() }

// Unwrap returns what is wrong without the file.
func (e *Error) Unwrap() error { return e.Err }

// NewError makes an error about a file.
func NewError(path string, err error, hint string) error {
	return &Error{File: path, Err: plainError(Bare(err)), Hint: hint}
}

// plainError puts the commonest errors of the system into words that say what
// is the matter with the file.
func plainError(err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return said{"there is no such file or folder", err}
	case errors.Is(err, fs.ErrPermission):
		return said{"not allowed", err}
	}
	return err
}

// said is an error of the system in words of ours.
type said struct {
	text string
	err  error
}

func (s said) Error() string { return s.text }
func (s said) Unwrap() error { return s.err }

// Bare takes the path out of an error of the system; it is named anyway.
func Bare(err error) error {
	var pathErr *os.PathError
	if errors.As(err, &pathErr) {
		return pathErr.Err
	}
	var linkErr *os.LinkError
	if errors.As(err, &linkErr) {
		return linkErr.Err
	}
	return err
}
