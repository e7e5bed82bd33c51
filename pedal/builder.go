package pedal

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"
)

// A Builder makes a passage by hand. Music is put down as it is printed, in ticks
// of the caller's choice; where measures are played again, their notes are the
// same. The zero value with a Tick is ready for use; Bar and Again are needed only
// for music of more than one measure.
type Builder struct {
	Key Setting // the key signature at the start
	// Tick is how long a tick lasts. It may be changed at a barline, and holds from
	// the measure that begins there.
	Tick time.Duration
	Beat int64 // ticks from beat to beat, counted from the barline; 0 for no beats but the barlines

	notes []Note
	bars  []builtBar
	order []int // of bars, as they are played
	now   int64 // ticks since the barline
	open  bool  // the last bar is being written
	err   error // the first mistake
}

// A builtBar is one printed measure.
type builtBar struct {
	tick         time.Duration
	beat, length int64
	places       []builtPlace
}

// A builtPlace is where notes begin.
type builtPlace struct {
	offset int64
	grace  bool
	notes  []builtNote
}

type builtNote struct {
	note   int
	length int64
}

// Strike strikes notes together, where the music has come to; they last so many
// ticks, past barlines if need be. It does not move on: Wait does. Each is a
// printed note of its own, and the first of them has the index returned in
// Passage.Notes. Pitches are read by ParsePitch.
func (b *Builder) Strike(ticks int64, pitches ...string) (first int) {
	return b.strike(false, ticks, pitches)
}

// Grace strikes grace notes together, just before what is struck without grace at
// the same place.
func (b *Builder) Grace(pitches ...string) (first int) { return b.strike(true, 0, pitches) }

func (b *Builder) strike(grace bool, ticks int64, pitches []string) (first int) {
	bar, first := b.bar(), len(b.notes)
	if ticks < 0 {
		b.fail(fmt.Errorf("notes last %d ticks", ticks))
	}
	last := len(bar.places) - 1
	if grace || last < 0 || bar.places[last].offset != b.now || bar.places[last].grace {
		bar.places = append(bar.places, builtPlace{offset: b.now, grace: grace})
		last++
	}
	for _, text := range pitches {
		pitch, err := ParsePitch(text)
		b.fail(err)
		bar.places[last].notes = append(bar.places[last].notes, builtNote{len(b.notes), ticks})
		b.notes = append(b.notes, Note{Pitch: pitch})
	}
	return first
}

// Wait moves on by so many ticks.
func (b *Builder) Wait(ticks int64) {
	bar := b.bar()
	if ticks < 0 {
		b.fail(fmt.Errorf("a wait of %d ticks", ticks))
	}
	b.now += ticks
	bar.length = max(bar.length, b.now)
}

// Bar puts a barline where the music has come to.
func (b *Builder) Bar() {
	b.bar()
	b.open, b.now = false, 0
}

// Again plays printed measures again, from one to another, both counted from 0 and
// both included. A barline stands before and after.
func (b *Builder) Again(from, to int) {
	if b.open {
		b.Bar()
	}
	if from < 0 || to < from || to >= len(b.bars) {
		b.fail(fmt.Errorf("measures %d to %d are not there to be played again", from, to))
		return
	}
	for k := from; k <= to; k++ {
		b.order = append(b.order, k)
	}
}

// bar is the measure that is being written.
func (b *Builder) bar() *builtBar {
	if !b.open {
		b.open = true
		b.order = append(b.order, len(b.bars))
		b.bars = append(b.bars, builtBar{tick: b.Tick, beat: b.Beat})
	}
	return &b.bars[len(b.bars)-1]
}

func (b *Builder) fail(err error) {
	if b.err == nil {
		b.err = err
	}
}

// Passage returns the music in playing order, or the first mistake that was made
// in putting it down. The music may go on afterwards.
func (b *Builder) Passage() (*Passage, error) {
	if b.err != nil {
		return nil, b.err
	}
	p := &Passage{Notes: slices.Clone(b.notes), Key: b.Key}
	signs := b.signs()
	var onset int64
	var at time.Duration
	for step, k := range b.order {
		bar := &b.bars[k]
		if bar.tick <= 0 || bar.beat < 0 {
			return nil, errors.New("a tick must last some time, and beats be some ticks apart")
		}
		first := len(p.Moments)
		end, until := onset+bar.length, at+time.Duration(bar.length)*bar.tick
		p.Measures = append(p.Measures, Measure{Written: k, First: first, Onset: onset, At: at, End: end, Until: until, Sign: signs[k]})
		for _, place := range bar.withBeats() {
			m := Moment{
				Onset: onset + place.offset, At: at + time.Duration(place.offset)*bar.tick, Measure: step, Grace: place.grace,
				Beat:    !place.grace && (place.offset == 0 || bar.beat > 0 && place.offset%bar.beat == 0),
				Restart: step > 0 && k == b.order[0] && len(p.Moments) == first,
			}
			for _, n := range place.notes {
				ends := place.offset + n.length
				m.Strikes = append(m.Strikes, Strike{Note: n.note, End: onset + ends, Until: b.seconds(step, at, ends)})
			}
			p.Moments = append(p.Moments, m)
		}
		onset, at = end, until
	}
	return p, nil
}

// withBeats are the places of a measure, and its beats between them.
func (b *builtBar) withBeats() []builtPlace {
	list := slices.Clone(b.places)
	for t := int64(0); t == 0 || t < b.length; t += b.beat {
		if !slices.ContainsFunc(b.places, func(p builtPlace) bool { return p.offset == t && !p.grace }) {
			list = append(list, builtPlace{offset: t})
		}
		if b.beat == 0 {
			break
		}
	}
	slices.SortStableFunc(list, func(a, c builtPlace) int {
		if a.offset != c.offset || a.grace == c.grace {
			return cmp.Compare(a.offset, c.offset)
		}
		if a.grace {
			return -1
		}
		return 1
	})
	return list
}

// signs tells for each printed measure, and the end, whether a repeat sign or jump
// stands at its beginning.
func (b *Builder) signs() []bool {
	signs := make([]bool, len(b.bars)+1)
	for i, k := range b.order {
		if i > 0 && k != b.order[i-1]+1 {
			signs[k], signs[b.order[i-1]+1] = true, true
		}
	}
	if n := len(b.order); n > 0 {
		signs[b.order[n-1]+1] = true // the music may end there
	}
	return signs
}

// seconds is when it is so many ticks after the start of a measure that is played
// at a time: those past its barline last as long as in the measures played next.
func (b *Builder) seconds(step int, at time.Duration, ticks int64) time.Duration {
	for ; step+1 < len(b.order) && ticks > b.bars[b.order[step]].length; step++ {
		bar := &b.bars[b.order[step]]
		at += time.Duration(bar.length) * bar.tick
		ticks -= bar.length
	}
	return at + time.Duration(ticks)*b.bars[b.order[step]].tick
}
