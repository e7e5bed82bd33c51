package pedal

import (
	"errors"
	"fmt"
)

// An Error is a fault found at a moment of a passage. The caller, who knows
// where its moments stand in the score, turns the index into measure and beat.
type Error struct {
	Moment int   // index into Passage.Moments
	Err    error // what is wrong, without the place; never nil
}

// Error returns the fault with the index of its moment.
func (e *Error) Error() string { return fmt.Sprintf("moment %d: %v", e.Moment, e.Err) }

// Unwrap returns the fault alone.
func (e *Error) Unwrap() error { return e.Err }

// ErrTooLong is returned for a passage whose costs cannot be counted exactly in
// 128 bits; it takes hundreds of thousands of notes to get there.
var ErrTooLong = errors.New("the passage is too long to count its costs exactly")

func faultAt(moment int, format string, args ...any) error {
	return &Error{moment, fmt.Errorf(format, args...)}
}
