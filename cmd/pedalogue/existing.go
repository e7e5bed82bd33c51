package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/report"
)

// An existingMode says what becomes of pedal marks that others have put into a
// score.
type existingMode string

const (
	existingKeep    existingMode = "keep"
	existingObey    existingMode = "obey"
	existingReplace existingMode = "replace"
)

// noteFlags are the options of marks by others, of respelt notes and of the
// language. They return a function that checks them and takes them over when
// they have been read.
func noteFlags(f *pflag.FlagSet, s *settings) (take func() error) {
	existing := f.String("existing", string(existingKeep), "pedal marks by others: `WHAT` is keep, obey (the plan makes the pedals stand so) or replace")
	notes := f.String("respell-notes", string(respellText), "notes played on another string: `WHAT` is text (its name above the note), rewrite (the note itself) or none")
	language := f.String("language", pedal.English.String(), "the letters of marks: `CODE` is en, fr or de")
	return func() error {
		switch s.existing = existingMode(*existing); s.existing {
		case existingKeep, existingObey, existingReplace:
		default:
			return fmt.Errorf("--existing: %q is none of keep, obey and replace", *existing)
		}
		switch s.respellNotes = respellNotes(*notes); s.respellNotes {
		case respellText, respellRewrite, respellNone:
		default:
			return fmt.Errorf("--respell-notes: %q is none of text, rewrite and none", *notes)
		}
		var err error
		if s.style.language, err = pedal.ParseLanguage(*language); err != nil {
			return fmt.Errorf("--language: %w", err)
		}
		return nil
	}
}

// An existingMark is a pedal mark that stands in a score: a setting or changes,
// as texts or as a harp-pedals element.
type existingMark struct {
	part    *musicxml.Part
	measure int
	onset   musicxml.Frac // of the score
	staff   int
	text    string // as printed; "" for a harp-pedals element
	marks   pedal.Marks
	parts   []musicxml.DirectionPart // what holds it
}

// existingMarks lists the pedal marks of a part, in written order.
func existingMarks(p *musicxml.Part) []existingMark {
	list := settingMarks(p)
	texts := textsOf(p)
	for i := 0; i < len(texts); i++ {
		t := texts[i]
		switch mark, ok := t.whole(); {
		case ok:
			list = append(list, mark)
			continue
		case i+1 < len(texts) && texts[i+1].measure == t.measure && texts[i+1].onset == t.onset:
			// The two lines of a setting may be two directions.
			if mark, ok := t.with(texts[i+1]); ok {
				list = append(list, mark)
				i++
				continue
			}
		}
		list = append(list, t.pieces()...)
	}
	slices.SortStableFunc(list, func(a, b existingMark) int {
		return cmp.Or(a.onset.Cmp(b.onset), cmp.Compare(a.parts[0].Start, b.parts[0].Start))
	})
	return list
}

// settingMarks lists the harp-pedals elements of a part. Pedals that are named
// twice or are not in a notch are left out.
func settingMarks(p *musicxml.Part) []existingMark {
	var list []existingMark
	nth, start := 0, -1
	for _, h := range p.Settings {
		if nth++; h.Start != start {
			nth, start = 0, h.Start
		}
		mark := existingMark{part: p, measure: h.Measure, onset: h.Onset, staff: h.Staff,
			parts: []musicxml.DirectionPart{{Start: h.Start, Pedals: true, Nth: nth}}}
		for _, t := range h.Tunings {
			if l, position, ok := positionOf(musicxml.Pitch{Step: t.Step, Alter: t.Alter}); ok {
				mark.marks.Pedals = append(mark.marks.Pedals, pedal.Tuning{Letter: l, Position: position})
			}
		}
		mark.marks.Full = len(mark.marks.Pedals) == pedal.Letters
		if len(mark.marks.Pedals) > 0 {
			list = append(list, mark)
		}
	}
	return list
}

// A printedText is the texts of one direction.
type printedText struct {
	existingMark
	words []string
}

// textsOf gathers the texts of each direction of a part.
func textsOf(p *musicxml.Part) []printedText {
	var list []printedText
	for _, d := range p.Directions {
		if n := len(list); n > 0 && list[n-1].parts[0].Start == d.Start {
			last := &list[n-1]
			last.words = append(last.words, d.Words)
			last.parts = append(last.parts, musicxml.DirectionPart{Start: d.Start, Nth: len(last.parts)})
			continue
		}
		list = append(list, printedText{
			existingMark: existingMark{part: p, measure: d.Measure, onset: d.Onset, staff: d.Staff, parts: []musicxml.DirectionPart{{Start: d.Start}}},
			words:        []string{d.Words},
		})
	}
	return list
}

// whole reads all texts of a direction as one mark: a sign is often a text of
// its own, in another font.
func (t *printedText) whole() (existingMark, bool) {
	for _, between := range []string{"", " "} {
		if mark, ok := t.read(strings.Join(t.words, between)); ok {
			return mark, true
		}
	}
	return existingMark{}, false
}

// with reads two directions as the two lines of one mark.
func (t *printedText) with(next printedText) (existingMark, bool) {
	mark, ok := t.read(strings.Join(t.words, "") + "\n" + strings.Join(next.words, ""))
	mark.parts = slices.Concat(t.parts, next.parts)
	return mark, ok && mark.marks.Full
}

// pieces reads each text of a direction for itself.
func (t *printedText) pieces() []existingMark {
	var list []existingMark
	for i, word := range t.words {
		if mark, ok := t.read(word); ok {
			mark.parts = t.parts[i : i+1]
			list = append(list, mark)
		}
	}
	return list
}

func (t *printedText) read(text string) (existingMark, bool) {
	marks, ok := pedal.ParseMarks(text)
	mark := t.existingMark
	mark.text, mark.marks = strings.TrimSpace(text), marks
	return mark, ok
}

// existingOf lists the marks in a player's parts, in written order.
func existingOf(player musicxml.Player) []existingMark {
	var list []existingMark
	for _, p := range player.Parts {
		list = append(list, existingMarks(p)...)
	}
	slices.SortStableFunc(list, func(a, c existingMark) int { return a.onset.Cmp(c.onset) })
	return list
}

// removals are the parts of directions that hold existing marks.
func removals(marks []existingMark) []musicxml.DirectionPart {
	var list []musicxml.DirectionPart
	for _, m := range marks {
		list = append(list, m.parts...)
	}
	return list
}

// A contradiction is a note that an existing mark does not fit.
type contradiction struct {
	tuning pedal.Tuning
	note   *musicxml.Note
}

// contradictions compares the marks of a part, which are all in written order,
// with the notes that follow each of them until the next: for each pedal that
// the mark names, the first note of its letter that wants another position. A
// note that another pedal of the mark sounds is none.
func contradictions(p *musicxml.Part, marks []existingMark) [][]contradiction {
	all := make([][]contradiction, len(marks))
	for i := range p.Notes {
		n := &p.Notes[i]
		if !p.HarpNote(n) || n.Tied {
			continue
		}
		// The last mark at or before the note.
		at, found := slices.BinarySearchFunc(marks, n.Onset, func(m existingMark, onset musicxml.Frac) int { return m.onset.Cmp(onset) })
		for found && at < len(marks) && marks[at].onset == n.Onset {
			at++
		}
		if at == 0 {
			continue
		}
		at--
		if t, ok := marks[at].contradicts(n.Pitch); ok &&
			!slices.ContainsFunc(all[at], func(c contradiction) bool { return c.tuning == t }) {
			all[at] = append(all[at], contradiction{t, n})
		}
	}
	for _, list := range all {
		slices.SortStableFunc(list, func(a, b contradiction) int { return a.note.Onset.Cmp(b.note.Onset) })
	}
	return all
}

// contradicts reports whether a mark names the pedal of a pitch in another
// position, and none that sounds it.
func (m *existingMark) contradicts(pitch musicxml.Pitch) (pedal.Tuning, bool) {
	l, position, ok := positionOf(pitch)
	if !ok {
		return pedal.Tuning{}, false
	}
	height := l.Semitones() + int(position)
	var wrong pedal.Tuning
	against := false
	for _, t := range m.marks.Pedals {
		switch {
		case (t.Letter.Semitones()+int(t.Position)-height)%12 == 0:
			return pedal.Tuning{}, false
		case t.Letter == l:
			wrong, against = t, true
		}
	}
	return wrong, against
}

// tuningName writes a pedal in a position, "F♯", a natural with its sign.
func tuningName(t pedal.Tuning) string { return pedal.English.Word(t.Letter, t.Position, false) }

// momentsOf lists the moments, one for each pass, at which a mark must hold: at
// its place, or at the next one where something is played or a foot may move.
func (b *bridge) momentsOf(m existingMark) []int {
	offset := m.onset.Sub(b.score.Measures[m.measure].Start)
	for at, w := range b.written[m.measure].moments {
		if !w.offset.Less(offset) {
			return b.playings(place{m.measure, at})
		}
	}
	var moments []int
	for step, k := range b.score.Order {
		if k == m.measure && step+1 < len(b.stepStarts) {
			moments = append(moments, b.stepStarts[step+1])
		}
	}
	return moments
}

// addExisting does with marks by others what the user wants, and tells which of
// them are not what is played.
func (done *planned) addExisting(b *bridge, plan *pedal.Plan, set settings) {
	switch set.existing {
	case existingReplace:
		done.removals = removals(b.others)
	case existingObey:
		stands := func(at int, l pedal.Letter) (pedal.Position, bool) { return plan.Settings[at][l], true }
		done.part.Findings = append(done.part.Findings, set.findings.judged(b.unheeded(b.others, kindMarkNotKept, stands))...)
	default:
		uses, named := b.uses(plan), b.named(b.others)
		next := func(at int, l pedal.Letter) (pedal.Position, bool) { return uses.after(at, l, named) }
		done.part.Findings = append(done.part.Findings, set.findings.judged(b.unheeded(b.others, kindMarkDiffers, next))...)
	}
}

// named lists by moment what marks say.
func (b *bridge) named(marks []existingMark) map[int][]pedal.Tuning {
	all := map[int][]pedal.Tuning{}
	for _, m := range marks {
		for _, at := range b.momentsOf(m) {
			all[at] = append(all[at], m.marks.Pedals...)
		}
	}
	return all
}

// unheeded tells where a plan leaves existing marks unheeded; position is what
// the plan has of a letter from a moment on. Of the passes through a mark, the
// first in which it does is told.
func (b *bridge) unheeded(marks []existingMark, kind finding.Kind, position func(at int, l pedal.Letter) (pedal.Position, bool)) []report.Finding {
	var list []report.Finding
	for _, m := range marks {
		for _, at := range b.momentsOf(m) {
			var wrong []string
			for _, t := range m.marks.Pedals {
				if got, ok := position(at, t.Letter); ok && got != t.Position {
					wrong = append(wrong, fmt.Sprintf("%s (the plan has %s)", tuningName(t), tuningName(pedal.Tuning{Letter: t.Letter, Position: got})))
				}
			}
			if len(wrong) == 0 {
				continue
			}
			list = append(list, report.Finding{
				Kind: string(kind), Severity: report.SeverityWarning,
				Place: b.reported(at), Pass: b.moments[at].pass, Staff: b.staffOf(m), Notes: []string{},
				Text:   "a mark that was in the score is not what is played: " + strings.Join(wrong, ", "),
				Remedy: "strike it out, or take all such marks out with --existing replace",
			})
			break
		}
	}
	return list
}

// staffOf is the staff of a mark, counted over all parts of the player.
func (b *bridge) staffOf(m existingMark) int {
	staff := m.staff
	for _, p := range b.player.Parts {
		if p == m.part {
			break
		}
		staff += p.Staves
	}
	return staff
}

// A use is a note on the strings of a letter.
type use struct {
	moment   int
	position pedal.Position
}

// A stringUse is the notes on the strings of each letter, in playing order.
type stringUse [pedal.Letters][]use

// uses lists what a plan plays.
func (b *bridge) uses(plan *pedal.Plan) stringUse {
	silent := map[pedal.Dropped]bool{}
	for _, d := range plan.Unsounded {
		silent[d] = true
	}
	var all stringUse
	for i, m := range b.passage.Moments {
		for j, s := range m.Strikes {
			if str := plan.Strings[s.Note]; str.OK && !silent[pedal.Dropped{Moment: i, Strike: j}] {
				all[str.Letter] = append(all[str.Letter], use{i, str.Position})
			}
		}
	}
	return all
}

// after is the position of a letter's first use from a moment on; ok is false if
// there is none before another mark names the letter: a change is printed ahead
// of the note that needs it.
func (u stringUse) after(moment int, l pedal.Letter, named map[int][]pedal.Tuning) (position pedal.Position, ok bool) {
	i, _ := slices.BinarySearchFunc(u[l], moment, func(x use, m int) int { return cmp.Compare(x.moment, m) })
	if i == len(u[l]) {
		return 0, false
	}
	for at := moment + 1; at <= u[l][i].moment; at++ {
		if slices.ContainsFunc(named[at], func(t pedal.Tuning) bool { return t.Letter == l }) {
			return 0, false
		}
	}
	return u[l][i].position, true
}
