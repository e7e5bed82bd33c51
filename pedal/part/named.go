package part

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"pedalogue/musicxml"
)

// A Named place is one as a musician names it.
type Named struct {
	Measure string        // its printed number, or "#13" for the 13th measure of the score as it is written
	Beat    musicxml.Frac // as it is counted by the time signature, from 1; 0 for the start of the measure
	Pass    int           // which playing of the measure, from 1; 0 for the first
}

// ParseNamed reads "12", "12:3", "12:2½" or "#13:5/2": a measure, and a beat in it as a whole,
// decimal, broken or mixed number from 1.
func ParseNamed(text string) (Named, error) {
	measure, beat, found := strings.Cut(strings.TrimSpace(text), ":")
	n := Named{Measure: strings.TrimSpace(measure)}
	if n.Measure == "" {
		return Named{}, fmt.Errorf("%q names no measure", text)
	}
	if !found {
		return n, nil
	}
	n.Beat, _ = parseBeat(beat)
	if !n.Beat.OK() || n.Beat.Less(musicxml.NewFrac(1, 1)) {
		return Named{}, fmt.Errorf("%q is no beat: beats are counted from 1, such as 3, 2.5, 5/2 or 2½", beat)
	}
	return n, nil
}

// Find returns the moment of a named place: the first one at or after the beat, or
// the last of the measure where none is. It is an error if there is no such
// measure, more than one of the number, no such beat in it, or if it is not played
// so often.
func (p *Part) Find(n Named) (moment int, err error) {
	k, err := p.measureNamed(n.Measure)
	if err != nil {
		return 0, err
	}
	m := p.Score.Measures[k]
	var offset musicxml.Frac
	if n.Beat.Sign() > 0 {
		offset = n.Beat.Sub(musicxml.NewFrac(1, 1)).Mul(CountedBeat(m.Beat))
	}
	if offset.Sign() > 0 && !offset.Less(m.Length) {
		return 0, fmt.Errorf("measure %s has no beat %s", n.Measure, n.Beat)
	}
	at := 0
	for at+1 < len(p.written[k].moments) && p.written[k].moments[at].offset.Less(offset) {
		at++
	}
	played := p.Places.Playings(Place{k, at})
	pass := max(n.Pass, 1)
	switch {
	case len(played) == 0:
		return 0, fmt.Errorf("measure %s is never played", n.Measure)
	case pass > len(played):
		return 0, fmt.Errorf("measure %s is not played %d times but %d", n.Measure, pass, len(played))
	}
	return played[pass-1], nil
}

// measureNamed is the index of the measure with a printed number, or with its place
// in the score, "#13".
func (p *Part) measureNamed(name string) (int, error) {
	if place, ok := strings.CutPrefix(name, "#"); ok {
		n, err := strconv.Atoi(place)
		if err != nil || n < 1 || n > len(p.Score.Measures) {
			return 0, fmt.Errorf("%q is none of the %d measures, #1 to #%d", name, len(p.Score.Measures), len(p.Score.Measures))
		}
		return n - 1, nil
	}
	var found []string
	index := -1
	for k, m := range p.Score.Measures {
		if m.Number == name {
			found = append(found, "#"+strconv.Itoa(k+1))
			index = k
		}
	}
	switch len(found) {
	case 1:
		return index, nil
	case 0:
		if len(p.Score.Measures) == 0 {
			return 0, errors.New("the score has no measures")
		}
		return 0, fmt.Errorf("no measure has the number %q; the first is %q and the last %q", name,
			p.Score.Measures[0].Number, p.Score.Measures[len(p.Score.Measures)-1].Number)
	}
	return 0, fmt.Errorf("%d measures have the number %q: say which by its place in the score, %s", len(found), name, strings.Join(found, " or "))
}
