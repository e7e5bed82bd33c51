package reduced

import (
	"pedalogue/pedal/part"
	"pedalogue/pedal/reduce"
	"pedalogue/pedal/revise"
)

// keep lets what is wanted stay as it is.
func (h *harp) keep(list []part.Keep, o *reduce.Options) error {
	if len(list) == 0 {
		return nil
	}
	ledger := revise.NewLedger(&h.part.Music)
	stays, whole := map[int]bool{}, map[int]bool{}
	for i := range list {
		notes, kind, err := h.part.Kept(&list[i])
		if err != nil {
			return err
		}
		for _, n := range notes {
			switch {
			case kind == part.KeepAll:
				whole[n] = true
			case kind == part.KeepName, kind == part.KeepMelody && ledger.Melody(n), kind == part.KeepBass && ledger.Bass(n):
				stays[n] = true
			}
		}
	}
	o.Keep = func(note int) bool { return whole[note] }
	o.Stay = func(note int) bool { return stays[note] }
	return nil
}
