package musicxml

import (
	"slices"
	"sort"

	"pedalogue/musicxml/internal/xmltext"
)

// An instrumentChange is an instrument-change of a sound element: from its time on
// an instrument has another sound, and notes that name no instrument are played
// on it.
type instrumentChange struct {
	measure    int
	onset      Frac   // from the start of the measure; of the score once the part is read
	instrument int    // index into the instruments that the part-list gives the part
	sound      string // "" if it stays as it was
}

// changeInstruments takes in the instrument-changes of a sound element at a time
// of the measure of p. An instrument may be any part's.
func (r *reader) changeInstruments(p *partReader, sound *xmltext.Element, at Frac) {
	for c := sound.First; c != nil; c = c.Next {
		if c.Name != "instrument-change" {
			continue
		}
		id := c.Attr("id")
		if inside := c.Child("score-instrument"); id == "" && inside != nil {
			id = inside.Attr("id")
		}
		of := p
		index := p.part.instrument(id, -1)
		for i := 0; index < 0 && i < len(r.parts); i++ {
			of = r.parts[i]
			index = of.part.instrument(id, -1)
		}
		switch {
		case index >= 0:
		case !p.part.Harp:
			continue
		default:
			r.warn("instrument-unknown", c.Start, "a change to the instrument %q, which the part-list does not have, is not read", id)
			continue
		}
		change := instrumentChange{p.measure, at, index, c.ChildText("instrument-sound")}
		of.changes = append(of.changes, change)
		if change.sound == harpSound && !r.score.selected && !of.part.Harp {
			of.part.Harp, of.part.Clue = true, "a change to instrument-sound "+harpSound
		}
	}
}

// instrument returns the index of the instrument with an id, or otherwise the
// one given.
func (p *Part) instrument(id string, otherwise int) int {
	for i := range p.Instruments {
		if p.Instruments[i].ID == id {
			return i
		}
	}
	return otherwise
}

// settleInstruments gives the notes of a part the instruments that its changes
// lead to, by time: a voice that stands later in the file may begin earlier.
func (p *partReader) settleInstruments(measures []Measure) {
	if len(p.changes) == 0 {
		return
	}
	part := p.part
	for i := range p.changes {
		c := &p.changes[i]
		c.onset = c.onset.Add(measures[c.measure].Start)
	}
	slices.SortStableFunc(p.changes, func(a, b instrumentChange) int { return a.onset.Cmp(b.onset) })
	all := make([]soundFrom, 0, len(p.changes))          // the instrument of notes that name none
	sounds := make([][]soundFrom, len(part.Instruments)) // of each instrument as the part-list gives it
	known := map[Instrument]int{}                        // instruments in another sound, by what they are
	for _, c := range p.changes {
		all = append(all, soundFrom{c.onset, c.instrument})
		if c.sound == "" {
			continue
		}
		in := part.Instruments[c.instrument]
		in.Sound, in.Program = c.sound, 0
		in.Harp = p.asHarp || c.sound == harpSound
		index, found := known[in]
		switch {
		case c.sound == part.Instruments[c.instrument].Sound:
			index = c.instrument
		case !found:
			index = len(part.Instruments)
			part.Instruments = append(part.Instruments, in)
			known[in] = index
		}
		sounds[c.instrument] = append(sounds[c.instrument], soundFrom{c.onset, index})
	}
	for i := range part.Notes {
		n := &part.Notes[i]
		if !n.named {
			n.Instrument = lastSound(all, n.Onset, n.Instrument)
		}
		n.Instrument = lastSound(sounds[n.Instrument], n.Onset, n.Instrument)
	}
}

// A soundFrom is an instrument from a time on, an index into Part.Instruments.
type soundFrom struct {
	onset      Frac
	instrument int
}

// lastSound returns the last instrument of a list, sorted by time, at a time, or
// otherwise the one given.
func lastSound(list []soundFrom, at Frac, otherwise int) int {
	i := sort.Search(len(list), func(i int) bool { return at.Less(list[i].onset) })
	if i == 0 {
		return otherwise
	}
	return list[i-1].instrument
}
