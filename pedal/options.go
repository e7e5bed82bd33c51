package pedal

import (
	"errors"
	"fmt"
	"time"
)

// Defaults of Options.
const (
	DefaultChangePrice = 6
	DefaultSwitchPrice = 2
	DefaultFootTime    = 500 * time.Millisecond // about two changes a second for each foot [BLI 6]
)

// Options say how a passage is to be solved. The zero value is the default.
type Options struct {
	Mode Mode // Default: Balanced.
	// ChangePrice and SwitchPrice are how many respelt notes one change and one
	// switch are worth in mode Balanced. 0 stands for DefaultChangePrice and
	// DefaultSwitchPrice; a change is worth one respelt note at least, and any
	// negative SwitchPrice makes a switch worth none. Both are MaxPrice at most.
	ChangePrice, SwitchPrice int
	// FootTime is how long one foot takes for one change, whatever its notches.
	// 0 stands for DefaultFootTime; any negative time switches timing off: no
	// change is rushed then.
	FootTime   time.Duration
	Instrument Instrument // Default: Concert47.
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

// footTime is the time of one change, or 0 where timing is off.
func (o Options) footTime() time.Duration {
	switch {
	case o.FootTime < 0:
		return 0
	case o.FootTime == 0:
		return DefaultFootTime
	}
	return o.FootTime
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
