package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"pedalogue/pedal"
	"pedalogue/report/plain"
)

// A Gliss is the answer to how a glissando can be set. Its fields, in their order,
// are the keys of its JSON document.
type Gliss struct {
	Format  int            `json:"format"`
	Tool    string         `json:"tool"`
	Version string         `json:"version"`
	Want    []string       `json:"want"`            // names of pitch classes: "C", "D♯"
	From    pedal.Setting  `json:"from"`            // how the pedals stand before
	Exact   []GlissSetting `json:"exact"`           // those that sound nothing else
	Nearest []GlissSetting `json:"nearest"`         // where Exact is empty
	Score   string         `json:"score,omitempty"` // the file that From is of; "" if it is of none
	Part    string         `json:"part,omitempty"`  // the id of its harp
	At      *GlissPlace    `json:"at,omitempty"`    // the place in it
	Back    []GlissBack    `json:"back,omitzero"`   // what must be moved after the first setting, in order of need; nil without a score
}

// A GlissSetting is one setting for a glissando.
type GlissSetting struct {
	Setting pedal.Setting `json:"setting"`
	Foreign []string      `json:"foreign,omitzero"` // pitch classes that sound and are not wanted; nil where the setting is exact
	Missing []string      `json:"missing,omitzero"` // that are wanted and do not sound; nil as Foreign
	Moved   int           `json:"moved"`            // pedals that stand elsewhere before
	Rounds  int           `json:"rounds"`           // moves of the busier foot
	Sharps  int           `json:"sharps"`
	Doubled []string      `json:"doubled"` // pitch classes that two strings sound
}

// A GlissPlace is a moment of a score.
type GlissPlace struct {
	Place
	Pass int    `json:"pass"` // from 1
	Beat string `json:"-"`    // what is counted there, in quarter notes; "" for quarters
}

// words name the place: "measure 12, beat 2, second time".
func (p *GlissPlace) words() string { return Where(p.Place, p.Beat) + passWords(p.Pass) }

// A GlissBack is a pedal that must be moved after the glissando.
type GlissBack struct {
	Pedal   pedal.Letter   `json:"pedal"`
	To      pedal.Position `json:"to"`
	Needed  GlissPlace     `json:"needed"`
	Seconds Seconds        `json:"seconds"` // from the start of the glissando to the note that needs it
	Rushed  bool           `json:"rushed"`  // its foot has no time for it
}

// WriteGlissJSON writes the answer as one line of JSON. It fails if a number of
// seconds is not finite, or with w's error.
func WriteGlissJSON(w io.Writer, g *Gliss) error {
	c := *g
	c.Want, c.Exact, c.Nearest = list(g.Want), list(slices.Clone(g.Exact)), list(slices.Clone(g.Nearest))
	for _, settings := range [][]GlissSetting{c.Exact, c.Nearest} {
		for i := range settings {
			settings[i].Doubled = list(settings[i].Doubled)
		}
	}
	return writeJSON(w, "the glissando", &c, true)
}

// WriteGlissText writes the answer for reading in a terminal: each setting in
// letters and drawn, the seven strings as they sound, and what it takes; of many
// settings the first most, all for 0. The error is that of w.
func WriteGlissText(w io.Writer, g *Gliss, most int, o TextOptions) error {
	t := newText(o)
	t.wrapped("Glissando on ", strings.Join(g.Want, " ")+", from "+g.From.String())
	if g.At != nil {
		t.wrapped("  ", fmt.Sprintf("as the pedals stand in %s, %s", g.Score, g.At.words()))
	}
	t.blank()
	settings := g.Exact
	if len(settings) == 0 {
		settings = g.Nearest
		t.wrapped("", fmt.Sprintf("No setting sounds exactly these. %s as near as any:", sentenceCase(countIs(len(settings), "setting"))))
	} else {
		t.wrapped("", fmt.Sprintf("%s exactly these:", sentenceCase(count(len(settings), "setting"))+soundVerb(len(settings))))
	}
	for i := range settings {
		if most > 0 && i == most {
			t.wrapped("  ", fmt.Sprintf("… and %s; --all shows them.", count(len(settings)-most, "more setting")))
			break
		}
		t.glissSetting(&settings[i], g.Want)
	}
	t.glissBack(g)
	return t.writeTo(w)
}

func soundVerb(n int) string {
	if n == 1 {
		return " sounds"
	}
	return " sound"
}

// countIs is count with its verb: "1 setting is", "2 settings are".
func countIs(n int, noun string) string {
	if n == 1 {
		return count(n, noun) + " is"
	}
	return count(n, noun) + " are"
}

// passWords tell a pass from the first.
func passWords(pass int) string {
	if pass > 1 {
		return ", " + ordinal(pass) + " time"
	}
	return ""
}

// glissSetting writes one setting.
func (t *text) glissSetting(s *GlissSetting, want []string) {
	t.blank()
	t.line("  " + plain.Pad(t.spell(s.Setting.String()), 24) + "  " + drawn(s.Setting, t.ASCII))
	t.wrapped("    ", "strings "+soundingStrings(s.Setting, want))
	var words []string
	if len(s.Foreign) > 0 {
		words = append(words, "foreign "+strings.Join(s.Foreign, " "))
	}
	if len(s.Missing) > 0 {
		words = append(words, "missing "+strings.Join(s.Missing, " "))
	}
	if len(s.Doubled) > 0 {
		words = append(words, "doubled "+strings.Join(s.Doubled, " "))
	}
	switch s.Moved {
	case 0:
		words = append(words, "stands already")
	case 1:
		words = append(words, "one pedal to move")
	default:
		words = append(words, fmt.Sprintf("%d pedals to move in %s", s.Moved, count(s.Rounds, "round")))
	}
	t.wrapped("    ", strings.Join(words, "; "))
}

// drawn draws a setting on one line, as a diagram seen from afar: a bar high for
// flat, in the middle for natural, low for sharp, and a line between the feet.
func drawn(s pedal.Setting, ascii bool) string {
	signs, divider := [3]string{"▔", "─", "▁"}, "│"
	if ascii {
		signs, divider = [3]string{"^", "-", "_"}, "|"
	}
	var words []string
	for l, position := range s {
		if pedal.Letter(l) == pedal.E {
			words = append(words, divider)
		}
		words = append(words, signs[position+1])
	}
	return strings.Join(words, " ")
}

// soundingStrings lists the seven strings upwards from C; what sounds as another
// name that is wanted, or as the string before, is said: "F♭ = E".
func soundingStrings(s pedal.Setting, want []string) string {
	names := map[int]string{} // by pitch class
	for _, name := range want {
		if l, ok := pedal.ParseLetter(name[:1]); ok {
			names[pitchClass(l, strings.Count(name, "♯")-strings.Count(name, "♭"))] = name
		}
	}
	var words []string
	for _, l := range []pedal.Letter{pedal.C, pedal.D, pedal.E, pedal.F, pedal.G, pedal.A, pedal.B} {
		word := l.String()
		if s[l] != pedal.Natural {
			word += s[l].Sign()
		}
		class := pitchClass(l, int(s[l]))
		if name, ok := names[class]; ok && name != word {
			word += " = " + name
		} else if !ok {
			names[class] = word
		}
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

// pitchClass counts a name's semitones above C, 0 to 11.
func pitchClass(l pedal.Letter, alter int) int { return (l.Semitones() + alter + 12) % 12 }

// glissBack writes what must be moved after the first setting.
func (t *text) glissBack(g *Gliss) {
	if g.At == nil {
		return
	}
	t.blank()
	if len(g.Back) == 0 {
		t.wrapped("", "After the first of these no pedal must come back.")
		return
	}
	t.wrapped("", "After the first of these must come back, if the music goes on as it is planned:")
	for _, b := range g.Back {
		words := fmt.Sprintf("%s for %s, %s after the glissando begins", b.Pedal.String()+b.To.Sign(), b.Needed.words(), seconds(b.Seconds))
		if b.Rushed {
			words += ": rushed, the " + b.Pedal.Foot().String() + " foot has no time for it"
		}
		t.wrapped("  ", words)
	}
}
