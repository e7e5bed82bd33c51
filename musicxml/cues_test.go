package musicxml

import (
	"fmt"
	"strings"
	"testing"
)

// cueMeasure writes notes of one quarter each, all of them at the start of the
// measure: "1C4" is a C in voice 1, "1cC4" a cue note, "1r" a rest, "1cr" a rest
// printed as a cue, "1u" a knock, "1gC4" a grace note, "1gcC4" one printed as a
// cue, and "-C4" a note without voice.
func cueMeasure(list string) string {
	var b strings.Builder
	for _, word := range strings.Fields(list) {
		voice := ""
		if word[0] != '-' {
			voice = "<voice>" + word[:1] + "</voice>"
		}
		what, grace := strings.CutPrefix(word[1:], "g")
		what, cue := strings.CutPrefix(what, "c")
		before, duration := "", "1"
		if grace {
			before, duration = "<grace/>", ""
		}
		if cue {
			before += "<cue/>"
		}
		switch what {
		case "r":
			b.WriteString("<note>" + before + "<rest/><duration>1</duration>" + voice + "</note>")
		case "u":
			b.WriteString("<note>" + before + "<unpitched/><duration>1</duration>" + voice + "</note>")
		default:
			b.WriteString(tone(what, duration, before, voice))
		}
		if !grace {
			b.WriteString("<backup><duration>1</duration></backup>")
		}
	}
	return b.String()
}

// cueKinds writes the pitched notes of a part, cue notes with "c" if they are
// silent and "s" if they are small print.
func cueKinds(p *Part) string {
	var list []string
	for _, n := range p.Notes {
		s := n.Pitch.String()
		switch {
		case n.Kind == Rest, n.Kind == Unpitched:
			continue
		case n.Kind == Cue:
			s = "c" + s
		case n.Small:
			s = "s" + s
		}
		list = append(list, s)
	}
	return strings.Join(list, " ")
}

// The rule is that of the reading cases, 7.
func TestCues(t *testing.T) {
	for _, tt := range []struct{ name, notes, want, why string }{
		{"beamed with real notes", "1C4 1cD4 1cE4", "C4 sD4 sE4", "small print of the same voice"},
		{"a voice of its own", "1C4 2cD4 2cE4", "C4 cD4 cE4", "another player"},
		{"with rests", "1C4 2cD4 2r 2cE4", "C4 cD4 cE4", "a rest does not sound"},
		{"with rests printed small", "1C4 2cD4 2cr", "C4 cD4", "nor does that"},
		{"alone", "1cD4", "cD4", "nothing sounds"},
		{"two voices", "1C4 1cD4 2cE4 3F4 3cG4", "C4 sD4 cE4 F4 sG4", "each by itself"},
		{"a grace note sounds", "1gC4 1cD4", "C4 sD4", "it is plucked"},
		{"a small grace note", "1C4 1gcD4", "C4 sD4", "it is a grace note"},
		{"a grace note of another player", "1gcD4 1cE4", "cD4 cE4", "no less than the others"},
		{"a knock sounds", "1u 1cD4", "sD4", "it is the harpist's"},
		{"no voice", "-C4 1cD4 -cE4", "C4 sD4 sE4", "the first voice"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := harpScore(quarters + cueMeasure(tt.notes))
			for _, o := range []struct {
				cues Cues
				want string
			}{
				{CuesAuto, tt.want},
				{CuesPlay, strings.ReplaceAll(tt.want, "c", "s")},
				{CuesSkip, strings.ReplaceAll(tt.want, "s", "c")},
			} {
				s := readText(t, text, Options{Cues: o.cues})
				if got := cueKinds(s.Parts[0]); got != o.want {
					t.Errorf("cues %d: %s, want %s: %s", o.cues, got, o.want, tt.why)
				}
				silent, small := strings.Count(o.want, "c"), strings.Count(o.want, "s")
				if got := cueWarnings(s); got != fmt.Sprint(silent, small) {
					t.Errorf("cues %d: the warnings tell of %s silent and small notes, want %d %d", o.cues, got, silent, small)
				}
			}
		})
	}
}

// cueWarnings returns how many cue notes the warnings call silent, and how many
// small print.
func cueWarnings(s *Score) string {
	var silent, small int
	for _, w := range s.Warnings {
		if w.Code != "cue-notes" {
			continue
		}
		var n int
		fmt.Sscanf(w.Text, "%d ", &n)
		if strings.Contains(w.Text, "small print") {
			small += n
		} else {
			silent += n
		}
	}
	return fmt.Sprint(silent, small)
}

func TestParseCues(t *testing.T) {
	for _, c := range []Cues{CuesAuto, CuesPlay, CuesSkip} {
		if got, err := ParseCues(c.String()); got != c || err != nil {
			t.Errorf("%s is read as %v, %v", c, got, err)
		}
	}
	if _, err := ParseCues("some"); err == nil || !strings.Contains(err.Error(), "auto, play and skip") {
		t.Errorf("error %v", err)
	}
}

// The warnings say where, by measures; each measure is judged by itself.
func TestCuesTold(t *testing.T) {
	real, cues := cueMeasure("1C4 1cD4"), cueMeasure("1cE4 1cF4")
	s := readText(t, harpScore(quarters+real, real, cues, real, cues), Options{})
	var got []string
	for _, w := range s.Warnings {
		got = append(got, fmt.Sprintf("%s %s %d %d: %s", w.Code, w.Measure, w.Index, w.Line, w.Text))
	}
	want := []string{
		"cue-notes 1 0 4: 3 cue notes are read as small print, and sound (measures 1, 2, 4)",
		"cue-notes 3 2 6: 4 cue notes are read as another player's, and do not sound (measures 3, 5)",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("%q\nwant %q", got, want)
	}
	if s := readText(t, partwise(listed("P1", "Harp")+listed("P2", "Flute"), partOf("P1", quarters+plain1("C4")), partOf("P2", quarters+real)), Options{}); cueWarnings(s) != "0 0" {
		t.Errorf("a flute's cue notes are told: %+v", s.Warnings)
	}
}

// Small print is read as any other note.
func TestSmallPrintIsChecked(t *testing.T) {
	quarterTone := `<note><cue/><pitch><step>C</step><alter>0.5</alter><octave>4</octave></pitch><duration>1</duration></note>`
	for text, want := range map[string]string{
		quarters + quarterTone:                "cue-notes",
		quarters + quarterTone + plain1("E4"): "microtone cue-notes",
	} {
		s := readText(t, harpScore(text), Options{})
		if got := strings.Join(codes(s.Warnings), " "); got != want {
			t.Errorf("%s: warnings %s, want %s", text, got, want)
		}
	}
}

// FuzzCues: in whatever mixture of voices, kinds and measures, each cue note is
// small print exactly if its voice has a note in the measure that sounds, and all
// are counted.
func FuzzCues(f *testing.F) {
	f.Add([]byte{0, 1, 2, 3, 4, 5, 6, 7, 255, 0, 9, 17})
	f.Add([]byte{1, 1, 9, 255, 9, 3, 255, 255, 4})
	words := []string{"C4", "cD4", "r", "cr", "u", "gE4", "gcF4", "cG4"}
	f.Fuzz(func(t *testing.T, raw []byte) {
		raw = raw[:min(len(raw), 200)]
		var lists [][]string
		list := []string{}
		for _, c := range raw {
			if c == 255 {
				lists = append(lists, list)
				list = nil
				continue
			}
			list = append(list, "-123"[c/8%4:][:1]+words[c%8])
		}
		lists = append(lists, list)
		var measures, want []string
		silent, small := 0, 0
		for _, list := range lists {
			measures = append(measures, quarters+cueMeasure(strings.Join(list, " ")))
			for _, word := range list {
				what := strings.TrimPrefix(word[1:], "g")
				switch {
				case strings.HasSuffix(what, "r"), what == "u":
				case what[0] != 'c':
					want = append(want, what)
				case soundsIn(list, word):
					want = append(want, "s"+what[1:])
					small++
				default:
					want = append(want, what)
					silent++
				}
			}
		}
		s := readText(t, harpScore(measures...), Options{})
		if got := cueKinds(s.Parts[0]); got != strings.Join(want, " ") {
			t.Errorf("%v: %s, want %s", lists, got, want)
		}
		if got := cueWarnings(s); got != fmt.Sprint(silent, small) {
			t.Errorf("%v: told %s, want %d %d", lists, got, silent, small)
		}
	})
}

// soundsIn tells by the words alone whether a cue note's voice has a note that
// sounds.
func soundsIn(list []string, cue string) bool {
	for _, other := range list {
		same := other[0] == cue[0] || strings.ContainsRune("-1", rune(other[0])) && strings.ContainsRune("-1", rune(cue[0]))
		if what := strings.TrimPrefix(other[1:], "g"); same && what[0] != 'c' && what != "r" {
			return true
		}
	}
	return false
}
