package musicxml

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pedalogue/musicxml/internal/xmltext"
)

// A signpost is what a measure says of the playing order. Repeats, endings and
// jumps hold for the whole score, whichever part they stand in; where several
// parts speak, the first one that says a thing is heard.
type signpost struct {
	opens     bool     // a forward repeat stands at its start
	closes    *repeat  // a backward repeat stands at its end
	ending    []int    // the passes of an ending that begins here; nil if none does
	stops     bool     // an ending ends here
	jumps     []jump   // in the order in which they were read
	segno     []string // labels of the jump targets at its start
	coda      []string
	printed   struct{ segno, coda bool } // a sign without a label
	rehearsal string                     // the rehearsal mark in it; "" for none
	doubleBar bool                       // a double or final barline stands at its end
	newSystem bool                       // a system, or a page, is said to begin with it
	newPage   bool
}

// A repeat is a backward repeat.
type repeat struct {
	times     int    // 0 if not given
	afterJump string // "yes", "no" or "" if not given
}

type jumpKind uint8

const (
	daCapo jumpKind = iota
	dalSegno
	toCoda
	fine
)

// A jump leaves a measure at its end.
type jump struct {
	kind   jumpKind
	label  string
	passes []int // time-only: the passes in which it counts; nil for all
	words  bool  // only printed words say so
	offset int
}

// sound takes in the attributes of a sound element.
func (s *signpost) sound(e *xmltext.Element) {
	for _, a := range e.Attrs {
		switch a.Name {
		case "forward-repeat":
			s.opens = s.opens || a.Value == "yes"
		case "segno":
			s.segno = append(s.segno, a.Value)
		case "coda":
			s.coda = append(s.coda, a.Value)
		case "dacapo":
			if a.Value == "yes" {
				s.jump(daCapo, "", e)
			}
		case "dalsegno":
			s.jump(dalSegno, a.Value, e)
		case "tocoda":
			s.jump(toCoda, a.Value, e)
		case "fine":
			if a.Value != "no" {
				s.jump(fine, a.Value, e)
			}
		}
	}
}

// jumps reports whether a sound element says anything of the playing order.
func jumps(sound *xmltext.Element) bool {
	for _, a := range sound.Attrs {
		switch a.Name {
		case "segno", "coda", "dacapo", "dalsegno", "tocoda", "fine":
			return true
		}
	}
	return false
}

func (s *signpost) jump(kind jumpKind, label string, e *xmltext.Element) {
	j := jump{kind: kind, label: label, offset: e.Start, passes: numbers(e.Attr("time-only"))}
	for i := range s.jumps {
		if s.jumps[i].kind == kind {
			if s.jumps[i].words {
				s.jumps[i] = j // what sound says goes before what is printed
			}
			return
		}
	}
	s.jumps = append(s.jumps, j)
}

// The words of the jumps, as they are printed. Common practice.
var jumpWords = []struct {
	kind  jumpKind
	words *regexp.Regexp
}{
	{dalSegno, regexp.MustCompile(`(?i)\bdal segno\b|\bdel segno\b|\bd\. ?s\b`)},
	{dalSegno, regexp.MustCompile(`\bDS\b`)},
	{daCapo, regexp.MustCompile(`(?i)\bda capo\b|\bd\. ?c\b`)},
	{daCapo, regexp.MustCompile(`\bDC\b`)},
	{toCoda, regexp.MustCompile(`(?i)^(to|alla?|zur|à la|a la) coda\b`)},
	{fine, regexp.MustCompile(`(?i)^fine\.?$`)},
}

// word takes in a printed text that may ask for a jump.
func (s *signpost) word(text string, offset int) {
	kind, found := jumpIn(text)
	if found && !slices.ContainsFunc(s.jumps, func(j jump) bool { return j.kind == kind }) {
		s.jumps = append(s.jumps, jump{kind: kind, words: true, offset: offset})
	}
}

// jumpIn finds the jump that a printed text asks for.
func jumpIn(text string) (kind jumpKind, found bool) {
	if len(text) > 80 {
		return 0, false
	}
	for _, w := range jumpWords {
		if w.words.MatchString(text) {
			return w.kind, true
		}
	}
	return 0, false
}

// JumpIn names the jump that a printed text asks for, as the attribute of a sound
// element does: "dacapo", "dalsegno", "tocoda" or "fine"; "" if it asks for none.
func JumpIn(text string) string {
	kind, found := jumpIn(text)
	if !found {
		return ""
	}
	return [...]string{daCapo: "dacapo", dalSegno: "dalsegno", toCoda: "tocoda", fine: "fine"}[kind]
}

// sign takes in a printed segno or coda.
func (s *signpost) sign(name string) {
	if name == "segno" {
		s.printed.segno = true
	} else {
		s.printed.coda = true
	}
}

// mostPasses is how often a section may be played.
const mostPasses = 999

// numbers reads a list of passes, "1, 2" or "1-3"; nil if there is none.
func numbers(text string) []int {
	var list []int
	var seen [mostPasses + 1]bool
	for _, field := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == '.' || r == ';' }) {
		from, to, isRange := strings.Cut(field, "-")
		a, err := strconv.Atoi(from)
		if err != nil || a < 1 || a > mostPasses {
			continue
		}
		b := a
		if isRange {
			if b, err = strconv.Atoi(to); err != nil || b < a || b > mostPasses {
				continue
			}
		}
		for n := a; n <= b; n++ {
			if !seen[n] {
				seen[n] = true
				list = append(list, n)
			}
		}
	}
	return list
}

// barline reads the repeats, endings and signs of a barline. Its location says
// where it stands, not its place among the children of the measure.
func (r *reader) barline(p *partReader, e *xmltext.Element) error {
	location := e.Attr("location")
	if e.Has("segno") && !jumps(e) {
		r.road[p.measure].printed.segno = true
	}
	if e.Has("coda") && !jumps(e) {
		r.road[p.measure].printed.coda = true
	}
	r.road[p.measure].sound(e)
	if c := e.Child("ending"); c != nil {
		r.ending(p, c, location)
	}
	r.barStyle(p, e, location)
	c := e.Child("repeat")
	if c == nil {
		return nil
	}
	if location == "middle" {
		r.warn("repeat-inside-measure", e.Start, "a repeat sign stands inside the measure; it is read as if it stood at the measure's end or start")
	}
	switch c.Attr("direction") {
	case "forward":
		at := p.measure
		if location == "right" {
			at++
		}
		r.signpostAt(at).opens = true
	case "backward":
		at := p.measure
		if location == "left" && at > 0 {
			at--
		}
		back := &repeat{afterJump: c.Attr("after-jump")}
		if t := c.Attr("times"); t != "" {
			n, ok := whole(t)
			if !ok || n < 0 || n > mostPasses {
				return faultAt(c, "the number of times %q is not a whole number up to %d", t, mostPasses)
			}
			back.times = n
		}
		s := &r.road[at]
		switch {
		case s.closes == nil:
			s.closes = back
		case s.closes.times == 0:
			s.closes.times = back.times
		case back.times > 0 && back.times != s.closes.times:
			r.warn("parts-disagree", c.Start, "this repeat sign is to be played %d times, another one at the same place %d times, which is taken", back.times, s.closes.times)
		}
	default:
		return faultAt(c, "a repeat has the direction %q, which is neither forward nor backward", c.Attr("direction"))
	}
	return nil
}

// barStyle notes a double or final barline.
func (r *reader) barStyle(p *partReader, e *xmltext.Element, location string) {
	switch e.ChildText("bar-style") {
	case "light-light", "light-heavy", "heavy-light", "heavy-heavy":
	default:
		return
	}
	switch {
	case location == "middle":
	case location != "left":
		r.road[p.measure].doubleBar = true
	case p.measure > 0:
		r.road[p.measure-1].doubleBar = true
	}
}

// signpostAt returns the signpost of a measure; one past the last measure read
// so far waits for it.
func (r *reader) signpostAt(measure int) *signpost {
	if measure < len(r.road) {
		return &r.road[measure]
	}
	return &r.beyond
}

func (r *reader) ending(p *partReader, e *xmltext.Element, location string) {
	s := &r.road[p.measure]
	switch e.Attr("type") {
	case "start":
		passes := numbers(e.Attr("number"))
		if passes == nil {
			passes = numbers(e.Text)
		}
		if s.ending != nil {
			if passes != nil && !slices.Equal(passes, s.ending) {
				r.warn("parts-disagree", e.Start, "this ending is for other passes than another one at the same place, which is taken")
			}
			return
		}
		if s.ending = passes; s.ending == nil {
			s.ending = []int{1}
			r.warn("ending-without-number", e.Start, "an ending does not say for which pass it is; it is read as the first")
		}
	case "stop", "discontinue":
		if location == "left" && p.measure > 0 {
			r.road[p.measure-1].stops = true
			return
		}
		s.stops = true
	}
}
