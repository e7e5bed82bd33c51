package musicxml

import (
	"cmp"
	"fmt"
	"slices"

	"pedalogue/musicxml/internal/xmltext"
)

// finish puts together what only the whole score can tell: where measures
// begin, the playing order, ties and lines.
func (r *reader) finish() error {
	r.at = place{index: -1}
	if len(r.parts) == 0 {
		return fmt.Errorf("the score has no part-list: there is nothing to read")
	}
	if err := r.measureStarts(); err != nil {
		return err
	}
	if err := r.playingOrder(); err != nil {
		return err
	}
	ledTo := ledTo(r.score.Order)
	for _, p := range r.parts {
		r.at = place{part: p.part.ID, index: -1}
		if n := len(p.part.Measures); n < len(r.score.Measures) {
			r.warn("parts-differ-in-length", -1, "the part has %d measures, the score has %d", n, len(r.score.Measures))
		}
		if err := p.part.shift(r.score.Measures); err != nil {
			return err
		}
		p.settleInstruments(r.score.Measures)
		r.tie(p.part, ledTo)
		if !p.part.Harp {
			continue
		}
		r.warnCues(p)
		r.joinGlissandi(p.part)
		r.joinTremolos(p.part)
	}
	r.at = place{index: -1}
	r.warnHarps()
	r.score.Warnings = r.sortedWarnings()
	return nil
}

// measureStarts sets where each measure begins and how long it is: as long as
// the farthest cursor in it, or as its time signature if nothing has a length.
func (r *reader) measureStarts() error {
	current := meter{length: NewFrac(4, 1), beat: NewFrac(1, 1)}
	var start Frac
	for i := range r.score.Measures {
		if r.times[i].known && r.times[i].length.Sign() > 0 {
			current = r.times[i]
		}
		m := &r.score.Measures[i]
		m.Start, m.Length, m.Beat = start, r.farthest[i], current.beat
		m.Rehearsal, m.DoubleBar = r.road[i].rehearsal, r.road[i].doubleBar
		m.NewSystem, m.NewPage = r.road[i].newSystem, r.road[i].newPage
		if m.Length.Sign() == 0 {
			m.Length = current.length
		}
		if i == 0 && current.known && m.Length.Less(current.length) {
			m.FirstBeat = remainder(m.Length, m.Beat)
		}
		start = start.Add(m.Length)
		if !start.OK() {
			return fmt.Errorf("up to measure %s the times are too fine to be counted exactly", m.Number)
		}
	}
	r.finishTempos()
	return nil
}

// remainder is what is left of a length when as many steps as it holds are taken off.
func remainder(length, step Frac) Frac {
	n := length.Div(step)
	if !n.OK() {
		return Frac{}
	}
	return length.Sub(step.Mul(NewFrac(n.Num()/n.Den(), 1)))
}

// finishTempos sorts the tempos; at one place a sound goes before a printed
// mark, and the first part before the others.
func (r *reader) finishTempos() {
	slices.SortStableFunc(r.tempos, func(a, b tempoMark) int {
		return cmp.Or(cmp.Compare(a.Measure, b.Measure), a.Onset.Cmp(b.Onset), compareBool(a.printed, b.printed))
	})
	for i, t := range r.tempos {
		if i > 0 && t.Measure == r.tempos[i-1].Measure && t.Onset.Cmp(r.tempos[i-1].Onset) == 0 {
			continue
		}
		t.Onset = t.Onset.Add(r.score.Measures[t.Measure].Start)
		r.score.Tempos = append(r.score.Tempos, t.Tempo)
	}
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// shift counts the part's times from the start of the score.
func (p *Part) shift(measures []Measure) error {
	for i := range p.Measures {
		p.Measures[i].Start = measures[i].Start
	}
	for i := range p.Notes {
		n := &p.Notes[i]
		n.Onset = n.Onset.Add(measures[n.Measure].Start)
		if !n.Ends().OK() {
			return xmltext.Errorf(n.Start, "in measure %s the times are too fine to be counted exactly", measures[n.Measure].Number)
		}
	}
	for i := range p.Keys {
		p.Keys[i].Onset = p.Keys[i].Onset.Add(measures[p.Keys[i].Measure].Start)
	}
	for i := range p.Transposes {
		p.Transposes[i].Onset = p.Transposes[i].Onset.Add(measures[p.Transposes[i].Measure].Start)
	}
	for i := range p.Settings {
		p.Settings[i].Onset = p.Settings[i].Onset.Add(measures[p.Settings[i].Measure].Start)
	}
	for i := range p.Directions {
		p.Directions[i].Onset = p.Directions[i].Onset.Add(measures[p.Directions[i].Measure].Start)
	}
	for i := range p.Harmonies {
		p.Harmonies[i].Onset = p.Harmonies[i].Onset.Add(measures[p.Harmonies[i].Measure].Start)
	}
	for i := range p.Dampers {
		p.Dampers[i].Onset = p.Dampers[i].Onset.Add(measures[p.Dampers[i].Measure].Start)
	}
	return nil
}

// playingOrder follows repeats, endings and jumps.
func (r *reader) playingOrder() error {
	if err := checkRoad(r.road); err != nil {
		return err
	}
	road := newRoadMap(r.road)
	road.restarts = restarts(r.score.Measures)
	most := r.options.Limits.Played
	report := func(code string, measure, offset int, text string) {
		m := r.score.Measures[measure]
		r.warnAt(place{r.parts[m.Part].part.ID, m.Number, measure}, code, offset, "%s", sentence(text))
	}
	var err error
	if r.score.Order, err = road.walk(true, most, report); err != nil {
		return &Error{Err: err, Limit: "Played"}
	}
	if len(r.score.Order) == 0 && len(r.score.Measures) > 0 {
		r.warn("endings-contradict", -1, "the endings leave no measure to be played; the score is read straight through")
		for k := range r.score.Measures {
			r.score.Order = append(r.score.Order, k)
		}
		return nil
	}
	road.doubts(r.score.Order, report)
	literal, err := road.walk(false, most, func(string, int, int, string) {})
	if err == nil && !slices.Equal(literal, r.score.Order) {
		r.score.Literal = literal
	}
	return nil
}

// checkRoad refuses scores whose repeats and jumps are so many that following
// them would take for ever: the work grows with their number times the measures.
// No music comes near the limits.
func checkRoad(road []signpost) error {
	const most = 1 << 26
	repeats, jumps, labels := 0, 0, len(road)
	for i := range road {
		if road[i].closes != nil {
			repeats++
		}
		jumps += len(road[i].jumps)
		labels += len(road[i].segno) + len(road[i].coda)
	}
	if repeats*len(road) > most || jumps*labels > most {
		return fmt.Errorf("%d repeats and %d jumps in %d measures are more than can be followed", repeats, jumps, len(road))
	}
	return nil
}

// ledTo tells for each measure index whether a repeat or jump leads to it.
func ledTo(order []int) map[int]bool {
	led := map[int]bool{}
	for i := 1; i < len(order); i++ {
		if order[i] != order[i-1]+1 {
			led[order[i]] = true
		}
	}
	return led
}

// A tieKey is what two tied notes share.
type tieKey struct {
	pitch Pitch
	at    Frac
}

// tie joins tied notes of one pitch where one ends and the other begins, on
// whatever staff, in whatever voice and whichever comes first in the file. Half a
// tie is told of a harp part only.
func (r *reader) tie(p *Part, ledTo map[int]bool) {
	starts := map[tieKey][]int{}
	for i := range p.Notes {
		n := &p.Notes[i]
		if n.ties.start && n.sounds() {
			k := tieKey{n.Pitch, n.Ends()}
			starts[k] = append(starts[k], i)
		}
	}
	for i := range p.Notes {
		n := &p.Notes[i]
		if !n.ties.stop || !n.sounds() {
			continue
		}
		k := tieKey{n.Pitch, n.Onset}
		from := nearestTie(p.Notes, starts[k], i)
		switch {
		case from >= 0:
			p.Notes[from].TiedTo = i
			n.Tied = true
			starts[k] = remove(starts[k], from)
		case n.ties.printedOnly && n.ties.start && ledTo[n.Measure]:
			n.Tied = true
		case p.Harp:
			r.warnAt(p.placeOf(n), "tie-without-start", n.Start, "the tie into %s has no start; the note is plucked", n.Pitch)
		}
	}
	for i := range p.Notes {
		n := &p.Notes[i]
		if p.Harp && n.ties.start && n.TiedTo < 0 && n.sounds() {
			r.warnAt(p.placeOf(n), "tie-without-stop", n.Start, "the tie from %s has no stop; it is no tie", n.Pitch)
		}
	}
}

// remove takes a value out of a list that has it.
func remove(list []int, value int) []int {
	if list[0] == value {
		return list[1:]
	}
	i := slices.Index(list, value)
	return slices.Delete(list, i, i+1)
}

// nearestTie picks the tie to go on from: of the same voice and staff if there
// is one, else of the same staff.
func nearestTie(notes []Note, starts []int, to int) int {
	best, score := -1, -1
	for _, s := range starts {
		if s == to {
			continue
		}
		near := 0
		if notes[s].Staff == notes[to].Staff {
			near = 1
			if notes[s].Voice == notes[to].Voice {
				near = 2
			}
		}
		if near > score {
			best, score = s, near
		}
		if near == 2 {
			break
		}
	}
	return best
}

func (p *Part) placeOf(n *Note) place {
	return place{p.ID, p.Measures[n.Measure].Number, n.Measure}
}

// A lineEnd is one end of a glissando or slide.
type lineEnd struct {
	note int
	spanner
}

// joinGlissandi pairs the ends of glissandi and slides by number and time; a
// stop may stand before its start in the file, and numbers are used again.
func (r *reader) joinGlissandi(p *Part) {
	var ends []lineEnd
	for i := range p.Notes {
		if s := p.Notes[i].Signs; s != nil {
			for _, g := range s.glissandi {
				ends = append(ends, lineEnd{i, g})
			}
		}
	}
	slices.SortStableFunc(ends, func(a, b lineEnd) int { return compareMoments(p.Notes, a.note, b.note) })
	// The stops of each line, those that may still be taken: a start takes the
	// first one after it, and those before it are before every later start too.
	stops := map[spanner][]int{}
	for j, e := range ends {
		if !e.start {
			stops[e.spanner] = append(stops[e.spanner], j)
		}
	}
	stopped := make([]bool, len(ends))
	for _, from := range ends {
		if !from.start {
			continue
		}
		line := spanner{element: from.element, number: from.number}
		open := stops[line]
		for len(open) > 0 && compareMoments(p.Notes, from.note, ends[open[0]].note) >= 0 {
			open = open[1:]
		}
		if len(open) == 0 {
			stops[line] = nil
			n := &p.Notes[from.note]
			r.warnAt(p.placeOf(n), "glissando-without-stop", n.Start, "the %s from %s has no end", from.element, n.Pitch)
			continue
		}
		stopped[open[0]] = true
		p.Glissandi = append(p.Glissandi, Glissando{from.note, ends[open[0]].note})
		stops[line] = open[1:]
	}
	for j, e := range ends {
		if !e.start && !stopped[j] {
			n := &p.Notes[e.note]
			r.warnAt(p.placeOf(n), "glissando-without-start", n.Start, "the %s to %s has no beginning", e.element, n.Pitch)
		}
	}
}

// compareMoments orders notes by when they are attacked: a grace note comes
// before what begins with it, and grace notes come in the order of the file.
func compareMoments(notes []Note, a, b int) int {
	na, nb := &notes[a], &notes[b]
	if c := cmp.Or(na.Onset.Cmp(nb.Onset), compareBool(na.Kind != Grace, nb.Kind != Grace)); c != 0 {
		return c
	}
	if na.Kind == Grace {
		return cmp.Compare(na.Head, nb.Head)
	}
	return 0
}

// joinTremolos pairs the notes of two-note tremolos: the start goes with the
// next stop of its measure, of its own voice or staff where there is one.
func (r *reader) joinTremolos(p *Part) {
	var stops []int // of the measure, in order of time, that no start has taken
	measure := -1
	for i := range p.Notes {
		n := &p.Notes[i]
		if n.Signs == nil || n.Signs.Tremolo != "start" || n.Chord || !n.sounds() {
			continue
		}
		if n.Measure != measure {
			measure = n.Measure
			stops = p.tremoloStops(measure)
		}
		j := p.tremoloStop(n, stops)
		if j < 0 {
			r.warnAt(p.placeOf(n), "tremolo-without-stop", n.Start, "the two-note tremolo from %s has no second note", n.Pitch)
			continue
		}
		p.Tremolos = append(p.Tremolos, Tremolo{i, stops[j]})
		if j == 0 {
			stops = stops[1:]
		} else {
			stops = slices.Delete(stops, j, j+1)
		}
	}
}

// tremoloStops lists the second notes of a measure's two-note tremolos in order
// of time.
func (p *Part) tremoloStops(measure int) []int {
	first, notes := p.NotesOf(measure)
	var stops []int
	for i := range notes {
		if o := &notes[i]; o.Signs != nil && o.Signs.Tremolo == "stop" && !o.Chord {
			stops = append(stops, first+i)
		}
	}
	slices.SortStableFunc(stops, func(a, b int) int { return p.Notes[a].Onset.Cmp(p.Notes[b].Onset) })
	return stops
}

// tremoloStop finds the stop with which a two-note tremolo alternates, an index
// into stops; -1 if there is none.
func (p *Part) tremoloStop(n *Note, stops []int) int {
	best := -1
	for j, i := range stops {
		o := &p.Notes[i]
		if !n.Onset.Less(o.Onset) || best >= 0 && !nearer(n, o, &p.Notes[stops[best]]) {
			continue
		}
		best = j
		if o.Voice == n.Voice && o.Staff == n.Staff {
			break // those that follow are later
		}
	}
	return best
}

// nearer reports whether note a is nearer to n than b is: in its voice, then on
// its staff, then in time.
func nearer(n, a, b *Note) bool {
	if (a.Voice == n.Voice) != (b.Voice == n.Voice) {
		return a.Voice == n.Voice
	}
	if (a.Staff == n.Staff) != (b.Staff == n.Staff) {
		return a.Staff == n.Staff
	}
	return a.Onset.Less(b.Onset)
}

// warnHarps says which parts were taken as one harp, and which part may be more
// than one.
func (r *reader) warnHarps() {
	for _, pl := range r.score.Players() {
		first := pl.Parts[0]
		at := place{part: first.ID, index: -1}
		if len(pl.Parts) > 1 && !r.score.selected {
			r.warnAt(at, "harp-split-into-parts", -1,
				"parts %s are read as one harp with one set of pedals", pl.ID())
		}
		if len(pl.Parts) == 1 && first.Staves >= twoPlayers {
			r.warnAt(at, "many-staves", -1,
				"part %s has %d staves and is read as one harp with one set of pedals; if two harps share it, give each a part of its own", first.ID, first.Staves)
		}
	}
}

// twoPlayers is how many staves look like two harps in one part. Common practice:
// one harp is written on two staves, now and then on three.
const twoPlayers = 4

// sortedWarnings gives each warning its line and sorts them as they stand in
// the document; those without a place come last.
func (r *reader) sortedWarnings() []Warning {
	slices.SortStableFunc(r.warnings, func(a, b pending) int {
		return cmp.Compare(uint(a.offset), uint(b.offset)) // -1 becomes the greatest
	})
	list := slices.Clone(r.doc.Warnings)
	line, from := 1, 0
	for _, w := range r.warnings {
		if w.offset >= 0 {
			line += xmltext.Line(r.doc.Text[from:], w.offset-from) - 1
			from = w.offset
			w.Line = line
		}
		list = append(list, w.Warning)
	}
	return list
}
