package musicxml

import (
	"fmt"
	"slices"
	"strings"
)

// Cues says what becomes of cue notes: notes with a cue element, which are
// printed small.
type Cues uint8

// The ways to read cue notes. By the zero value a cue note whose voice has a note
// that sounds in the same measure is small print and sounds as well, as many
// exporters write it; where a voice has nothing but cues and rests in a measure,
// they are another player's and silent. Both are told by the warning cue-notes.
const (
	CuesAuto Cues = iota // by their voices, as above
	CuesPlay             // all of them sound
	CuesSkip             // all of them are another player's
)

var cuesNames = [...]string{CuesAuto: "auto", CuesPlay: "play", CuesSkip: "skip"}

// String returns "auto", "play" or "skip".
func (c Cues) String() string { return cuesNames[c] }

// ParseCues reads what String writes; anything else is an error that lists it.
func ParseCues(text string) (Cues, error) {
	if i := slices.Index(cuesNames[:], text); i >= 0 {
		return Cues(i), nil
	}
	return 0, fmt.Errorf("%q is none of auto, play and skip", text)
}

// settleCues tells the cue notes of a measure that has been read which are small
// print and which are another player's.
func (r *reader) settleCues(p *partReader) {
	first := p.part.Measures[p.measure].FirstNote
	notes := p.part.Notes[first:]
	if !p.cues {
		return
	}
	p.cues = false
	sounding := map[string]bool{} // the voices with a note that sounds
	for i := range notes {
		if n := &notes[i]; !n.cue && n.Kind != Rest {
			sounding[voiceOf(n)] = true
		}
	}
	var small, silent cueCount
	for i := range notes {
		n := &notes[i]
		switch {
		case !n.cue:
		case r.options.Cues == CuesPlay, r.options.Cues == CuesAuto && sounding[voiceOf(n)]:
			n.Small = true
			small.add(n)
		default:
			n.Kind = Cue
			silent.add(n)
		}
	}
	p.small.join(small, p.measure)
	p.silentCues.join(silent, p.measure)
}

// voiceOf is the voice of a note; a note that names none is in the first.
func voiceOf(n *Note) string {
	if n.Voice == "" {
		return "1"
	}
	return n.Voice
}

// A cueCount is how many cue notes there are, and where.
type cueCount struct {
	notes    int
	first    int // offset of the first one
	measures []int
}

func (c *cueCount) add(n *Note) {
	if c.notes == 0 {
		c.first = n.Start
	}
	c.notes++
}

// join adds those of a measure.
func (c *cueCount) join(more cueCount, measure int) {
	if more.notes == 0 {
		return
	}
	if c.notes == 0 {
		c.first = more.first
	}
	c.notes += more.notes
	c.measures = append(c.measures, measure)
}

// warnCues tells how the cue notes of a harp part were read.
func (r *reader) warnCues(p *partReader) {
	if !p.part.Harp {
		return
	}
	for _, c := range []struct {
		cueCount
		one, many string
	}{
		{p.small, "is read as small print, and sounds", "are read as small print, and sound"},
		{p.silentCues, "is read as another player's, and does not sound", "are read as another player's, and do not sound"},
	} {
		if c.notes == 0 {
			continue
		}
		what := fmt.Sprintf("%d cue notes %s", c.notes, c.many)
		if c.notes == 1 {
			what = "1 cue note " + c.one
		}
		at := place{p.part.ID, p.part.Measures[c.measures[0]].Number, c.measures[0]}
		r.warnAt(at, "cue-notes", c.first, "%s (%s)", sentence(what), sentence(r.measureList(p.part, c.measures)))
	}
}

// measureList names measures of a part by their numbers, as "measures 3, 5 to 9
// and 14 more".
func (r *reader) measureList(p *Part, measures []int) string {
	const most = 12
	var runs []string
	left := 0
	for i := 0; i < len(measures); {
		j := i
		for j+1 < len(measures) && measures[j+1] == measures[j]+1 {
			j++
		}
		from, to := p.Measures[measures[i]].Number, p.Measures[measures[j]].Number
		switch {
		case len(runs) >= most:
			left += j - i + 1
		case i == j:
			runs = append(runs, from)
		case j == i+1:
			runs = append(runs, from, to)
		default:
			runs = append(runs, from+" to "+to)
		}
		i = j + 1
	}
	text := "measures "
	if len(measures) == 1 {
		text = "measure "
	}
	text += strings.Join(runs, ", ")
	if left > 0 {
		text += fmt.Sprintf(" and %d more", left)
	}
	return text
}
