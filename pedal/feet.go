package pedal

// placeholder until written
type feetTable struct{}
type footOutcome struct {
	feet   int32
	rushed int
}

func (t *feetTable) begin(pos uint16) int32 { return 0 }
func (t *feetTable) step(from int32, k int, changed, set uint16, rd *reading) []footOutcome {
	return nil
}
func (t *feetTable) standsIn(a, b int32, differ uint16) (int, bool) { return 0, true }
