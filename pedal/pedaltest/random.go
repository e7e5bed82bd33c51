package pedaltest

import (
	"math/rand/v2"
	"time"

	"pedalogue/pedal"
)

// A Taste says what random music is like. The zero value is plain chromatic notes,
// once through.
type Taste struct {
	Notes   int     // at most; at least two
	Bars    int     // at most; at least one
	Letters int     // on which notes are written, at most; 0 for all seven
	Octaves int     // over which they lie, from the third up; 0 for one
	Doubled float64 // how likely a note is another one's octave at the same place
	Twin    float64 // how likely a note is an earlier pitch spelt otherwise, or the same again
	Odd     float64 // how likely a note is doubly altered, or between two semitones
	Grace   float64 // how likely a place holds grace notes
	Held    float64 // how likely a note lasts beyond the next place
	Fixed   float64 // how likely a note wants its own string
	Pinned  float64 // how likely a player wants a note on some strings, or a pedal without a note
	Copied  float64 // how likely a bar is written as one before it
	Repeats bool    // whether bars are played again: repeats, endings, da capo
	Hurry   float64 // how fast it is: 1 for a tick of 30 to 300 ms
}

// Random is random music, the same each time for the same source.
func Random(r *rand.Rand, t Taste) *Music {
	w := &writer{r: r, t: t, music: &Music{}, letters: r.Perm(pedal.Letters)}
	if t.Letters > 0 {
		w.letters = w.letters[:max(1, 1+r.IntN(t.Letters))]
	}
	bars := 1 + r.IntN(max(1, t.Bars))
	left := max(2, t.Notes-r.IntN(1+t.Notes/3))
	for i := range bars {
		share := left / (bars - i)
		if i > 0 && w.chance(t.Copied) {
			left -= w.copy(r.IntN(i), left)
			continue
		}
		left -= w.bar(share)
	}
	w.music.Order = w.order(bars)
	for l := range w.music.Key {
		w.music.Key[l] = pedal.Position(r.IntN(3) - 1)
	}
	return w.music
}

// A writer writes random music.
type writer struct {
	r       *rand.Rand
	t       Taste
	music   *Music
	letters []int
}

func (w *writer) chance(p float64) bool { return w.r.Float64() < p }

// bar writes a bar of some notes, and returns how many it wrote.
func (w *writer) bar(notes int) int {
	length := int64(2 + w.r.IntN(7))
	hurry := w.t.Hurry
	if hurry == 0 {
		hurry = 1
	}
	bar := Bar{
		Length: length, Beat: int64(1 + w.r.IntN(3)),
		Tick: time.Duration(float64(30+10*w.r.IntN(28))/hurry) * time.Millisecond,
	}
	written := 0
	for t := int64(0); t < length && written < notes; t++ {
		if w.chance(0.35) && int(length-t) > notes-written {
			continue // a rest
		}
		if w.chance(w.t.Grace) {
			for range 1 + w.r.IntN(2) {
				bar.Places = append(bar.Places, Place{Offset: t, Grace: true, Notes: []Written{{w.note(nil), 0}}})
				written++
			}
		}
		place := Place{Offset: t}
		size := 1 + w.r.IntN(3)
		for range min(size, max(1, notes-written)) {
			length := int64(1)
			if w.chance(w.t.Held) {
				length += int64(1 + w.r.IntN(6))
			}
			place.Notes = append(place.Notes, Written{w.note(place.Notes), length})
			written++
		}
		bar.Places = append(bar.Places, place)
	}
	w.music.Bars = append(w.music.Bars, bar)
	return written
}

// note writes a new note, that sounds with others.
func (w *writer) note(others []Written) int {
	m := w.music
	pitch := pedal.Pitch{
		Letter: pedal.Letter(w.letters[w.r.IntN(len(w.letters))]), Cents: 100 * (w.r.IntN(3) - 1),
		Octave: 3 + w.r.IntN(max(1, w.t.Octaves)),
	}
	switch {
	case len(others) > 0 && w.chance(w.t.Doubled):
		other := m.Notes[others[w.r.IntN(len(others))].Note].Pitch
		pitch.Letter, pitch.Cents = other.Letter, other.Cents
	case len(m.Notes) > 0 && w.chance(w.t.Twin):
		other := m.Notes[w.r.IntN(len(m.Notes))].Pitch
		if list := stringsOf(other, pedal.AllStrings()); len(list) > 0 {
			s := list[w.r.IntN(len(list))]
			pitch.Letter, pitch.Cents = s.Letter, 100*int(s.Position)
		}
	case w.chance(w.t.Odd):
		pitch.Cents = []int{-200, 200, -200, 200, 50}[w.r.IntN(5)]
	}
	n := pedal.Note{Pitch: pitch, Fixed: w.chance(w.t.Fixed)}
	switch {
	case !w.chance(w.t.Pinned):
	case w.chance(0.3):
		n.Fixed, n.Silent = true, true
	default:
		if list := stringsOf(pitch, pedal.AllStrings()); len(list) > 0 {
			n.On = pedal.LetterSet(w.r.IntN(1+int(pedal.AllLetters))) | pedal.SetOf(list[w.r.IntN(len(list))].Letter)
		}
	}
	m.Notes = append(m.Notes, n)
	return len(m.Notes) - 1
}

// copy writes a bar as an earlier one is written, with notes of its own. It returns
// how many it wrote.
func (w *writer) copy(k, most int) int {
	bar := w.music.Bars[k]
	var places []Place
	count := 0
	for _, p := range bar.Places {
		c := Place{Offset: p.Offset, Grace: p.Grace}
		for _, n := range p.Notes {
			if count == most {
				break
			}
			c.Notes = append(c.Notes, Written{len(w.music.Notes), n.Length})
			w.music.Notes = append(w.music.Notes, w.music.Notes[n.Note])
			count++
		}
		if len(c.Notes) > 0 {
			places = append(places, c)
		}
	}
	bar.Places = places
	w.music.Bars = append(w.music.Bars, bar)
	return count
}

// order is a playing order of some bars: once through, a repeat with or without
// endings, three passes, da capo, or whatever jumps there may be.
func (w *writer) order(n int) []int {
	run := func(from, to int) (list []int) {
		for k := from; k < to; k++ {
			list = append(list, k)
		}
		return list
	}
	once := run(0, n)
	if !w.t.Repeats {
		return once
	}
	from := w.r.IntN(n)
	if w.chance(0.5) {
		from = 0
	}
	to := from + 1 + w.r.IntN(n-from)
	join := func(parts ...[]int) (list []int) {
		for _, p := range parts {
			list = append(list, p...)
		}
		return list
	}
	switch w.r.IntN(6) {
	case 0: // a repeat
		return join(run(0, to), run(from, n))
	case 1: // three passes
		return join(run(0, to), run(from, to), run(from, n))
	case 2: // two endings: the last bar of the first pass is left out in the second
		return join(run(0, to), run(from, to-1), run(to, n))
	case 3: // three passes, the first and second with one ending, the third with another
		return join(run(0, to), run(from, to), run(from, to-1), run(to, n))
	case 4: // da capo al fine
		return join(once, run(0, to))
	}
	return join(run(0, to), run(from, n), run(0, from+1)) // a repeat and da capo
}
