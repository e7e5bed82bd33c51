package extract

import (
	"cmp"
	"slices"

	"github.com/beevik/etree"

	"pedalogue/musicxml"
	"pedalogue/musicxml/internal/xmltext"
)

// A carried sign is what is put into a part of a sign of another one.
type carried struct {
	measure  int
	at       musicxml.Frac
	elements []*etree.Element // printed, each a direction-type of its own; none for a sound alone
	sound    []xmltext.Attribute
	before   *sign // the part's own sign before which it has to stand; nil for its time
	words    *sign // whose words of tempo they are; nil for none
}

// A giver is the part that has a sign: the player's own, or the first one that has it.
type giver map[any]*musicxml.Part

// gives notes that a part has a sign, and reports whether it is the one that gives it.
func (g giver) gives(key any, p *musicxml.Part) bool {
	first, known := g[key]
	if !known {
		g[key] = p
	}
	return !known || first == p
}

// What two signs share that are one, beside their measure: their text wherever they
// stand, words of tempo and metronome marks their time, all others what they are.
type (
	sameText struct {
		measure int
		kind    kind
		text    string
	}
	samePlace struct {
		measure int
		at      musicxml.Frac
		kind    kind
	}
	sameKind struct {
		measure int
		kind    kind
	}
	sameSound struct {
		measure     int
		name, label string
	}
	tempoPlace struct {
		measure int
		at      musicxml.Frac
	}
)

// keys are what an atom shares with those that are the same sign.
func (s *sign) keys(a *atom) []any {
	switch a.kind {
	case tempoText:
		return []any{sameText{s.measure, a.kind, a.text}, samePlace{s.measure, s.at, a.kind}}
	case metronome:
		return []any{samePlace{s.measure, s.at, a.kind}}
	}
	return []any{sameKind{s.measure, a.kind}}
}

// A chooser chooses what a part lacks.
type chooser struct {
	player []*musicxml.Part
	givers giver
	first  map[tempoPlace]*sign // the tempo that holds in the score
	own    map[tempoPlace]*sign // in the part by itself
	list   []carried
}

// lackingSigns are the signs of other parts that the player's lack, in order of time.
func (l *layout) lackingSigns(player []*musicxml.Part) ([]carried, giver) {
	c := chooser{player: player, givers: giver{}, first: map[tempoPlace]*sign{}, own: map[tempoPlace]*sign{}}
	for i := range l.signs {
		c.tempo(&l.signs[i])
	}
	for i := range l.signs {
		if s := &l.signs[i]; c.owns(s) {
			c.choose(s)
		}
	}
	for i := range l.barlines {
		if b := &l.barlines[i]; slices.Contains(player, b.part) {
			for _, t := range b.things {
				c.givers.gives(sameKind{b.measure, kind(t.name)}, b.part)
			}
		}
	}
	for i := range l.signs {
		if s := &l.signs[i]; !c.owns(s) {
			c.choose(s)
		}
	}
	c.list = append(c.list, l.lackingLines(player, c.list)...)
	slices.SortStableFunc(c.list, func(a, b carried) int { return cmp.Or(cmp.Compare(a.measure, b.measure), a.at.Cmp(b.at)) })
	return c.list, c.givers
}

func (c *chooser) owns(s *sign) bool { return slices.Contains(c.player, s.part) }

// tempo notes which sign says the tempo at its place: the first in the document, as
// [musicxml.Read] has it.
func (c *chooser) tempo(s *sign) {
	f, ok := musicxml.ParseDecimal(xmltext.Attr(s.sound, "tempo"))
	if !ok || f.Sign() <= 0 {
		return
	}
	place := tempoPlace{s.measure, s.soundAt}
	if c.first[place] == nil {
		c.first[place] = s
	}
	if c.owns(s) && c.own[place] == nil {
		c.own[place] = s
	}
}

// choose takes what the part lacks of a sign; of the part's own it only notes that it
// has it.
func (c *chooser) choose(s *sign) {
	var elements []*etree.Element
	var words *sign
	for i := range s.atoms {
		a := &s.atoms[i]
		lacks := true
		for _, key := range s.keys(a) {
			lacks = c.givers.gives(key, s.part) && lacks
		}
		if !lacks {
			continue
		}
		elements = append(elements, a.element)
		if a.kind == tempoText {
			words = s
		}
	}
	sound := c.jumps(s)
	if c.owns(s) {
		return
	}
	tempo, before := c.tempoOf(s)
	if tempo != nil && before == nil && s.soundAt.Cmp(s.at) == 0 {
		sound, tempo = append([]xmltext.Attribute{*tempo}, sound...), nil
	}
	if len(elements)+len(sound) > 0 {
		c.list = append(c.list, carried{measure: s.measure, at: s.at, elements: elements, sound: sound, words: words})
	}
	if tempo != nil {
		c.list = append(c.list, carried{measure: s.measure, at: s.soundAt, sound: []xmltext.Attribute{*tempo}, before: before})
	}
}

// jumps are the attributes of a sign's sound that tell of the playing order and are
// lacking.
func (c *chooser) jumps(s *sign) []xmltext.Attribute {
	var list []xmltext.Attribute
	for _, a := range s.sound {
		key := sameSound{s.measure, a.Name, ""}
		switch a.Name {
		case "tempo", "time-only":
			continue
		case "segno", "coda":
			key.label = a.Value
		}
		if c.givers.gives(key, s.part) {
			list = append(list, a)
		}
	}
	if passes := xmltext.Attr(s.sound, "time-only"); len(list) > 0 && passes != "" {
		list = append(list, xmltext.Attribute{Name: "time-only", Value: passes})
	}
	return list
}

// tempoOf is the tempo that a sign gives to the score and the part lacks; where the
// part says another one at the same place, the sign of it, before which this one
// has to stand.
func (c *chooser) tempoOf(s *sign) (tempo *xmltext.Attribute, before *sign) {
	place := tempoPlace{s.measure, s.soundAt}
	if c.first[place] != s {
		return nil, nil
	}
	value := xmltext.Attr(s.sound, "tempo")
	own := c.own[place]
	if own != nil && xmltext.Attr(own.sound, "tempo") == value {
		return nil, nil
	}
	return &xmltext.Attribute{Name: "tempo", Value: value}, own
}
