package plain

import (
	"slices"
	"testing"
)

func TestLine(t *testing.T) {
	for _, tt := range []struct{ name, in, want string }{
		{"plain", "Rêverie ♭", "Rêverie ♭"},
		{"line breaks and tabs", "a\r\nb\tc", "a  b c"},
		{"escape and bell", "a\x1b[31m\x07", "a�[31m�"},
		{"C1 control", "a\u009b31m", "a�31m"},
		{"direction override", "a\u202eb", "a�b"},
		{"line separator", "a\u2028b", "a b"},
		{"not UTF-8", "a\xffb", "a�b"},
		{"joiners stay", "a\u200c\u200db", "a\u200c\u200db"},
	} {
		if got := Line(tt.in); got != tt.want {
			t.Errorf("%s: Line(%q) = %q, want %q", tt.name, tt.in, got, tt.want)
		}
	}
}

func TestTabbed(t *testing.T) {
	if got, want := Tabbed("a\tb\x1b\u2066c"), "a\tb�\ufffdc"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestColumns(t *testing.T) {
	for _, tt := range []struct {
		name, in string
		want     int
	}{
		{"plain", "Harp", 4}, {"signs", "F♯", 2}, {"wide", "ハープ", 6}, {"combining", "e\u0301", 1}, {"full width", "Ａ", 2}, {"half width", "ﾊ", 1},
	} {
		if got := Columns(tt.in); got != tt.want {
			t.Errorf("%s: Columns(%q) = %d, want %d", tt.name, tt.in, got, tt.want)
		}
	}
}

func TestWrap(t *testing.T) {
	for _, tt := range []struct {
		name, in string
		width    int
		want     []string
	}{
		{"fits", "a bc", 4, []string{"a bc"}},
		{"breaks", "a bc d", 4, []string{"a bc", "d"}},
		{"a long word keeps its line", "a longer b", 4, []string{"a", "longer", "b"}},
		{"wide letters take two", "竪琴 竪琴", 8, []string{"竪琴", "竪琴"}},
		{"nothing", "  ", 4, nil},
	} {
		if got := Wrap(tt.in, tt.width); !slices.Equal(got, tt.want) {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}
