package part

import (
	"testing"

	"pedalogue/pedal"
)

// A respelt note is written on the D line while the D pedal is still flat, and a
// setting stands between it and the note that needs D natural: the change comes
// before the note that tempts, and the setting shows it.
func TestSettingAfterTemptation(t *testing.T) {
	p := composed(t, "Db5:4 E5:4 Db5:4 R:4 {double}", "E5:8 D5:8")
	flat, natural := pedal.Setting{pedal.D: pedal.Flat, pedal.C: pedal.Sharp}, pedal.Setting{pedal.C: pedal.Sharp}
	plan := &pedal.Plan{
		Start: flat,
		Strings: []pedal.String{
			{Letter: pedal.D, Position: pedal.Flat, Octave: 5, OK: true},
			{Letter: pedal.E, Octave: 5, OK: true},
			{Letter: pedal.C, Position: pedal.Sharp, Octave: 5, OK: true}, // written D flat
			{Letter: pedal.E, Octave: 5, OK: true},
			{Letter: pedal.D, Octave: 5, OK: true},
		},
		Cost: pedal.Cost{Changes: 1},
	}
	for i, m := range p.Passage.Moments {
		plan.Settings = append(plan.Settings, flat)
		if len(m.Strikes) > 0 && m.Strikes[0].Note == 4 { // D natural, to be set at the last moment
			plan.Moves = []pedal.Move{{Letter: pedal.D, From: pedal.Flat, Needed: i, Place: i}}
			plan.Settings[i] = natural
		}
	}
	page, err := layOut(p, plan, pedal.Concert47(), p.sections(Sections{}))
	if err != nil {
		t.Fatal(err)
	}
	if len(page.Marks) != 3 {
		t.Fatalf("marks %+v: want the start, a change and the double bar", page.Marks)
	}
	change, setting := page.Marks[1], page.Marks[2]
	if change.Full || change.Place != (Place{0, 2}) || change.Pedals[pedal.D] != pedal.Natural {
		t.Errorf("change %+v: want D natural at the third beat of the first measure", change)
	}
	if setting.Setting() != natural {
		t.Errorf("setting %v: want %v", setting.Setting(), natural)
	}
}
