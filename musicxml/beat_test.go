package musicxml

import (
	"fmt"
	"testing"
)

// Common practice: compound time is counted in threes, and an upbeat towards the
// barline that follows it.
func TestBeats(t *testing.T) {
	for _, tt := range []struct {
		beats, unit string
		eighths     int // in the first measure
		beat, first string
		reason      string
	}{
		{"4", "4", 8, "1", "0", "a full measure"},
		{"4", "4", 3, "1", "1/2", "counted from the end of an upbeat"},
		{"4", "4", 1, "1", "1/2", "an upbeat without a beat"},
		{"3", "4", 2, "1", "0", "an upbeat of one beat"},
		{"2", "2", 2, "2", "1", "half notes"},
		{"6", "8", 4, "3/2", "1/2", "three eighths"},
		{"3", "8", 2, "1/2", "0", "3/8 is no compound time"},
		{"9", "8", 9, "3/2", "0", "three eighths"},
		{"12", "16", 6, "3/4", "0", "three sixteenths"},
		{"6", "4", 12, "1", "0", "over 4 no compound time"},
		{"5", "8", 5, "1/2", "0", "no threes"},
		{"3+2", "8", 5, "1/2", "0", "no threes"},
		{"4", "4", 12, "1", "0", "longer than it should be: from its start"},
	} {
		text := fmt.Sprintf(`<score-partwise><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">`+
			`<measure number="0"><attributes><divisions>2</divisions><time><beats>%s</beats><beat-type>%s</beat-type></time></attributes>`+
			`<note><rest/><duration>%d</duration></note></measure>`+
			`<measure number="1"><note><rest/><duration>3</duration></note></measure></part></score-partwise>`, tt.beats, tt.unit, tt.eighths)
		score := readText(t, text, Options{})
		m := score.Measures[0]
		if m.Beat.String() != tt.beat || m.FirstBeat.String() != tt.first || score.Measures[1].FirstBeat.Sign() != 0 {
			t.Errorf("%s/%s, %d eighths: beats of %v from %v, want %s from %s: %s", tt.beats, tt.unit, tt.eighths, m.Beat, m.FirstBeat, tt.beat, tt.first, tt.reason)
		}
	}
}
