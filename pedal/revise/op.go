package revise

import (
	"fmt"
	"slices"
	"strings"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/internal/words"
)

// An Op is one operation on a printed note.
type Op struct {
	Do   Act
	Note int // index into Passage.Notes; not of an implied or silent note

	Octaves int          // of Octave: up, or down where negative; not 0
	Staff   int          // of OtherHand: the staff whose hand takes the note, from 1
	Letter  pedal.Letter // of OtherString: that of the string
	Renamed bool         // of OtherString: the note is written with that string's name too
	Ticks   int64        // of Shorten: how long the note still lasts, on the clock of Moment.Onset; from 1, less than now
}

// An Act is what an operation does. The zero value leaves a note out.
type Act uint8

// The acts.
const (
	LeaveOut    Act = iota // with all that is tied to the note, its ornament, its glissando
	Octave                 // the note moves by octaves; its letter, and so its pedal, stays
	Roll                   // all notes written together with the note are rolled
	OtherHand              // the note is given to another staff
	OtherString            // the note is played on the string of another letter, and no other
	Shorten                // the note ends sooner
	Grace                  // the note becomes a grace note just before what was struck with it
)

var actNames = [...]string{"leave-out", "octave", "roll", "other-hand", "other-string", "shorten", "grace"}

// String returns the act's name: "leave-out", "octave", "roll", "other-hand",
// "other-string", "shorten" or "grace"; "" for what is no act.
func (a Act) String() string {
	if int(a) >= len(actNames) {
		return ""
	}
	return actNames[a]
}

// EverySecond leaves out every second one of notes, the first of them staying.
func EverySecond(notes []int) []Op {
	var list []Op
	for i := 1; i < len(notes); i += 2 {
		list = append(list, Op{Do: LeaveOut, Note: notes[i]})
	}
	return list
}

// Alternate plays every second one of notes on the string of another letter, or,
// where octaves is not 0, so many octaves away.
func Alternate(notes []int, on pedal.Letter, octaves int) []Op {
	list := EverySecond(notes)
	for i := range list {
		if octaves != 0 {
			list[i].Do, list[i].Octaves = Octave, octaves
		} else {
			list[i].Do, list[i].Letter = OtherString, on
		}
	}
	return list
}

// Sentence says what operations do, as a remedy: "Leave out C4 and E4, and play G5
// as G4." Notes that are put on two strings are said to take them in turn. Notes are called as they are written; those of one act stand together, from
// low to high. It is empty for no operations.
func Sentence(m *finding.Music, ops []Op) string {
	var parts []string
	done := make([]bool, len(ops))
	for i := range ops {
		if text := inTurn(m, ops, i, done); text != "" {
			parts = append(parts, text)
		}
	}
	for i, op := range ops {
		if done[i] {
			continue
		}
		var alike []Op
		for j := i; j < len(ops); j++ {
			if ops[j].Do == op.Do && op.sameWay(ops[j]) {
				alike, done[j] = append(alike, ops[j]), true
			}
		}
		parts = append(parts, phrase(m, alike))
	}
	if len(parts) == 0 {
		return ""
	}
	text := words.Joined(parts)
	if last := len(parts) - 1; last > 0 && slices.ContainsFunc(parts, func(p string) bool { return strings.Contains(p, " and ") }) {
		text = strings.Join(parts[:last], ", ") + ", and " + parts[last]
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// inTurn says that notes of one pitch are played on several strings, if an operation and others
// not told yet ask for that; else it is empty.
func inTurn(m *finding.Music, ops []Op, first int, done []bool) string {
	if ops[first].Do != OtherString || done[first] {
		return ""
	}
	pitch := m.Passage.Notes[ops[first].Note].Pitch
	var alike []int
	var letters []string
	for j := first; j < len(ops); j++ {
		if ops[j].Do == OtherString && m.Passage.Notes[ops[j].Note].Pitch == pitch {
			alike = append(alike, j)
			if l := ops[j].Letter.String(); !slices.Contains(letters, l) {
				letters = append(letters, l)
			}
		}
	}
	if len(letters) < 2 {
		return ""
	}
	for _, j := range alike {
		done[j] = true
	}
	return fmt.Sprintf("play %v on the %s strings in turn", pitch, words.Joined(letters))
}

// sameWay tells whether two operations of one act can be told in one phrase.
func (o Op) sameWay(p Op) bool {
	return (o.Do != OtherHand || o.Staff == p.Staff) && (o.Do != OtherString || o.Letter == p.Letter)
}

// phrase says what operations of one act do.
func phrase(m *finding.Music, ops []Op) string {
	p := m.Passage
	slices.SortStableFunc(ops, func(a, b Op) int { return p.Notes[a.Note].Pitch.Height() - p.Notes[b.Note].Pitch.Height() })
	var names, moved []string
	for _, op := range ops {
		pitch := p.Notes[op.Note].Pitch
		names = append(names, pitch.String())
		to := pitch
		to.Octave += op.Octaves
		moved = append(moved, fmt.Sprintf("%v as %v", pitch, to))
	}
	names = slices.Compact(names)
	list := words.Joined(names)
	switch ops[0].Do {
	case LeaveOut:
		return "leave out " + list
	case Octave:
		return "play " + words.Joined(slices.Compact(moved))
	case Roll:
		return "roll the chord"
	case OtherHand:
		if ops[0].Staff <= 1 {
			return "take " + list + " with the right hand"
		}
		return "take " + list + " with the left hand"
	case OtherString:
		return fmt.Sprintf("play %s on the %v %s", list, ops[0].Letter, map[bool]string{true: "string", false: "strings"}[len(names) == 1])
	case Shorten:
		return "end " + list + " sooner"
	default:
		return "play " + list + " as a grace note before the rest"
	}
}
