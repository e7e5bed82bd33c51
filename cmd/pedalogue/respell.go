package main

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/report"
)

// A respellNotes says how a player is told of notes that are played on another
// string than the written one.
type respellNotes string

const (
	respellText    respellNotes = "text"
	respellRewrite respellNotes = "rewrite"
	respellNone    respellNotes = "none"
)

// addNotes tells the player of the notes that are played on another string.
func (done *planned) addNotes(b *bridge, plan *pedal.Plan, set settings) {
	rewritten := map[int]musicxml.Respelling{}
	switch set.respellNotes {
	case respellNone:
		return
	case respellRewrite:
		rewritten = b.rewritten(plan)
	}
	for _, i := range slices.Sorted(maps.Keys(rewritten)) {
		done.respelt = append(done.respelt, rewritten[i])
	}
	tell := func(note int) bool { _, done := rewritten[note]; return !done }
	done.marks = append(done.marks, respeltTexts(b, plan, set.style.language, tell)...)
}

// edits are the changes to the score for one player. What they change besides
// is added to the report.
func (done *planned) edits(score *musicxml.Score, doc *musicxml.Document, findings findingChoice) ([]musicxml.Edit, error) {
	edits, err := score.Edits(doc, done.marks)
	if err != nil {
		return nil, err
	}
	edits = append(edits, score.Remove(doc, done.removals)...)
	notes, signs := score.Respell(doc, done.respelt)
	done.part.Findings = append(done.part.Findings, findings.judged(signFindings(score, done.player, signs))...)
	return append(edits, notes...), nil
}

// isRespelt reports whether a written note of the passage is played on another
// letter's string.
func (b *bridge) isRespelt(plan *pedal.Plan, note int) bool {
	n, s := b.passage.Notes[note], plan.Strings[note]
	return !n.Implied && s.OK && s.Letter != n.Pitch.Letter
}

// A noteLine is a line or space of a staff with a sign: a pitch as a player
// reads it.
type noteLine struct {
	part  *musicxml.Part
	staff int
	pitch musicxml.Pitch
}

// A lastPlayed is how a pitch was played last.
type lastPlayed struct {
	letter  pedal.Letter
	measure int
}

// respeltTexts are the texts in parentheses above the notes that are played on
// another string, where tell says so of a note of the passage. In parentheses,
// nobody takes them for a change of pedals. A text stands once for a run: it
// stands again when the pitch has been played otherwise in between, or has not
// come for a measure.
//
// Common practice; a player reads one spelling and plays another only with
// effort [HLP-BERG].
func respeltTexts(b *bridge, plan *pedal.Plan, language pedal.Language, tell func(note int) bool) []musicxml.Mark {
	var list []musicxml.Mark
	last := map[noteLine]lastPlayed{}
	shown := map[chordAt][]int{}
	var order []chordAt
	for _, i := range b.inWrittenOrder() {
		at, n := b.notes[i], b.notes[i].note()
		s := plan.Strings[i]
		if !s.OK {
			continue
		}
		line := noteLine{at.part, n.Staff, n.Pitch}
		before, known := last[line]
		last[line] = lastPlayed{s.Letter, n.Measure}
		if !b.isRespelt(plan, i) || !tell(i) || known && before.letter == s.Letter && n.Measure-before.measure <= 1 {
			continue
		}
		c := chordAt{part: at.part, measure: n.Measure, onset: n.Onset, staff: n.Staff, grace: -1}
		if n.Kind == musicxml.Grace {
			c.grace = n.Head
		}
		if shown[c] == nil {
			order = append(order, c)
		}
		shown[c] = append(shown[c], i)
	}
	for _, c := range order {
		list = append(list, musicxml.Mark{
			Part: c.part, Measure: c.measure, Offset: c.onset.Sub(b.score.Measures[c.measure].Start), Before: c.grace,
			Staff: c.staff, Placement: "above", Words: b.playedWords(plan, language, shown[c]), Small: true,
		})
	}
	return list
}

// A chordAt is the notes of one staff that begin together.
type chordAt struct {
	part           *musicxml.Part
	measure, staff int
	onset          musicxml.Frac
	grace          int // the grace note that begins them; -1 if they are none
}

// playedWords names the strings of notes in parentheses, from the lowest up,
// each once.
func (b *bridge) playedWords(plan *pedal.Plan, language pedal.Language, notes []int) string {
	slices.SortStableFunc(notes, func(i, j int) int {
		return cmp.Compare(semitone(b.passage.Notes[i].Pitch), semitone(b.passage.Notes[j].Pitch))
	})
	var words []string
	for _, i := range notes {
		s := plan.Strings[i]
		if word := language.Word(s.Letter, s.Position, false); !slices.Contains(words, word) {
			words = append(words, word)
		}
	}
	return "(" + strings.Join(words, between) + ")"
}

// inWrittenOrder lists the written notes of the passage by their place in the
// score.
func (b *bridge) inWrittenOrder() []int {
	var list []int
	for i, n := range b.passage.Notes {
		if !n.Implied {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(i, j int) int { return b.notes[i].note().Onset.Cmp(b.notes[j].note().Onset) })
	return list
}

// A measureStaff is one staff of one measure: as far as an accidental holds.
type measureStaff struct {
	part           *musicxml.Part
	measure, staff int
}

// rewritten lists the respelt notes that can be rewritten in the score, by their
// index in the passage. Where an ornament stands on the same staff in the same
// measure, a note is left as it is: the ornament's neighbour has the accidental
// that is in force there, and would be read as another pitch.
func (b *bridge) rewritten(plan *pedal.Plan) map[int]musicxml.Respelling {
	ornaments := map[measureStaff]bool{}
	for _, p := range b.player.Parts {
		for i := range p.Notes {
			if n := &p.Notes[i]; n.Signs != nil && len(n.Signs.Ornaments) > 0 {
				ornaments[measureStaff{p, n.Measure, n.Staff}] = true
			}
		}
	}
	list := map[int]musicxml.Respelling{}
	for i := range b.passage.Notes {
		if !b.isRespelt(plan, i) {
			continue
		}
		at, free := b.notes[i], true
		for j := at.index; j >= 0; j = at.part.Notes[j].TiedTo {
			n := &at.part.Notes[j]
			free = free && !ornaments[measureStaff{at.part, n.Measure, n.Staff}]
		}
		if !free {
			continue
		}
		s := plan.Strings[i]
		list[i] = musicxml.Respelling{Part: at.part, Note: at.index, Pitch: musicxml.Pitch{
			Step: s.Letter.String()[0], Alter: musicxml.NewFrac(int64(s.Position), 1), Octave: s.Octave,
		}}
	}
	return list
}

// signFindings tells which other notes of a player have got or lost an
// accidental.
func signFindings(score *musicxml.Score, player musicxml.Player, signs []musicxml.SignChange) []report.Finding {
	var list []report.Finding
	staff := 0
	for _, p := range player.Parts {
		for _, c := range signs {
			if c.Part != p {
				continue
			}
			n := &p.Notes[c.Note]
			m := score.Measures[n.Measure]
			f := report.Finding{Kind: string(kindAccidentalChanged), Severity: report.SeverityNote, Pass: 1, Staff: staff + n.Staff,
				Place: report.Place{Measure: m.Number, Index: n.Measure, Offset: n.Onset.Sub(m.Start).String()},
				Notes: []string{pitchOf(n.Pitch).String()},
			}
			f.Text = "its accidental was taken away: a note before it, which made it necessary, was rewritten"
			if c.Added {
				f.Text = fmt.Sprintf("it was given a %s sign: a note before it was rewritten", strings.ReplaceAll(c.Sign, "-", " "))
			}
			list = append(list, f)
		}
		staff += p.Staves
	}
	return list
}
