package beat

import (
	"math/big"
	"testing"
)

func TestText(t *testing.T) {
	for _, tt := range []struct{ number, want, plain, why string }{
		{"0", "0", "0", "nothing"},
		{"3", "3", "3", "a whole number"},
		{"1/2", "½", " 1/2", "a fraction alone"},
		{"5/2", "2½", "2 1/2", "a fraction of Latin-1"},
		{"17/6", "2⅚", "2 5/6", "one of Unicode's number forms"},
		{"11/10", "1⅒", "1 1/10", "whose figures are two"},
		{"8/7", "1⅐", "1 1/7", "the only seventh with a sign"},
		{"11/7", "1⁴⁄₇", "1 4/7", "no sign of its own"},
		{"127/32", "3³¹⁄₃₂", "3 31/32", "of two figures each"},
		{"123456789/5040", "24495²²¹⁄₅₆₀", "24495 221/560", "in its lowest terms, as big.Rat has it"},
		{"-1/3", "-1⅔", "-1 2/3", "down from the whole below it"},
	} {
		n, ok := new(big.Rat).SetString(tt.number)
		if !ok {
			t.Fatal(tt.number)
		}
		got := Text(n)
		if got != tt.want {
			t.Errorf("%s: %q, want %q (%s)", tt.number, got, tt.want, tt.why)
		}
		if plain := Plain(got); plain != tt.plain {
			t.Errorf("%q is %q, want %q (%s)", got, plain, tt.plain, tt.why)
		}
	}
}

// What is no fraction stays.
func TestPlain(t *testing.T) {
	for text, want := range map[string]string{
		"": "", "12 m²": "12 m²", "H₂O": "H₂O", "a⁄b": "a⁄b", "1/2": "1/2",
		"beat 2½, beat 1⁴⁄₇": "beat 2 1/2, beat 1 4/7",
	} {
		if got := Plain(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
