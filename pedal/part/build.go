package part

import (
	"cmp"
	"slices"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
)

// A builder makes a Part: first what is written, measure by measure, then that
// laid out in playing order.
type builder struct {
	score     *musicxml.Score
	player    musicxml.Player
	music     finding.Music
	passage   *pedal.Passage // that of the music
	standing  []Standing
	notes     []noteOf            // for each note of the passage
	byNote    map[noteOf]struck   // what each attacked note is struck as
	extra     map[noteOf][]struck // what is struck with a note without being written
	glissandi []noteOf            // where each begins
	chords    []chordNear         // what each of music.Glissandi is to sound
	written   []measure
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
// the document.
func (b *builder) addNotes() {
	count := 0
	for _, p := range b.player.Parts {
		count += len(p.Notes)
	}
	b.byNote = make(map[noteOf]struck, count)
	b.notes = make([]noteOf, 0, count)
	b.passage.Notes = make([]pedal.Note, 0, count)
	b.music.Signs = make([]finding.Signs, 0, count)
	staff := 0
	for _, p := range b.player.Parts {
		for i := range p.Notes {
			n := &p.Notes[i]
			if !p.HarpNote(n) || n.Tied {
				continue
			}
			at := noteOf{p, i}
			pitch, on := held(n)
			s := b.add(at, pitch, staff+n.Staff, soundingLength(p, i))
			b.passage.Notes[s.note].On = on
			b.music.Signs[s.note] = signsOf(n)
			if head := p.Notes[n.Head].Signs; head != nil && head.Tremolo == "single" {
				b.music.Signs[s.note].Plucks = plucks(n.Length, head.TremoloMarks)
			}
			b.byNote[at] = s
		}
		staff += p.Staves
	}
}

// add adds a note to the passage.
func (b *builder) add(at noteOf, pitch pedal.Pitch, staff int, length musicxml.Frac) struck {
	b.passage.Notes = append(b.passage.Notes, pedal.Note{Pitch: pitch, Staff: staff})
	b.music.Signs = append(b.music.Signs, finding.Signs{})
	b.notes = append(b.notes, at)
	return struck{note: len(b.notes) - 1, length: length}
}

// signsOf are what a note's signs say of how it is played.
func signsOf(n *musicxml.Note) (to finding.Signs) {
	to.Voice = n.Voice
	if n.Signs == nil {
		return to
	}
	switch {
	case n.Signs.Arpeggiate:
		to.Roll = finding.Rolled
	case n.Signs.NonArpeggiate:
		to.Roll = finding.Together
	}
	to.Harmonic = n.Signs.Harmonic
	to.Trill = slices.ContainsFunc(n.Signs.Ornaments, func(o musicxml.Ornament) bool {
		return o.Name == "trill-mark" || o.Name == "shake"
	})
	return to
}

// markTremolos marks the two halves of the tremolos between two notes or chords.
func (b *builder) markTremolos() {
	mark := func(p *musicxml.Part, head int, half finding.TremoloHalf) {
		for _, i := range chord(p, head) {
			if s, ok := b.byNote[noteOf{p, i}]; ok {
				b.music.Signs[s.note].Tremolo = half
			}
		}
	}
	for _, p := range b.player.Parts {
		for _, t := range p.Tremolos {
			mark(p, t.From, finding.FirstHalf)
			mark(p, t.To, finding.SecondHalf)
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

// PitchOf is a written pitch as the planner takes it. An alteration that is no
// whole number of cents stays no whole number of semitones.
func PitchOf(p musicxml.Pitch) pedal.Pitch {
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
func (b *builder) writtenMeasure(k int) measure {
	var list []written
	start := b.score.Measures[k].Start
	index := map[momentKey]int{}
	for _, p := range b.player.Parts {
		first, notes := p.NotesOf(k)
		for i := range notes {
			at := noteOf{p, first + i}
			s, ok := b.byNote[at]
			more := b.extra[at]
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
	if _, known := index[momentKey{}]; !known { // the barline, at which a mark can stand
		index[momentKey{}] = len(list)
		list = append(list, written{})
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

// beatsOf lists the beats of a measure. A measure out of all proportion has but its
// first.
func beatsOf(m musicxml.Measure) []musicxml.Frac {
	const most = 128
	var beats []musicxml.Frac
	for t := m.FirstBeat; t.Less(m.Length); t = t.Add(m.Beat) {
		if len(beats) == most {
			return beats[:1]
		}
		beats = append(beats, t)
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
func (b *builder) fractions() func(yield func(musicxml.Frac)) {
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
