package pedal

import (
	"errors"
	"fmt"
	"time"
)

// Defaults of Options.
const (
	DefaultChangePrice = 4
	DefaultFootTime    = 500 * time.Millisecond // about two changes a second for each foot [BLI 6]
)

// Options say how a passage is to be solved. The zero value is the default.
type Options struct {
	Mode Mode // Default: Needed.
	// ChangePrice is how many respelt notes one change is worth in mode Balanced,
	// from 1 up. 0 stands for DefaultChangePrice.
	ChangePrice int
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

func (o Options) changePrice() int {
	if o.ChangePrice == 0 {
		return DefaultChangePrice
	}
	return o.ChangePrice
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
