package pedaltest

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"pedalogue/pedal"
)

// A Music is a written piece, from which Passage makes what is played. Times are in
// ticks.
type Music struct {
	Notes []pedal.Note
	Bars  []Bar
	Order []int // the bars in playing order
	Key   pedal.Setting
}

// A Bar is a written measure.
type Bar struct {
	Length int64
	Beat   int64         // a beat every so many ticks, from the barline on
	Tick   time.Duration // how long one lasts
	Places []Place       // by offset; grace notes before what they lean on
}

// A Place is where notes begin. The offset counts from the barline.
type Place struct {
	Offset int64
	Grace  bool
	Notes  []Written
}

// A Written is a note at its place. Ties may take its length past the barline; a
// grace note has none.
type Written struct {
	Note   int // index into Music.Notes
	Length int64
}

// signs tells for each written measure, and the end of the music, whether another
// measure than the one before leads to it, or the one before leads elsewhere.
func (m *Music) signs() []bool {
	signs := make([]bool, len(m.Bars)+1)
	for i, k := range m.Order {
		if i > 0 && m.Order[i-1]+1 != k {
			signs[k], signs[m.Order[i-1]+1] = true, true
		}
	}
	signs[m.Order[len(m.Order)-1]+1] = true
	return signs
}

// Passage lays the music out in playing order. Every beat is a moment. The clock of
// seconds follows the tempo of each bar; a note that is held into the next bars ends
// by their tempo.
func (m *Music) Passage() *pedal.Passage {
	p := &pedal.Passage{Notes: m.Notes, Key: m.Key}
	signs := m.signs()
	var onset int64
	var at time.Duration
	for step, k := range m.Order {
		bar := m.Bars[k]
		next, until := onset+bar.Length, at+time.Duration(bar.Length)*bar.Tick
		p.Measures = append(p.Measures, pedal.Measure{
			Written: k, First: len(p.Moments), Onset: onset, At: at, End: next, Until: until, Sign: signs[k],
		})
		for _, place := range bar.places(step == len(m.Order)-1) {
			moment := pedal.Moment{
				Onset: onset + place.Offset, At: at + time.Duration(place.Offset)*bar.Tick, Measure: step,
				Grace: place.Grace, Beat: !place.Grace && place.Offset%bar.Beat == 0,
				Restart: k == m.Order[0] && step > 0 && len(p.Moments) == p.Measures[step].First,
			}
			for _, w := range place.Notes {
				end := moment.Onset + w.Length
				moment.Strikes = append(moment.Strikes, pedal.Strike{Note: w.Note, End: end, Until: m.seconds(step, at, end-onset)})
			}
			p.Moments = append(p.Moments, moment)
		}
		onset, at = next, until
	}
	return p
}

// places are the places of a bar with its beats between them; the last bar ends with
// its barline.
func (b Bar) places(last bool) []Place {
	list := slices.Clone(b.Places)
	for t := int64(0); t < b.Length || last && t == b.Length; t += b.Beat {
		if !slices.ContainsFunc(b.Places, func(p Place) bool { return p.Offset == t && !p.Grace }) {
			list = append(list, Place{Offset: t})
		}
	}
	slices.SortStableFunc(list, func(a, c Place) int {
		switch {
		case a.Offset != c.Offset:
			return int(a.Offset - c.Offset)
		case a.Grace == c.Grace:
			return 0
		case a.Grace:
			return -1
		}
		return 1
	})
	return list
}

// seconds is when it is some ticks after the start of a step, which begins at a time.
func (m *Music) seconds(step int, at time.Duration, ticks int64) time.Duration {
	for ; step < len(m.Order)-1 && ticks > m.Bars[m.Order[step]].Length; step++ {
		bar := m.Bars[m.Order[step]]
		ticks -= bar.Length
		at += time.Duration(bar.Length) * bar.Tick
	}
	return at + time.Duration(ticks)*m.Bars[m.Order[step]].Tick
}

// Describe writes a passage so that a failure can be read: a line a moment, its
// notes with their numbers and ends.
func Describe(p *pedal.Passage) string {
	var b strings.Builder
	for i, m := range p.Moments {
		if len(m.Strikes) == 0 && !m.Restart {
			continue
		}
		fmt.Fprintf(&b, "%3d %4d %8v", i, m.Onset, m.At)
		if p.Measures != nil {
			fmt.Fprintf(&b, " bar %d", p.Measures[m.Measure].Written)
		}
		for text, is := range map[string]bool{" beat": m.Beat, " grace": m.Grace, " RESTART": m.Restart} {
			if is {
				b.WriteString(text)
			}
		}
		for _, s := range m.Strikes {
			fixed, n := "", p.Notes[s.Note]
			if n.Fixed {
				fixed = "!"
			}
			if n.Silent {
				fixed += " silent"
			}
			for l := range pedal.Letter(pedal.Letters) {
				if n.On.Has(l) {
					fixed += "@" + l.String()
				}
			}
			fmt.Fprintf(&b, "  #%d=%v%s to %d (%v)", s.Note, n.Pitch, fixed, s.End, s.Until)
		}
		b.WriteByte('\n')
	}
	return b.String()
}
