package look

import "testing"

// A playing order is written in measure numbers only where each of them is one
// measure's.
func TestPlayingOrder(t *testing.T) {
	measures := func(numbers ...string) []seenMeasure {
		var list []seenMeasure
		for i, n := range numbers {
			list = append(list, seenMeasure{Index: i, Number: n})
		}
		return list
	}
	for _, tt := range []struct {
		order    []int
		measures []seenMeasure
		want     string
	}{
		{[]int{0, 1, 0, 1, 2}, measures("1", "2", "3"), "1–2, 1–3"},
		{[]int{0, 0, 2}, measures("0", "X1", "1"), "0, 0, 1"},
		{[]int{0, 1, 2, 3, 2, 3}, measures("1", "2", "1", "2"), "by place in the score, as some numbers are those of several measures: 1–4, 3–4"},
		{[]int{0, 1, 0, 2}, measures("1", "2", "2"), "by place in the score, as some numbers are those of several measures: 1–2, 1, 3"},
	} {
		if got := playingOrder(tt.order, tt.measures); got != tt.want {
			t.Errorf("%v of %v: %s, want %s", tt.order, tt.measures, got, tt.want)
		}
	}
}
