package pedaltest

import "pedalogue/pedal"

// RulesOf are the rules that options stand for.
func RulesOf(o pedal.Options) Rules {
	r := Rules{
		Mode: o.Mode, ChangePrice: o.ChangePrice, SwitchPrice: max(o.SwitchPrice, 0),
		Foot: o.Times().Foot, Move: o.Times().Move, Sounding: o.Times().Sounding,
		Harp: o.Instrument, Start: o.Start, End: o.End,
	}
	if r.ChangePrice == 0 {
		r.ChangePrice = 6
	}
	if o.SwitchPrice == 0 {
		r.SwitchPrice = 2
	}
	return r
}

// CostOf is a plan's cost in our own words.
func CostOf(c pedal.Cost) Cost {
	return Cost{Unsounded: c.Unsounded, Held: c.Held, Rushed: c.Rushed, Respelt: c.Respelt, Switches: c.Switches, Changes: c.Changes, Notches: c.Notches}
}
