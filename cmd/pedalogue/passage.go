package main

import (
	"cmp"
	"errors"
	"slices"

	"pedalogue/musicxml"
	"pedalogue/pedal"
)

// A bridge leads from a player's parts to the passage that the planner works
// on, and back from its moments and notes to places in the score.
type bridge struct {
	score   *musicxml.Score
	player  musicxml.Player
	passage *pedal.Passage
	moments []origin  // one for each moment of the passage
	notes   []noteOf  // one for each note of the passage
	implied []implied // what is played without being written, in written order
	written []measure // what each written measure holds
	clock   *clock
	others  []existingMark // pedal marks that stand in the score, in written order

	stepStarts    []int // for each measure of the playing order, the index of its first moment
	measureStarts []int // for each written measure, how many written moments stand before it
}

// An origin is where a moment stands in the score.
type origin struct {
	step    int           // index into Score.Order
	measure int           // index of the measure
	pass    int           // from 1: how often the measure has been played, this time counted
	offset  musicxml.Frac // from the start of the measure
	grace   noteOf        // the first note of a grace moment; part is nil for others
}

// A noteOf is a note of a part.
type noteOf struct {
	part  *musicxml.Part
	index int // into part.Notes
}

func (n noteOf) note() *musicxml.Note { return &n.part.Notes[n.index] }

// A measure is the moments of one written measure, in the order in which they
// are played.
type measure struct{ moments []written }

// A written moment is one moment of a written measure.
type written struct {
	offset musicxml.Frac // from the start of the measure
	beat   bool
	grace  noteOf // the first note of a grace moment
	notes  []struck
}

// A struck note is a printed or implied note of a written moment.
type struck struct {
	note   int           // index into the passage's notes
	length musicxml.Frac // how long it is held, ties counted in
}

// newBridge builds the passage of a player. With impliedNotes, what is played
// without being written out is in it.
func newBridge(score *musicxml.Score, player musicxml.Player, impliedNotes bool, tempo tempoChoice) (*bridge, error) {
	if len(score.Order) == 0 {
		return nil, &musicxml.Error{Err: errors.New("the score has no measures")}
	}
	b := &bridge{score: score, player: player, passage: &pedal.Passage{Key: keyAtStart(player)}}
	b.others = existingOf(player)
	byNote := b.addNotes()
	b.markTremolos(byNote)
	var extra map[noteOf][]struck
	if impliedNotes {
		extra = b.addImplied(byNote)
	} else {
		b.noteImplied(byNote)
	}
	b.written = make([]measure, len(score.Measures))
	for k := range score.Measures {
		b.written[k] = b.writtenMeasure(k, byNote, extra)
	}
	var err error
	if b.clock, err = newClock(score, b.fractions(), tempo); err != nil {
		return nil, err
	}
	b.play()
	for _, i := range b.playings(place{measure: b.firstMeasure()})[1:] {
		b.passage.Moments[i].Restart = true
	}
	b.placeDampers()
	return b, nil
}

// keyAtStart is the setting of the first key signature that is in force when
// the player's music begins; all naturals if there is none.
func keyAtStart(player musicxml.Player) pedal.Setting {
	for _, p := range player.Parts {
		if len(p.Keys) > 0 {
			return keySetting(p.Keys[0])
		}
	}
	return pedal.Setting{}
}

// The order of sharps and, backwards, of flats in a key signature.
var sharpOrder = [pedal.Letters]pedal.Letter{pedal.F, pedal.C, pedal.G, pedal.D, pedal.A, pedal.E, pedal.B}

// keySetting is the setting of a key signature; what no pedal gives is natural.
func keySetting(k musicxml.Key) pedal.Setting {
	var s pedal.Setting
	for i, l := range sharpOrder {
		switch {
		case k.Fifths > i:
			s[l] = pedal.Sharp
		case -k.Fifths > len(sharpOrder)-1-i:
			s[l] = pedal.Flat
		}
	}
	for _, step := range k.Steps {
		l, ok := pedal.ParseLetter(string(step.Step))
		if n := step.Alter.Num(); ok && step.Alter.Den() == 1 && n >= -1 && n <= 1 {
			s[l] = pedal.Position(n)
		}
	}
	return s
}

// addNotes adds the attacked notes of all parts to the passage, in the order of
// the document. It returns what each is struck as.
func (b *bridge) addNotes() map[noteOf]struck {
	count := 0
	for _, p := range b.player.Parts {
		count += len(p.Notes)
	}
	byNote := make(map[noteOf]struck, count)
	b.notes = make([]noteOf, 0, count)
	b.passage.Notes = make([]pedal.Note, 0, count)
	staff := 0
	for _, p := range b.player.Parts {
		for i := range p.Notes {
			n := &p.Notes[i]
			if !p.HarpNote(n) || n.Tied {
				continue
			}
			at := noteOf{p, i}
			s := b.add(at, pitchOf(n.Pitch), staff+n.Staff, soundingLength(p, i))
			takeSigns(&b.passage.Notes[s.note], n)
			if head := p.Notes[n.Head].Signs; head != nil && head.Tremolo == "single" {
				b.passage.Notes[s.note].Plucks = plucks(n.Length, head.TremoloMarks)
			}
			byNote[at] = s
		}
		staff += p.Staves
	}
	return byNote
}

// add adds a note to the passage.
func (b *bridge) add(at noteOf, pitch pedal.Pitch, staff int, length musicxml.Frac) struck {
	b.passage.Notes = append(b.passage.Notes, pedal.Note{Pitch: pitch, Staff: staff})
	b.notes = append(b.notes, at)
	return struck{note: len(b.notes) - 1, length: length}
}

// takeSigns takes over what a note's signs say of how it is played.
func takeSigns(to *pedal.Note, n *musicxml.Note) {
	if n.Signs == nil {
		return
	}
	switch {
	case n.Signs.Arpeggiate:
		to.Roll = pedal.Rolled
	case n.Signs.NonArpeggiate:
		to.Roll = pedal.Together
	}
	to.Harmonic = n.Signs.Harmonic
	to.Trill = slices.ContainsFunc(n.Signs.Ornaments, func(o musicxml.Ornament) bool {
		return o.Name == "trill-mark" || o.Name == "shake"
	})
}

// markTremolos marks the two halves of the tremolos between two notes or chords.
func (b *bridge) markTremolos(byNote map[noteOf]struck) {
	mark := func(p *musicxml.Part, head int, half pedal.TremoloHalf) {
		for _, i := range chord(p, head) {
			if s, ok := byNote[noteOf{p, i}]; ok {
				b.passage.Notes[s.note].Tremolo = half
			}
		}
	}
	for _, p := range b.player.Parts {
		for _, t := range p.Tremolos {
			mark(p, t.From, pedal.FirstHalf)
			mark(p, t.To, pedal.SecondHalf)
		}
	}
}

// plucks is how often a tremolo on one note plucks it: each stroke halves the
// note value, and a note shorter than a quarter has its own flags besides.
func plucks(length musicxml.Frac, strokes int) int {
	value := musicxml.NewFrac(1, 1)
	if length.Less(value) {
		value = length
	}
	if value.Sign() <= 0 || strokes == 0 {
		return 0
	}
	n := length.Div(value).Mul(musicxml.NewFrac(1<<strokes, 1))
	return int(n.Num() / n.Den())
}

// soundingLength is the written length of a note with all that is tied to it.
func soundingLength(p *musicxml.Part, i int) musicxml.Frac {
	last := i
	for range p.Notes {
		if p.Notes[last].TiedTo < 0 {
			break
		}
		last = p.Notes[last].TiedTo
	}
	return p.Notes[last].Ends().Sub(p.Notes[i].Onset)
}

// pitchOf is a written pitch as the planner takes it. An alteration that is no
// whole number of cents stays no whole number of semitones.
func pitchOf(p musicxml.Pitch) pedal.Pitch {
	l, _ := pedal.ParseLetter(string(p.Step))
	cents := p.Alter.Mul(musicxml.NewFrac(100, 1))
	whole := int(cents.Num() / cents.Den())
	if cents.Den() != 1 && whole%100 == 0 {
		whole++
	}
	return pedal.Pitch{Letter: l, Cents: whole, Octave: p.Octave}
}

// writtenMeasure sorts what a measure holds: grace notes before what they lean
// on, everything else together that begins together, and its beats.
func (b *bridge) writtenMeasure(k int, byNote map[noteOf]struck, extra map[noteOf][]struck) measure {
	var list []written
	start := b.score.Measures[k].Start
	index := map[momentKey]int{}
	for _, p := range b.player.Parts {
		first, notes := p.NotesOf(k)
		for i := range notes {
			at := noteOf{p, first + i}
			s, ok := byNote[at]
			more := extra[at]
			if !ok && len(more) == 0 {
				continue
			}
			key := momentKey{offset: notes[i].Onset.Sub(start)}
			if notes[i].Kind == musicxml.Grace {
				key.grace = noteOf{p, notes[i].Head}
			}
			j, known := index[key]
			if !known {
				j = len(list)
				index[key] = j
				list = append(list, written{offset: key.offset, grace: key.grace})
			}
			if ok {
				list[j].notes = append(list[j].notes, s)
			}
			list[j].notes = append(list[j].notes, more...)
		}
	}
	beats := beatsOf(b.score.Measures[k])
	if order := b.score.Order; k == order[len(order)-1] {
		beats = append(beats, b.score.Measures[k].Length) // the final barline
	}
	for _, t := range beats {
		if j, known := index[momentKey{offset: t}]; known {
			list[j].beat = true
		} else {
			list = append(list, written{offset: t, beat: true})
		}
	}
	slices.SortStableFunc(list, func(a, c written) int {
		return cmp.Or(a.offset.Cmp(c.offset), cmp.Compare(graceRank(a), graceRank(c)))
	})
	return measure{list}
}

// beatsOf lists the beats of a measure, counted from its start. A measure out of
// all proportion has but the one at its start.
func beatsOf(m musicxml.Measure) []musicxml.Frac {
	const most = 128
	var beats []musicxml.Frac
	for t := (musicxml.Frac{}); t.Less(m.Length); t = t.Add(m.Beat) {
		if len(beats) == most {
			return beats[:1]
		}
		beats = append(beats, t)
	}
	if len(beats) == 0 {
		beats = []musicxml.Frac{{}}
	}
	return beats
}

// A momentKey tells the moments of a measure apart.
type momentKey struct {
	offset musicxml.Frac
	grace  noteOf
}

// graceRank sorts grace notes before what begins with them.
func graceRank(w written) int {
	if w.grace.part != nil {
		return 0
	}
	return 1
}

// fractions calls yield for every time that the passage's clock must count.
func (b *bridge) fractions() func(yield func(musicxml.Frac)) {
	return func(yield func(musicxml.Frac)) {
		for k, m := range b.written {
			yield(b.score.Measures[k].Length)
			for _, w := range m.moments {
				yield(w.offset)
				for _, s := range w.notes {
					yield(s.length)
				}
			}
		}
	}
}

// play lays the written measures out in playing order.
func (b *bridge) play() {
	passes := make([]int, len(b.score.Measures))
	count := 0
	for _, m := range b.written {
		b.measureStarts = append(b.measureStarts, count)
		count += len(m.moments)
	}
	moments, strikes := b.played()
	b.passage.Moments = make([]pedal.Moment, 0, moments)
	b.moments = make([]origin, 0, moments)
	b.stepStarts = make([]int, 0, len(b.score.Order))
	slab := make([]pedal.Strike, 0, strikes)
	b.passage.Measures = make([]pedal.Measure, 0, len(b.score.Order))
	broken := b.broken()
	for step, k := range b.score.Order {
		passes[k]++
		b.stepStarts = append(b.stepStarts, len(b.moments))
		begins, ends := b.clock.starts[step], b.clock.starts[step].Add(b.score.Measures[k].Length)
		b.passage.Measures = append(b.passage.Measures, pedal.Measure{
			Written: k, First: len(b.moments), Sign: broken[k],
			Onset: b.clock.ticks(begins), At: b.clock.seconds(begins),
			End: b.clock.ticks(ends), Until: b.clock.seconds(ends),
		})
		for _, w := range b.written[k].moments {
			at := b.clock.starts[step].Add(w.offset)
			m := pedal.Moment{
				Onset: b.clock.ticks(at), At: b.clock.seconds(at),
				Beat: w.beat, Grace: w.grace.part != nil, Measure: step,
			}
			for _, s := range w.notes {
				end := at.Add(s.length)
				slab = append(slab, pedal.Strike{Note: s.note, End: b.clock.ticks(end), Until: b.clock.seconds(end)})
			}
			m.Strikes, slab = slab[:len(slab):len(slab)], slab[len(slab):]
			b.passage.Moments = append(b.passage.Moments, m)
			b.moments = append(b.moments, origin{step: step, measure: k, pass: passes[k], offset: w.offset, grace: w.grace})
		}
	}
}

// played counts the moments in playing order, and the notes struck at them.
func (b *bridge) played() (moments, strikes int) {
	for _, k := range b.score.Order {
		moments += len(b.written[k].moments)
		for _, w := range b.written[k].moments {
			strikes += len(w.notes)
		}
	}
	return moments, strikes
}

// placeDampers finds the moments at which a piano's damper pedal is marked, or
// the last ones before.
func (b *bridge) placeDampers() {
	byMeasure := map[int][]musicxml.Frac{}
	for _, p := range b.player.Parts {
		for _, d := range p.Dampers {
			byMeasure[d.Measure] = append(byMeasure[d.Measure], d.Onset.Sub(b.score.Measures[d.Measure].Start))
		}
	}
	for step, k := range b.score.Order {
		for _, offset := range byMeasure[k] {
			at := b.stepStarts[step]
			for j, w := range b.written[k].moments {
				if !offset.Less(w.offset) {
					at = b.stepStarts[step] + j
				}
			}
			b.passage.Dampers = append(b.passage.Dampers, at)
		}
	}
	slices.Sort(b.passage.Dampers)
}

// changesInstrument reports whether the harpist plays another instrument too.
func (b *bridge) changesInstrument() bool {
	for _, p := range b.player.Parts {
		for _, in := range p.Instruments {
			if !in.Harp {
				return true
			}
		}
	}
	return false
}

// firstPlayed is the index of the first measure in playing order in which the
// harp plays; that of the first one if it never does.
func (b *bridge) firstPlayed() int {
	for i, m := range b.passage.Moments {
		if len(m.Strikes) > 0 {
			return b.moments[i].measure
		}
	}
	return b.score.Order[0]
}

// beatAt counts a moment's beat from 1 in beats of the time signature.
func (b *bridge) beatAt(o origin) string {
	return o.offset.Div(countedBeat(b.score.Measures[o.measure].Beat)).Add(musicxml.NewFrac(1, 1)).String()
}

// located gives a fault of the planner its place in the score.
func (b *bridge) located(err error) error {
	var fault *pedal.Error
	if !errors.As(err, &fault) || fault.Moment < 0 || fault.Moment >= len(b.moments) {
		return &musicxml.Error{Part: b.player.ID(), Err: err}
	}
	o := b.moments[fault.Moment]
	return &musicxml.Error{Part: b.player.ID(), Measure: b.score.Measures[o.measure].Number, Beat: b.beatAt(o), Err: fault.Err}
}
