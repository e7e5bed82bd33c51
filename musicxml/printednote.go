package musicxml

import (
	"strings"

	"pedalogue/musicxml/internal/xmltext"
)

// readNote takes in a note, which Part.Notes has already, and moves the cursor.
func (r *printReader) readNote(e *xmltext.Element) {
	if r.note >= len(r.part.Notes) {
		return
	}
	n := &r.part.Notes[r.note]
	r.note++
	if !n.Chord && n.Kind != Grace {
		r.cursor = n.Ends().Sub(r.score.Measures[n.Measure].Start)
	}
	if r.wanted {
		r.now.Notes = append(r.now.Notes, printedNote(e))
	}
}

func printedNote(e *xmltext.Element) PrintedNote {
	var n PrintedNote
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "type":
			n.Type = c.Trimmed()
			n.Small = n.Small || c.Attr("size") == "cue" || c.Attr("size") == "grace-cue"
		case "cue":
			n.Small = true
		case "dot":
			n.Dots++
		case "accidental":
			n.Accidental = c.Trimmed()
			n.Parentheses = c.Attr("parentheses") == "yes" || c.Attr("bracket") == "yes" || c.Attr("editorial") == "yes" && c.Attr("parentheses") == ""
		case "stem":
			n.Stem = c.Trimmed()
		case "beam":
			n.beam(c)
		case "notehead":
			n.Head = c.Trimmed()
		case "grace":
			n.Slash = c.Attr("slash") == "yes"
		case "rest":
			n.WholeMeasure = c.Attr("measure") == "yes"
			n.display(c)
		case "unpitched":
			n.display(c)
		case "notations":
			for s := c.First; s != nil; s = s.Next {
				n.notation(e, s)
			}
		}
	}
	return n
}

// mostBeams is how many beams a note can have: those of a 1024th.
const mostBeams = 8

func (n *PrintedNote) beam(e *xmltext.Element) {
	number, ok := whole(e.Attr("number"))
	if !ok {
		number = 1
	}
	if number < 1 || number > mostBeams {
		return
	}
	for len(n.Beams) < number {
		n.Beams = append(n.Beams, "")
	}
	n.Beams[number-1] = e.Trimmed()
}

// display reads where a note without a pitch stands.
func (n *PrintedNote) display(e *xmltext.Element) {
	step := e.ChildText("display-step")
	octave, ok := whole(e.ChildText("display-octave"))
	if len(step) == 1 && step[0] >= 'A' && step[0] <= 'G' && ok {
		n.DisplayStep, n.DisplayOctave = step[0], octave
	}
}

// notation takes in one child of notations.
func (n *PrintedNote) notation(note, e *xmltext.Element) {
	switch e.Name {
	case "tied":
		n.LetRing = n.LetRing || e.Attr("type") == "let-ring"
	case "arpeggiate":
		n.Roll, n.RollNumber = e.Attr("direction"), e.Attr("number")
		if n.Roll == "" {
			n.Roll = "arpeggiate"
		}
	case "non-arpeggiate":
		n.Roll, n.RollNumber = "non-arpeggiate", e.Attr("number")
	case "glissando", "slide":
		if e.Attr("type") == "start" {
			n.Glide, n.Wavy = e.Trimmed(), e.Attr("line-type") == "wavy"
		}
	case "tuplet":
		n.Tuplets = append(n.Tuplets, printedTuplet(note, e))
	}
}

// printedTuplet reads one end of a tuplet; its numbers are its own or, where it
// has none, those of the note.
func printedTuplet(note, e *xmltext.Element) PrintedTuplet {
	t := PrintedTuplet{Number: e.Attr("number"), Start: e.Attr("type") == "start", Bracket: e.Attr("bracket") == "yes", Below: e.Attr("placement") == "below"}
	actual, normal := "", ""
	if c := note.Child("time-modification"); c != nil {
		actual, normal = c.ChildText("actual-notes"), c.ChildText("normal-notes")
	}
	if c := e.Child("tuplet-actual"); c != nil && c.Has("tuplet-number") {
		actual = c.ChildText("tuplet-number")
	}
	if c := e.Child("tuplet-normal"); c != nil && c.Has("tuplet-number") {
		normal = c.ChildText("tuplet-number")
	}
	switch show := e.Attr("show-number"); {
	case show == "none":
	case show == "both" && normal != "":
		t.Text = strings.TrimSpace(actual) + ":" + strings.TrimSpace(normal)
	default:
		t.Text = strings.TrimSpace(actual)
	}
	return t
}
