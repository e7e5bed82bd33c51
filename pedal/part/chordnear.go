package part

import (
	"regexp"
	"slices"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/gliss"
	"pedalogue/pedal/keys"
	"pedalogue/pedal/spelling"
)

// A chordNear is what a glissando is to sound, as it is named near it.
type chordNear struct {
	want []gliss.Name  // nil where nothing is named
	said string        // the words, or the chord symbol
	key  pedal.Setting // of the key signature with the notes at its ends
	ends []pedal.Pitch // the note that it begins at and the one that it ends at
}

// fewestNamed is how many pitch classes words must name to be taken for a chord or
// scale: fewer could mean anything.
const fewestNamed = 3

// beforeChord and behindChord are what stands beside the name of a chord in the words
// of a glissando. Common practice.
var (
	beforeChord = regexp.MustCompile(`(?i)^\W*((harp|harpe|harfe|arpa)\s+)?gliss(ando|andi|\.|\b)\W*((in|on|over|auf|sur|su|in der|di|de)\s+)?`)
	behindChord = regexp.MustCompile(`(?i)\W*\bgliss(ando|andi)?\.?\W*$`)
)

// wordsNear are the chord or scale that words near a glissando name: those of a
// direction for glissandi in its measure, the last up to its start, or any at its start
// that are no pedal mark.
func wordsNear(p *musicxml.Part, from *musicxml.Note) (want []gliss.Name, said string) {
	var at musicxml.Frac
	for _, d := range p.Directions {
		if d.Measure != from.Measure || from.Onset.Less(d.Onset) || want != nil && d.Onset.Less(at) {
			continue
		}
		text := strings.TrimSpace(d.Words)
		rest := behindChord.ReplaceAllString(beforeChord.ReplaceAllString(text, ""), "")
		if rest == text && (d.Onset != from.Onset || isMark(text)) {
			continue
		}
		names, err := gliss.Parse(strings.Trim(rest, " \t():;"))
		if err == nil && len(names) >= fewestNamed {
			want, said, at = names, text, d.Onset
		}
	}
	return want, said
}

func isMark(text string) bool {
	_, is := spelling.Parse(text)
	return is
}

// symbolKinds are the kinds of chord symbols, as they are written behind the root.
// Source: the kind-value of MusicXML 4.0.
var symbolKinds = map[string]string{
	"major": "maj", "minor": "m", "augmented": "aug", "diminished": "dim",
	"dominant": "7", "major-seventh": "maj7", "minor-seventh": "m7", "diminished-seventh": "dim7",
	"augmented-seventh": "7♯5", "half-diminished": "ø7", "major-minor": "mM7",
	"major-sixth": "6", "minor-sixth": "m6",
	"dominant-ninth": "9", "major-ninth": "maj9", "minor-ninth": "m9",
	"dominant-11th": "11", "major-11th": "maj11", "minor-11th": "m11",
	"dominant-13th": "13", "major-13th": "maj13", "minor-13th": "m13",
	"suspended-second": "sus2", "suspended-fourth": "sus4",
}

// symbolAt are the chord of the symbol that stands where a glissando begins.
func symbolAt(p *musicxml.Part, from *musicxml.Note) (want []gliss.Name, said string) {
	for i := range p.Harmonies {
		h := &p.Harmonies[i]
		if h.Onset == from.Onset && h.Root != nil {
			if names, text := chordOf(h); names != nil {
				return names, text
			}
		}
	}
	return nil, ""
}

// chordOf are the names of a chord symbol, and the symbol; nil where it is none that
// seven strings could sound.
func chordOf(h *musicxml.Harmony) (names []gliss.Name, text string) {
	suffix, known := symbolKinds[h.Kind]
	l, position, settable := positionOf(musicxml.Pitch{Step: h.Root.Step, Alter: h.Root.Alter})
	if !known || !settable {
		return nil, ""
	}
	root := gliss.Name{Letter: l, Alter: int(position)}
	text = root.String() + suffix
	names, err := gliss.Parse(text)
	if err != nil {
		return nil, ""
	}
	for _, d := range h.Degrees {
		var word string
		if names, word = withDegree(names, root, d); names == nil {
			return nil, ""
		}
		text += word
	}
	if h.Bass != nil {
		b := gliss.Name{Alter: int(h.Bass.Alter.Num())}
		b.Letter, _ = pedal.ParseLetter(string(h.Bass.Step))
		names = append([]gliss.Name{b}, names...)
		text += "/" + b.String()
	}
	names, err = gliss.Parse(listOf(names))
	if err != nil {
		return nil, ""
	}
	return names, text
}

// withDegree adds a degree to a chord, alters one, or leaves one out. The degrees of
// an added or altered note are those of a dominant chord; nil for what is no degree.
// Source: degree-value and degree-alter of MusicXML 4.0.
func withDegree(names []gliss.Name, root gliss.Name, d musicxml.Degree) (changed []gliss.Name, word string) {
	if d.Value < 1 || d.Value > 13 || d.Alter.Den() != 1 {
		return nil, ""
	}
	above := [...]int{0, 2, 4, 5, 7, 9, 10}[(d.Value-1)%7] // semitones, in a dominant chord
	place := scalePlace(root.Letter) + d.Value - 1
	n := gliss.Name{}
	n.Letter, _ = pedal.ParseLetter(steps[place%7 : place%7+1])
	natural := root.Letter.Semitones() + root.Alter + above
	n.Alter = (natural-n.Letter.Semitones()+18)%12 - 6 + int(d.Alter.Num())
	is := func(o gliss.Name) bool { return o.Letter == n.Letter }
	switch d.Type {
	case "add":
		return append(slices.Clone(names), n), "(add " + n.String() + ")"
	case "alter":
		return append(slices.DeleteFunc(slices.Clone(names), is), n), "(" + n.String() + ")"
	case "subtract":
		return slices.DeleteFunc(slices.Clone(names), is), "(no " + n.Letter.String() + ")"
	}
	return nil, ""
}

// scalePlace counts letters from C, from 0.
func scalePlace(l pedal.Letter) int { return strings.Index(steps, l.String()) }

// listOf writes names as a request for pitches.
func listOf(names []gliss.Name) string {
	var words []string
	for _, n := range names {
		words = append(words, n.String())
	}
	return strings.Join(words, " ")
}

// setting is the setting for the chord: of those that sound it and nothing else, else
// of the nearest, the first that the notes at the ends agree with, else the first. The
// pedals are taken to come from the key.
func (c *chordNear) setting() (s pedal.Setting, near bool) {
	found := gliss.Find(c.want, c.key)
	list := found.Exact
	if list == nil {
		list, near = found.Nearest, true
	}
	for ends := c.ends; ; ends = ends[:len(ends)-1] {
		for i := range list {
			if !slices.ContainsFunc(ends, func(p pedal.Pitch) bool { return p.Cents != 100*int(list[i].Pedals[p.Letter]) }) {
				return list[i].Pedals, near
			}
		}
	}
}

// moved is the chord in another key.
func (c *chordNear) moved(s keys.Shift) chordNear {
	to := chordNear{said: c.said, key: s.Setting(c.key)}
	for _, p := range c.ends {
		to.ends = append(to.ends, s.Pitch(p))
	}
	to.want = movedNames(c.want, s)
	return to
}

// movedNames are names in another key, spelt as strings have them.
func movedNames(names []gliss.Name, s keys.Shift) []gliss.Name {
	var list []gliss.Name
	for _, n := range names {
		p := s.Pitch(pedal.Pitch{Letter: n.Letter, Cents: 100 * n.Alter, Octave: middleOctave})
		list = append(list, gliss.Name{Letter: p.Letter, Alter: p.Cents / 100})
	}
	list, _ = gliss.Parse(listOf(list)) // which puts them right
	return list
}
