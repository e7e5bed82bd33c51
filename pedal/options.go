package pedal

import (
	"cmp"
	"errors"
	"fmt"
	"time"
)

// Defaults of Options.
const (
	DefaultChangePrice  = 6
	DefaultSwitchPrice  = 2
	DefaultFootTime     = 500 * time.Millisecond // about two changes a second for each foot [BLI 6]
	DefaultMoveTime     = 200 * time.Millisecond // common practice; no figure is published
	DefaultSoundingTime = 100 * time.Millisecond // common practice
)

// Options say how a passage is to be solved. The zero value is the default.
type Options struct {
	Mode Mode // Default: Balanced.
	// ChangePrice and SwitchPrice are how many respelt notes one change and one
	// switch are worth in mode Balanced. 0 stands for DefaultChangePrice and
	// DefaultSwitchPrice; a change is worth one respelt note at least, and any
	// negative SwitchPrice makes a switch worth none. Both are MaxPrice at most.
	ChangePrice, SwitchPrice int
	// FootTime is how long it is from the start of one change to the start of the
	// next one of the same foot. 0 stands for DefaultFootTime; any negative time
	// switches timing off, MoveTime and SoundingTime with it: no change is rushed
	// then.
	FootTime time.Duration
	// MoveTime is how long a foot takes to bring a pedal to another position,
	// whatever its notches. 0 stands for DefaultMoveTime, any negative time for no
	// time at all. It is never longer than the foot time: it is an error to give
	// both so, and one that is not given makes way.
	MoveTime time.Duration
	// SoundingTime is how long a string must have sounded before its pedal moves.
	// 0 stands for DefaultSoundingTime, any negative time for no time at all.
	SoundingTime time.Duration
	Instrument   Instrument // Default: Concert47.
	// Start is the setting in which the harp is found; nil leaves every pedal's
	// first position free. A pedal that must leave Start is changed like any other,
	// from the first moment on; its window opens when the music starts.
	Start *Setting
	// End is the setting in which the harp must be left; nil for any. Changes that
	// only End needs have no hurry and let no note go early.
	End *Setting
	// Effort is the wall time after which the search stops looking for proof and
	// finishes as well as it can. 0 sets no limit of time; a limit of work, the
	// same on every machine, holds in any case.
	Effort time.Duration
	// Workers is how many workers Plans has for its modes, of which three are the most
	// of use; 0 for two. It makes no difference to the plans.
	Workers int
}

// MaxPrice is more than any music can tell from a higher price.
const MaxPrice = 1_000_000

// prices are what a change and a switch are worth in respelt notes.
type prices struct{ change, turn int }

func (o Options) prices() prices {
	p := prices{o.ChangePrice, max(o.SwitchPrice, 0)}
	if p.change == 0 {
		p.change = DefaultChangePrice
	}
	if o.SwitchPrice == 0 {
		p.turn = DefaultSwitchPrice
	}
	return p
}

// Times are what a plan reckons with for each foot, in the words of Options. All
// are zero where timing is off.
type Times struct {
	Foot     time.Duration // from the start of a change to that of the next of the same foot
	Move     time.Duration // how long a change takes
	Sounding time.Duration // how long a string must have sounded before its pedal moves
}

// Times returns the three times of o, with defaults in the place of zeros.
func (o Options) Times() Times {
	given := func(t, otherwise time.Duration) time.Duration { return max(0, cmp.Or(t, otherwise)) }
	foot := given(o.FootTime, DefaultFootTime)
	if foot == 0 {
		return Times{}
	}
	return Times{foot, min(foot, given(o.MoveTime, DefaultMoveTime)), given(o.SoundingTime, DefaultSoundingTime)}
}

// opens is when a letter may first be moved for a note at second due, given when it
// was last attacked and when its last note ends: a player may let notes go up to a
// foot time early, but not before they have sounded.
func (t Times) opens(attack, end, due time.Duration) time.Duration {
	return min(end, max(attack+t.Sounding, due-t.Foot))
}

func (o Options) check() error {
	if o.Mode > Free {
		return fmt.Errorf("mode %d does not exist", o.Mode)
	}
	if o.ChangePrice < 0 {
		return errors.New("the price of a change is at least one respelt note")
	}
	if max(o.ChangePrice, o.SwitchPrice) > MaxPrice {
		return fmt.Errorf("the price of a change or a switch is at most %d respelt notes", MaxPrice)
	}
	if o.FootTime > 0 && o.MoveTime > o.FootTime {
		return fmt.Errorf("one move takes %v, longer than the %v from one move of a foot to the next", o.MoveTime, o.FootTime)
	}
	for _, s := range []*Setting{o.Start, o.End} {
		if s != nil && !s.valid() {
			return fmt.Errorf("setting %d has a position other than -1, 0 and 1", *s)
		}
	}
	return o.Instrument.check()
}

func (s Setting) valid() bool {
	for _, p := range s {
		if p < Flat || p > Sharp {
			return false
		}
	}
	return true
}
