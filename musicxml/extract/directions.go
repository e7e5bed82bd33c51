package extract

import (
	"cmp"
	"slices"
	"strings"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/xmltext"
)

// A sign is a direction, or a sound without one, as far as it speaks to everybody.
type sign struct {
	part      *musicxml.Part
	measure   int
	at        musicxml.Frac // from the start of the measure, its offset counted in
	soundAt   musicxml.Frac // the same of its sound
	placement string
	atoms     []atom
	lines     []lineEnd           // of lines that begin or end in it
	sound     []xmltext.Attribute // what its sound says of the order and the tempo

	start     int           // offset of the element in the text
	cursor    musicxml.Frac // where the cursor stands there
	divisions musicxml.Frac
}

// A kind says what an atom of a direction is.
type kind string

// The kinds of atoms. The words of jumps are called as [musicxml.JumpIn] names them.
const (
	tempoText kind = "tempo"
	metronome kind = "metronome"
	rehearsal kind = "rehearsal"
	segno     kind = "segno"
	coda      kind = "coda"
)

// An atom is one thing that is printed for everybody.
type atom struct {
	kind    kind
	text    string // its words, white space folded, in lower case
	element *etree.Element
}

// A lineEnd is where a line of dashes or a bracket begins or ends, as behind "rit.".
type lineEnd struct {
	name    string // "dashes" or "bracket"
	number  string // that tells lines apart which run at one time; "1" where it does not say
	end     bool
	element *etree.Element
}

// soundAttributes are what a sound says to everybody; a list of passes belongs to its
// jumps.
var soundAttributes = []string{"tempo", "segno", "coda", "dacapo", "dalsegno", "tocoda", "fine", "forward-repeat", "time-only"}

// jumpAttributes are those that tell of a jump or where it leads.
var jumpAttributes = []string{"segno", "coda", "dacapo", "dalsegno", "tocoda", "fine"}

// direction takes in a direction.
func (w *walker) direction(e *xmltext.Element) {
	s := sign{part: w.part, measure: w.measure, placement: e.Attr("placement"), start: e.Start, cursor: w.cursor, divisions: w.divisions}
	s.at = w.offset(e, w.cursor)
	w.seen(s.at)
	s.soundAt = s.at
	if c := e.Child("sound"); c != nil {
		s.sound = spoken(c)
		s.soundAt = w.offset(c, s.at)
	}
	s.atoms, s.lines = w.atoms(e, s.sound), w.lines(e)
	if len(s.atoms)+len(s.lines)+len(s.sound) > 0 {
		w.signs = append(w.signs, s)
	}
}

// sound takes in a sound that stands without a direction.
func (w *walker) sound(e *xmltext.Element) {
	if list := spoken(e); len(list) > 0 {
		at := w.offset(e, w.cursor)
		w.seen(at)
		w.signs = append(w.signs, sign{part: w.part, measure: w.measure, at: at, soundAt: at, sound: list,
			start: e.Start, cursor: w.cursor, divisions: w.divisions})
	}
}

// offset is the time that the offset of an element says, or otherwise the one given.
func (w *walker) offset(e *xmltext.Element, otherwise musicxml.Frac) musicxml.Frac {
	o := e.Child("offset")
	if o == nil {
		return otherwise
	}
	f, _ := musicxml.ParseDecimal(o.Text)
	return w.cursor.Add(f.Div(w.divisions))
}

// spoken are the attributes of a sound that speak to everybody.
func spoken(e *xmltext.Element) []xmltext.Attribute {
	var list []xmltext.Attribute
	for _, a := range e.Attrs {
		if slices.Contains(soundAttributes, a.Name) {
			list = append(list, a)
		}
	}
	if len(list) == 1 && list[0].Name == "time-only" {
		return nil
	}
	return list
}

// atoms are the things in a direction that are printed for everybody.
func (w *walker) atoms(e *xmltext.Element, sound []xmltext.Attribute) []atom {
	wordKind, bracketed := wordsOf(e, sound)
	var list []atom
	each(e, func(c *xmltext.Element) {
		k := kind(c.Name)
		switch k {
		case "words":
			if k = wordKind; c.Trimmed() == "" || bracketed && isBracket(c.Text) {
				return
			}
		case metronome, rehearsal, segno, coda:
		default:
			return
		}
		if k == "" {
			return
		}
		a := atom{k, folded(c.Text), w.canonical(c)}
		if k == metronome && bracketed {
			a.element.CreateAttr("parentheses", "yes")
		}
		list = append(list, a)
	})
	return list
}

// lines are the beginnings and ends of lines in a direction.
func (w *walker) lines(e *xmltext.Element) (list []lineEnd) {
	each(e, func(c *xmltext.Element) {
		if role := c.Attr("type"); (c.Name == "dashes" || c.Name == "bracket") && (role == "start" || role == "stop") {
			list = append(list, lineEnd{c.Name, cmp.Or(c.Attr("number"), "1"), role == "stop", w.canonical(c)})
		}
	})
	return list
}

// wordsOf says what the words of a direction are, "" where they speak to one player
// alone: all of them are carried where some are about tempo or a jump, or stand with a
// metronome mark. bracketed tells that they put that into brackets.
func wordsOf(e *xmltext.Element, sound []xmltext.Attribute) (k kind, bracketed bool) {
	var words []string
	speaks := e.Attr("directive") == "yes" || e.Attr("system") == "only-top" || e.Attr("system") == "also-top"
	jumps, measured := "", false
	for _, a := range sound {
		speaks = speaks || a.Name == "tempo"
		if slices.Contains(jumpAttributes[2:], a.Name) {
			jumps = a.Name
		}
	}
	each(e, func(c *xmltext.Element) {
		switch c.Name {
		case "words":
			words = append(words, c.Text)
			if jumps == "" {
				jumps = musicxml.JumpIn(c.Trimmed())
			}
		case "metronome":
			measured = true
		}
	})
	if k = kind(jumps); k == "" && (speaks || measured || isTempo(strings.Join(words, ""))) {
		k = tempoText
	}
	return k, measured && slices.ContainsFunc(words, isBracket)
}

// isBracket reports whether words are nothing but a bracket, as around a metronome
// mark: it gets parentheses of its own, since words beside it do not stay beside it.
func isBracket(text string) bool {
	text = strings.TrimSpace(text)
	return text != "" && strings.Trim(text, "()[]") == ""
}

// each visits what the direction-types of a direction hold.
func each(e *xmltext.Element, visit func(*xmltext.Element)) {
	for t := e.First; t != nil; t = t.Next {
		if t.Name != "direction-type" {
			continue
		}
		for c := t.First; c != nil; c = c.Next {
			visit(c)
		}
	}
}

func folded(text string) string { return strings.ToLower(strings.Join(strings.Fields(text), " ")) }

// layoutAttributes say where in the full score something was printed.
var layoutAttributes = []string{"default-x", "default-y", "relative-x", "relative-y", "id", "text-x", "text-y", "end-length"}

// canonical is an element as it is put into a part: without its place on the page.
func (w *walker) canonical(e *xmltext.Element) *etree.Element {
	to := etree.NewElement(w.score.Prefix + e.Name)
	for _, a := range e.Attrs {
		if !slices.Contains(layoutAttributes, a.Name) && !strings.HasPrefix(a.Name, "xmlns") {
			to.CreateAttr(a.Name, a.Value)
		}
	}
	if e.First == nil {
		if e.Text != "" {
			to.SetText(e.Text)
		}
		return to
	}
	for c := e.First; c != nil; c = c.Next {
		if c.Name != "" {
			to.AddChild(w.canonical(c))
		}
	}
	return to
}

// A fermata stands over a note or rest.
type fermata struct {
	part    *musicxml.Part
	note    int // index into the notes of the part
	element *etree.Element
}

// fermata takes in a fermata over a note.
func (w *walker) fermata(note int, text []byte) {
	if !strings.Contains(string(text), "fermata") {
		return
	}
	shape := "upright"
	if strings.Contains(string(text), "inverted") {
		shape = "inverted"
	}
	e := etree.NewElement(w.score.Prefix + "fermata")
	e.CreateAttr("type", shape)
	w.fermatas = append(w.fermatas, fermata{w.part, note, e})
}
