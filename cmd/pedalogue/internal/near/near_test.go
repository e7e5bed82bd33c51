package near

import "testing"

func TestWord(t *testing.T) {
	for _, tt := range []struct{ typed, words, want, why string }{
		{"mrak", "mark", "mark", "two letters swapped"},
		{"marc", "mark", "mark", "one changed"},
		{"mar", "mark", "mark", "one left out"},
		{"markk", "mark", "mark", "one too many"},
		{"MARK", "mark", "mark", "case does not count"},
		{"string", "strip", "strip", "two letters of six"},
		{"flute", "mark", "", "another word"},
		{"x", "b", "b", "one letter of one is still the nearest"},
		{"gl", "gliss", "gliss", "how it begins"},
		{"english", "en", "en", "it begins so"},
		{"", "mark", "", "nothing was typed"},
	} {
		if got := Word(tt.typed, []string{"zzzzzzzzzz", tt.words}); got != tt.want {
			t.Errorf("%q: %q, want %q (%s)", tt.typed, got, tt.want, tt.why)
		}
	}
}

func TestDistance(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"abc", "", 3}, {"kitten", "sitting", 3}, {"ab", "ba", 1}, {"é", "e", 1}, {"ca", "abc", 3}} {
		if got := Distance(tt.a, tt.b); got != tt.want || Distance(tt.b, tt.a) != tt.want {
			t.Errorf("%q and %q: %d, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}
