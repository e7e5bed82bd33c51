package part

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// pinned plans the part under pins, in every mode, and returns the plans without
// them besides. It is an error if pins cannot be met in the mode that is asked for.
func (p *Part) pinned(ctx context.Context, w Wishes) (plans, without [4]*pedal.Plan, err error) {
	free := p.copy()
	if without, err = free.plans(ctx, w); err != nil {
		return plans, without, p.located(err)
	}
	own, err := p.pin(w.Pins, w.Options.Instrument)
	if err != nil {
		return plans, without, err
	}
	if plans, err = p.plans(ctx, w); err != nil {
		return plans, without, p.located(err)
	}
	for i, mode := range pedal.Modes() {
		if mode != w.Options.Mode {
			continue
		}
		if err = p.unmet(plans[i], without[i], own); err != nil {
			return plans, without, err
		}
	}
	if w.Obey {
		if without, err = free.obey(ctx, without, w.Options); err == nil {
			plans, err = p.obey(ctx, plans, w.Options)
		}
	}
	return plans, without, err
}

// copy is the part with a passage of its own.
func (p *Part) copy() *Part {
	q, passage := *p, *p.Passage
	passage.Notes, passage.Moments = slices.Clone(passage.Notes), slices.Clone(passage.Moments)
	for i := range passage.Moments {
		passage.Moments[i].Strikes = slices.Clip(passage.Moments[i].Strikes)
	}
	q.Passage, q.notes = &passage, slices.Clip(p.notes)
	return &q
}

// pin puts pins into the passage. It returns how many strikes each moment has
// without them.
func (p *Part) pin(pins []Pin, h pedal.Instrument) (own []int, err error) {
	var demands []demand
	stands := map[int]pedal.Setting{} // by moment, of pedals that are wanted; known tells which
	known := map[int]pedal.LetterSet{}
	pinned := map[int]bool{}
	for i := range pins {
		pin := &pins[i]
		for j := range pin.wants {
			w := &pin.wants[j]
			if w.kind != wantPedal {
				if err := p.pinNotes(pin, w, pinned); err != nil {
					return nil, err
				}
				continue
			}
			moments, err := p.pinMoments(pin)
			if err != nil {
				return nil, err
			}
			for _, k := range moments {
				s := stands[k]
				if known[k].Has(w.pedal.Letter) && s[w.pedal.Letter] != w.pedal.Position {
					return nil, p.located(&pedal.Error{Moment: k, Err: fmt.Errorf("%q: another pin wants the %v pedal elsewhere", pin.Text, w.pedal.Letter)})
				}
				s[w.pedal.Letter] = w.pedal.Position
				stands[k], known[k] = s, known[k]|pedal.SetOf(w.pedal.Letter)
			}
			demands = append(demands, p.demand(w.pedal, moments, h))
		}
	}
	strikes := make([][]pedal.Strike, len(p.Passage.Moments))
	for i := range strikes {
		strikes[i] = slices.Clip(p.Passage.Moments[i].Strikes)
		own = append(own, len(strikes[i]))
	}
	p.ask(strikes, demands)
	return own, nil
}

// pinNotes wants some notes on some strings, and adds them to those that are pinned.
func (p *Part) pinNotes(pin *Pin, w *want, pinned map[int]bool) error {
	at, err := p.span(pin)
	if err != nil {
		return err
	}
	found := false
	for i := range p.Passage.Notes {
		n := &p.Passage.Notes[i]
		note := p.Note(i)
		if note == nil || n.Implied && n.Fixed || note.Measure < at.first || note.Measure > at.last || !p.onBeat(pin, note) {
			continue
		}
		if !pinned[i] && !n.Implied {
			n = free(n, note)
		}
		on := pedal.SetOf(w.letter)
		switch {
		case w.kind == wantWritten && settable(n.Pitch) && n.Pitch.Cents%100 == 0:
			on = pedal.SetOf(n.Pitch.Letter)
		case w.kind == wantWritten || n.Pitch.Letter != w.name.Letter || n.Pitch.Cents != w.name.Cents || w.octave && n.Pitch.Octave != w.name.Octave:
			continue
		case w.kind == wantOff:
			on = pedal.AllLetters &^ on
		}
		found = true
		if n.On == 0 {
			n.On = pedal.AllLetters
		}
		p.Passage.Notes[i], pinned[i] = *n, true
		n = &p.Passage.Notes[i]
		if n.On &= on; n.On&stringsFor(n.Pitch) == 0 {
			return p.pinError(note.Measure, pin, fmt.Errorf("no string is left for %v", n.Pitch))
		}
	}
	if !found && w.kind != wantWritten && pin.where != everywhere {
		return p.pinError(at.first, pin, fmt.Errorf("no %s is struck there", w.name.Name()))
	}
	return nil
}

// stringsFor are the letters of all strings that sound a pitch.
func stringsFor(pitch pedal.Pitch) (s pedal.LetterSet) {
	for l := range pedal.Letter(pedal.Letters) {
		if _, sounds := positionFor(pitch, l); sounds {
			s |= pedal.SetOf(l)
		}
	}
	return s
}

// onBeat tells whether a note is struck at the beat of a pin, if that has one.
func (p *Part) onBeat(pin *Pin, n *musicxml.Note) bool {
	return pin.beat.Sign() == 0 || n.Onset.Sub(p.Score.Measures[n.Measure].Start).Cmp(p.beatOffset(pin, n.Measure)) == 0
}

// beatOffset is where the beat of a pin lies in a measure.
func (p *Part) beatOffset(pin *Pin, measure int) musicxml.Frac {
	return pin.beat.Sub(musicxml.NewFrac(1, 1)).Mul(CountedBeat(p.Score.Measures[measure].Beat))
}

// pinMoments lists when a pin wants pedals to stand: at the beginning of a single
// measure or at a beat of it; else at every moment of its measures at which
// something is struck, and at their beginning.
func (p *Part) pinMoments(pin *Pin) (list []int, err error) {
	at, err := p.span(pin)
	if err != nil {
		return nil, err
	}
	found := false
	for k := at.first; k <= at.last; k++ {
		for i := range p.written[k].moments {
			w := &p.written[k].moments[i]
			wanted := i == 0 || at.stretch && len(w.notes) > 0
			if pin.beat.Sign() != 0 {
				wanted = w.grace.part == nil && w.offset.Cmp(p.beatOffset(pin, k)) == 0
			}
			if wanted {
				found = true
				list = append(list, p.Places.Playings(Place{k, i})...)
			}
		}
	}
	switch {
	case !found:
		return nil, p.pinError(at.first, pin, errors.New("nothing is struck there, and no beat begins"))
	case len(list) == 0:
		return nil, p.pinError(at.first, pin, errors.New("it is never played"))
	}
	slices.Sort(list)
	return list, nil
}

// everywhere is the place of a pin that holds in the whole score.
const everywhere = "all"

// A span is the written measures of a pin. A stretch is named by both its ends, or as
// all.
type span struct {
	first, last int
	stretch     bool
}

// span returns the written measures of a pin.
func (p *Part) span(pin *Pin) (s span, err error) {
	if pin.where == everywhere {
		return span{0, len(p.Score.Measures) - 1, true}, nil
	}
	if s.first, err = p.numbered(pin, pin.where); err == nil {
		s.last = s.first
		return s, nil
	}
	// A printed number may hold a dash itself.
	for i, r := range pin.where {
		if r != '-' && r != '–' {
			continue
		}
		to := strings.TrimSpace(pin.where[i+utf8.RuneLen(r):])
		if s.first, err = p.numbered(pin, strings.TrimSpace(pin.where[:i])); err != nil {
			continue
		}
		if s.last, err = p.numbered(pin, to); err != nil {
			continue
		}
		switch s.stretch = true; {
		case s.last < s.first:
			err = p.pinError(s.first, pin, fmt.Errorf("measure %s comes before it", to))
		case pin.beat.Sign() != 0:
			err = p.pinError(s.first, pin, errors.New("a beat is one of a single measure"))
		}
		return s, err
	}
	return s, err
}

// numbered returns the measure of a printed number, or of a place in the score, #8.
func (p *Part) numbered(pin *Pin, label string) (int, error) {
	var found []string
	measure := 0
	for k := range p.Score.Measures {
		if p.Score.Measures[k].Number == label {
			found, measure = append(found, "#"+strconv.Itoa(k+1)), k
		}
	}
	if n, err := strconv.Atoi(strings.TrimPrefix(label, "#")); len(found) == 0 && err == nil && label[0] == '#' && n >= 1 && n <= len(p.Score.Measures) {
		return n - 1, nil
	}
	switch len(found) {
	case 0:
		return 0, p.pinError(-1, pin, fmt.Errorf("there is no measure %s", label))
	case 1:
		return measure, nil
	}
	return 0, p.pinError(measure, pin, fmt.Errorf("several measures are numbered %s: say %s", label, strings.Join(found, " or ")))
}

// unmet is an error where a plan under pins leaves out what stands for one, or a note
// that sounds without them.
func (p *Part) unmet(plan, without *pedal.Plan, own []int) error {
	silent := silentIn(without)
	for _, d := range plan.Unsounded {
		s := p.Passage.Moments[d.Moment].Strikes[d.Strike]
		pitch := p.Passage.Notes[s.Note].Pitch
		switch {
		case d.Strike >= own[d.Moment]:
			return p.located(&pedal.Error{Moment: d.Moment, Err: fmt.Errorf("the %v pedal cannot be pinned at %s here: a note needs it elsewhere", pitch.Letter, pitch.Name())})
		case !silent[d]:
			return p.located(&pedal.Error{Moment: d.Moment, Err: fmt.Errorf("what is pinned leaves no string for %v", pitch)})
		}
	}
	return nil
}

// pinError is a fault of a pin at a written measure; -1 for none.
func (p *Part) pinError(measure int, pin *Pin, err error) error {
	e := &musicxml.Error{Part: p.Player.ID(), Err: fmt.Errorf("%q: %w", pin.Text, err)}
	if measure >= 0 {
		e.Measure = p.Score.Measures[measure].Number
	}
	return e
}
