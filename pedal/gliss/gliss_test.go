package gliss_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pedalogue/pedal"
	"pedalogue/pedal/gliss"
)

func setting(t *testing.T, text string) pedal.Setting {
	t.Helper()
	s, err := pedal.ParseSetting(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func find(t *testing.T, text string) gliss.Answer {
	t.Helper()
	want, err := gliss.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return gliss.Find(want, pedal.Setting{})
}

func names(list []gliss.Name) string {
	var words []string
	for _, n := range list {
		words = append(words, n.String())
	}
	return strings.Join(words, " ")
}

// Settings and their numbers. Sources: forum and handbook answers where named,
// enumeration by a program that is not ours for the rest; the third diminished
// seventh is the example of harp-pedals in the MusicXML 4.0 documentation.
func TestSettings(t *testing.T) {
	for _, test := range []struct {
		reason, want, setting string
		number                int
	}{
		{"a pure C major triad needs C6/9 [FORUM-GLISS]", "C D E G A", "D C B♯ | E F♭ G A", 1},
		{"its chord name", "C6/9", "D C B♯ | E F♭ G A", 1},
		{"its scale name", "C pentatonic", "D C B♯ | E F♭ G A", 1},
		{"F pentatonic", "F G A C D", "D C B♯ | E♯ F G A", 1},
		{"diminished seventh on C", "Cdim7", "D♯ C B♯ | E♭ F♯ G♭ A", 1},
		{"diminished seventh on C♯: the example of MusicXML 4.0", "C♯°7", "D♭ C♯ B♭ | E F♭ G A♯", 1},
		{"diminished seventh on D", "D diminished seventh", "D C♭ B | E♯ F G♯ A♭", 1},
		{"E7", "E7", "D C♭ B | E F♭ G♯ A♭", 1},
		{"B7", "B7", "D♯ C♭ B | E♭ F♯ G♭ A", 1},
		{"D♭7", "Db7", "D♭ C♭ B | E♯ F G♯ A♭", 2},
		{"F♯7", "F♯7", "D♭ C♯ B♭ | E F♭ G♭ A♯", 2},
		{"A♭7", "A♭7", "D♯ C B♯ | E♭ F♯ G♭ A♭", 2},
		{"G9", "G9", "D C♭ B | E♯ F G A", 1},
		{"G9 by its notes", "G B D F A", "D C♭ B | E♯ F G A", 1},
		{"C9", "C9", "D C B♭ | E F♭ G A♯", 2},
		{"F9", "F9", "D♯ C B♯ | E♭ F G A", 2},
		{"B♭9", "Bb9", "D C B♭ | E♯ F G♯ A♭", 3},
		{"E♭9", "E♭9", "D♭ C♯ B♭ | E♭ F G A♯", 3},
		{"whole tone from C", "C whole tone", "D C B♭ | E F♯ G♯ A♭", 5},
		{"whole tone from D♭", "whole tone on D♭", "D♭ C♭ B | E♭ F G A", 4},
		{"G pentatonic", "G major pentatonic", "D C♭ B | E F♭ G A", 1},
		{"D pentatonic", "D pentatonic scale", "D C♭ B | E F♭ G♭ A", 2},
		{"the black keys", "G♭ pentatonic", "D♭ C♯ B♭ | E♭ F♯ G♭ A♭", 6},
		{"half-diminished on D", "Dø", "D C B♯ | E♯ F G♯ A♭", 1},
		{"half-diminished on G", "G half-diminished seventh", "D♭ C♯ B♭ | E♯ F G A♯", 1},
		{"augmented dominant seventh on E", "E7♯5", "D C B♯ | E F♭ G♯ A♭", 1},
		{"blues on G", "G blues scale", "D C♯ B♯ | E♯ F G A♯", 1},
		{"half-diminished in another spelling", "A♯ C♯ E G♯", "D♭ C♯ B♭ | E F♭ G♯ A♯", 2},
	} {
		answer := find(t, test.want)
		if len(answer.Exact) != test.number {
			t.Errorf("%s: %d settings, want %d", test.reason, len(answer.Exact), test.number)
		}
		want := setting(t, test.setting)
		if !slices.ContainsFunc(answer.Exact, func(s gliss.Setting) bool { return s.Pedals == want }) {
			t.Errorf("%s: %v is not among %v", test.reason, want, answer.Exact)
		}
	}
}

var roots = strings.Fields("C D♭ D E♭ E F G♭ G A♭ A B♭ B")

// How many settings a kind of chord has, on each root from C up. Source: the same
// enumeration.
func TestChordsByRoot(t *testing.T) {
	any := -1
	for _, test := range []struct {
		kind    string
		numbers [12]int
	}{
		{"dim7", [12]int{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}},
		{"7", [12]int{0, 2, 0, 0, 1, 0, 2, 0, 2, 0, 0, 1}},
		{"m7", [12]int{0, 2, 0, 2, 0, 2, 0, 0, 2, 0, 2, 0}},
		{"ø7", [12]int{2, 0, 1, 0, 0, 2, 0, 1, 0, 0, 2, 0}},
		{"maj7", [12]int{0, 2, 0, 0, 2, 0, 2, 0, 0, 0, 0, 2}},
		{"mM7", [12]int{0, 2, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}},
		{"7sus4", [12]int{}},
		{"7♭5", [12]int{}},
		{"aug", [12]int{}},
		{"7♯5", [12]int{0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0}},
		{"9", [12]int{any, 4, any, 3, any, 2, 4, 1, 4, any, 3, any}},
		{"7♭9", [12]int{any, any, any, any, any, any, any, any, any, any, any, any}},
		{"6/9", [12]int{1, any, any, any, any, 1, 6, 1, any, any, any, any}},
		{"m6", [12]int{2, 0, 1, 0, 0, 2, 0, 1, 0, 0, 2, 0}}, // the half-diminished chord a minor third below, turned
	} {
		if test.kind == "m6" {
			// C minor sixth is A half-diminished: shift by nine semitones.
			half := [12]int{2, 0, 1, 0, 0, 2, 0, 1, 0, 0, 2, 0}
			for i := range test.numbers {
				test.numbers[i] = half[(i+9)%12]
			}
		}
		for i, root := range roots {
			n := len(find(t, root+test.kind).Exact)
			if want := test.numbers[i]; n != want && !(want == any && n > 0) {
				t.Errorf("%s%s: %d settings, want %d", root, test.kind, n, want)
			}
		}
	}
}

// The whole table: 977 collections of pitch classes from 2187 settings, of four to
// seven pitch classes. Source: the same enumeration.
func TestAllCollections(t *testing.T) {
	collections := map[string]int{}
	var bySize, settings [8]int
	for i := range 2187 {
		var list []gliss.Name
		for l, n := pedal.Letter(0), i; l < pedal.Letters; l, n = l+1, n/3 {
			list = append(list, gliss.Name{Letter: l, Alter: n%3 - 1})
		}
		seen := map[int]bool{}
		for _, n := range list {
			seen[n.Class()] = true
		}
		key := fmt.Sprint(seen)
		settings[len(seen)]++
		if collections[key]++; collections[key] == 1 {
			bySize[len(seen)]++
		}
		if i%9 != 0 {
			continue // Find is asked for a sample
		}
		answer := gliss.Find(list, pedal.Setting{})
		if len(answer.Exact) == 0 || answer.Nearest != nil {
			t.Fatalf("%v: not found again", list)
		}
	}
	if len(collections) != 977 || bySize != [8]int{4: 25, 5: 178, 6: 415, 7: 359} || settings != [8]int{4: 42, 5: 495, 6: 1071, 7: 579} {
		t.Errorf("%d collections, by size %v, settings %v", len(collections), bySize, settings)
	}
}

// The contract's own example, and the order of what is found.
func TestWhatASettingTakes(t *testing.T) {
	s := find(t, "C D♯ F♯ A").Exact[0]
	if s.Moved != 5 || s.Rounds != 3 || s.Sharps != 3 || names(s.Doubled) != "C D♯ F♯" || len(s.Missing)+len(s.Foreign) > 0 {
		t.Errorf("C D♯ F♯ A: %+v", s)
	}
	want, _ := gliss.Parse("C whole tone")
	from := setting(t, "D C B♭ | E F♯ G♯ A♭")
	list := gliss.Find(want, from).Exact
	if list[0].Pedals != from || list[0].Moved != 0 {
		t.Errorf("a setting that stands already does not come first: %v", list)
	}
	if !slices.IsSortedFunc(list, func(a, b gliss.Setting) int {
		return slices.Compare([]int{a.Moved, a.Rounds, a.Sharps}, []int{b.Moved, b.Rounds, b.Sharps})
	}) {
		t.Errorf("not in order: %v", list)
	}
}

func TestNearest(t *testing.T) {
	answer := find(t, "C major")
	if len(answer.Exact) != 0 || len(answer.Nearest) == 0 {
		t.Fatalf("a pure triad cannot be set [FORUM-GLISS]: %v", answer)
	}
	first := answer.Nearest[0]
	for _, s := range answer.Nearest {
		if len(s.Foreign)+len(s.Missing) != len(first.Foreign)+len(first.Missing) {
			t.Errorf("%v is not as near as %v", s, first)
		}
	}
	if octatonic := find(t, "C octatonic"); len(octatonic.Exact) != 0 {
		t.Error("eight pitch classes on seven strings")
	}
	if got := gliss.Find(nil, pedal.Setting{}); got.Exact != nil || got.Nearest != nil {
		t.Errorf("nothing wanted, but found %v", got)
	}
}

func TestParse(t *testing.T) {
	for _, test := range []struct{ reason, text, want string }{
		{"pitches", "C E G B♭", "C E G B♭"},
		{"pitches with other signs and commas", "C, Eb,G#", "C E♭ G♯"},
		{"a lone letter is a pitch", "E", "E"},
		{"a lone letter with a sign too", "E♭", "E♭"},
		{"a sign in words", "B flat D", "B♭ D"},
		{"octaves do not matter", "C4 E4 G5", "C E G"},
		{"one pitch class under two names counts once", "C♯ D♭ E", "C♯ E"},
		{"a chord in words", "E major", "E G♯ B"},
		{"a chord in a symbol", "Em", "E G B"},
		{"a letter and a number is a chord", "E7", "E G♯ B D"},
		{"a double flat is spelt as a string has it", "Cdim7", "C E♭ G♭ A"},
		{"a minor seventh", "Dm7", "D F A C"},
		{"with spaces", "D m7", "D F A C"},
		{"a major seventh", "A♭maj7", "A♭ C E♭ G"},
		{"with a triangle", "CΔ7", "C E G B"},
		{"minor with a major seventh", "Cm(maj7)", "C E♭ G B"},
		{"altered fifth", "G7♭5", "G B D♭ F"},
		{"altered ninths together", "G7♭9♯9", "G B D F A♭ A♯"},
		{"a thirteenth leaves out the eleventh", "G13", "G B D F A E"},
		{"a minor thirteenth does not", "Gm13", "G B♭ D F A C E"},
		{"suspended", "E7sus4", "E A B D"},
		{"added", "Cadd9", "C E G D"},
		{"a bass", "C/B♭", "B♭ C E G"},
		{"six nine is no bass", "F6/9", "F A C D G"},
		{"a scale", "G major scale", "G A B C D E F♯"},
		{"a scale in words", "whole tone on D♭", "D♭ E♭ F G A B"},
		{"a scale with hyphens", "D♭ whole-tone scale", "D♭ E♭ F G A B"},
		{"natural minor is not A natural", "A natural minor", "A B C D E F G"},
		{"a mode", "D dorian", "D E F G A B C"},
		{"a chord on a flat root in words", "B flat minor seventh", "B♭ D♭ F A♭"},
		{"augmented", "C+", "C E G♯"},
		{"pitches joined by hyphens, as books print chords", "A♯-C♯-E-G♯", "A♯ C♯ E G♯"},
		{"by dashes", "C–E♭–G", "C E♭ G"},
		{"a hyphen in a name is none between names", "B-flat-D", "B♭ D"},
		{"a hyphen for minor", "C-7", "C E♭ G B♭"},
		{"a minor triad so", "C-", "C E♭ G"},
		{"a dominant by that name", "Cdom7", "C E G B♭"},
		{"a symbol without its root, on one", "dim7 on D", "D F A♭ C♭"},
		{"a flat ninth in words", "E dominant seventh flat ninth", "E G♯ B D F"},
	} {
		got, err := gliss.Parse(test.text)
		if err != nil || names(got) != test.want {
			t.Errorf("%s: %q is %s, %v; want %s", test.reason, test.text, names(got), err, test.want)
		}
	}
}

func TestNotUnderstood(t *testing.T) {
	for _, text := range []string{"", "  ", "H7", "c9", "Cfoo", "C7x", "CEG", "whole tone", "X major", "C no", "C7b", "C D E Q"} {
		var form *gliss.FormError
		if got, err := gliss.Parse(text); !errors.As(err, &form) {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	for text, want := range map[string]string{
		"c9":                 "letters of pitches are capitals",
		"whole tone":         "it has no root; say whole tone on C, or on another note",
		"diminished seventh": "it has no root",
		"dim7":               "it has no root",
		"C E G B♭ X":         `"X" is no pitch`,
		"C E G4 Hb":          `"Hb" is no pitch`,
		"Cfoo":               `"foo" is no part of a chord's name`,
	} {
		if _, err := gliss.Parse(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"C E G", "C9", "whole tone on D♭", "E7♯5/G", "B flat minor", "D♭♭", "A natural minor"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		names, err := gliss.Parse(text)
		if (err == nil) != (len(names) > 0) {
			t.Fatalf("%q: %v, %v", text, names, err)
		}
		for _, n := range names {
			if n.Alter < -1 || n.Alter > 1 {
				t.Errorf("%q: no string is called %v", text, n)
			}
		}
	})
}

func ExampleFind() {
	want, err := gliss.Parse("C9")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range gliss.Find(want, pedal.Setting{}).Exact {
		fmt.Println(s.Pedals, "moves", s.Moved)
	}
	// Output:
	// D C B♭ | E F♭ G A♯ moves 3
	// D C B♯ | E F♭ G A♯ moves 3
}
