package musicxml

import (
	"context"
	"regexp"
	"sync"

	"pedalogue/musicxml/internal/xmltext"
)

// The first version wrote no checksum into its comments. What it wrote is known by
// its form: this file tells that from what a person has written or changed.

// firstVersions reads again what stands in the brackets of the first version.
func (s *stripper) firstVersions(ctx context.Context) (map[int]*xmltext.Element, error) {
	var starts []int
	for _, b := range s.brackets {
		for _, n := range b.nodes {
			if b.first && n.kind == xmltext.StartTag {
				starts = append(starts, n.start)
			}
		}
	}
	if len(starts) == 0 {
		return nil, nil
	}
	return xmltext.Elements(ctx, s.doc.Text, starts)
}

// isFirstVersion reports whether an element is one that the first version put in.
func isFirstVersion(e *xmltext.Element) bool {
	if e == nil {
		return false
	}
	switch e.Name {
	case "direction":
		return isFirstDirection(e)
	case "accidental":
		return len(e.Attrs) == 0 && e.First == nil && firstSigns[e.Trimmed()]
	case "pitch":
		return isFirstPitch(e)
	case "direction-type":
		return e.First != nil && e.First.Next == nil && e.First.Name == "words" && e.First.First == nil && e.First.Trimmed() == ""
	case "measure", "part":
		for c := e.First; c != nil; c = c.Next {
			if c.Name != "direction" || !isFirstDirection(c) {
				return false
			}
		}
		return e.Trimmed() == ""
	}
	return false
}

// firstSigns are the accidentals that the first version wrote.
var firstSigns = map[string]bool{"flat-flat": true, "flat": true, "natural": true, "sharp": true, "double-sharp": true}

func isFirstPitch(e *xmltext.Element) bool {
	for c := e.First; c != nil; c = c.Next {
		if c.First != nil || c.Name != "step" && c.Name != "alter" && c.Name != "octave" {
			return false
		}
	}
	return e.Trimmed() == ""
}

// isFirstDirection reports whether a direction has the attributes, the children and
// the words of one of the first version.
func isFirstDirection(e *xmltext.Element) bool {
	types := 0
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "direction-type":
			if types++; len(c.Attrs) > 0 || c.First == nil || c.First.Next != nil || !isFirstContent(c.First) {
				return false
			}
		case "offset", "staff":
			if len(c.Attrs) > 0 || c.First != nil {
				return false
			}
		default:
			return false
		}
	}
	return types == 1 && len(e.Attrs) == 1 && e.Attrs[0].Name == "placement" && e.Trimmed() == ""
}

// isFirstContent reports whether an element is the pedal setting, or the words, of
// a direction of the first version.
func isFirstContent(e *xmltext.Element) bool {
	if e.Name == "harp-pedals" {
		pedals := 0
		for c := e.First; c != nil; c = c.Next {
			if pedals++; c.Name != "pedal-tuning" {
				return false
			}
		}
		return len(e.Attrs) == 0 && pedals == 7
	}
	for _, a := range e.Attrs {
		if a != (xmltext.Attribute{Name: "font-style", Value: "normal"}) && a != (xmltext.Attribute{Name: "font-size", Value: smallSize}) {
			return false
		}
	}
	return e.Name == "words" && len(e.Attrs) > 0 && e.First == nil && firstWords().MatchString(e.Text)
}

// firstWords are all texts that the first version wrote: pedals in three languages,
// with signs, beside and under each other, as notes in parentheses, and behind the
// words before a repeat. They are made when they are wanted, since hardly a score has them.
var firstWords = sync.OnceValue(func() *regexp.Regexp {
	const (
		pedal  = `(?:[A-GH]|Ré|Do|Si|Mi|Fa|Sol|La|(?:Des|Ces|B|Es|Fes|Ges|As)|(?:D|C|H|E|F|G|A)is|Eis|Ais)[♭♮♯]?`
		space  = `[ \x{a0}\n]+`
		pedals = pedal + `(?:` + space + pedal + `)*`
		repeat = `(?:for the repeat:|pour la reprise :|für die Wiederholung:)`
	)
	return regexp.MustCompile(`^\s*(?:` + pedals + `|\(` + pedals + `\)|` + repeat + space + pedals + `)\s*$`)
})
