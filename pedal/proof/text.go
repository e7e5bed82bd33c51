package proof

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/beat"
	"pedalogue/pedal/internal/words"
	"pedalogue/pedal/part"
	"pedalogue/pedal/spelling"
)

// caution says who decides on strain.
const caution = " A teacher or player decides."

// sign writes a pedal in a position, "F♯", "F♮".
func sign(l pedal.Letter, p pedal.Position) string {
	return spelling.Tuning{Letter: l, Position: p}.String()
}

// where names a place: "measure 12, beat 3".
func (j *judge) where(at part.Place) string {
	m := j.Part.Score.Measures[at.Measure]
	text := "measure " + m.Number
	if count := j.Part.Offset(at).Div(part.CountedBeat(m.Beat)).Add(musicxml.NewFrac(1, 1)); count != musicxml.NewFrac(1, 1) {
		text += ", beat " + beat.Text(big.NewRat(count.Num(), count.Den()))
	}
	return text
}

// at names the place of a mark.
func (j *judge) at(mark int) string { return j.where(j.Marks[mark].Place) }

// kindOf names a mark: "the setting", "the change".
func (j *judge) kindOf(mark int) string {
	if j.Marks[mark].Full {
		return "the setting"
	}
	return "the mark"
}

// names writes notes, each name once, the first three of them.
func (j *judge) names(notes []int) string {
	const most = 3
	var list []string
	seen := map[string]bool{}
	for _, n := range notes {
		name := j.name(n)
		if !seen[name] {
			seen[name] = true
			list = append(list, name)
		}
	}
	if len(list) > most {
		return strings.Join(list[:most], ", ") + " and more"
	}
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " and " + list[n-1]
	}
	return strings.Join(list, "")
}

// name writes a note: one that is not printed without its octave, as the sign asks for it.
func (j *judge) name(note int) string {
	n := &j.p.Notes[note]
	if !n.Implied {
		return n.Pitch.String()
	}
	if j.gliss[note] {
		return n.Pitch.Name() + " of the glissando"
	}
	return n.Pitch.Name() + " of the ornament"
}

// wrongText tells of notes that no string gives.
func (j *judge) wrongText(f *Fault, t tone) (text, remedy string) {
	l := f.Pedal
	needed, stands := sign(l, f.Needed), sign(l, f.Stands)
	notes, need := j.names(f.Notes), "needs"
	if strings.Contains(notes, " and ") {
		need = "need"
	}
	here := j.where(j.Part.Places.Of(t.moment))
	switch f.Kind {
	case NeverSet:
		text = fmt.Sprintf("No mark has set the %v pedal before %s; by the key signature it stands at %s.", l, notes, stands)
		remedy = fmt.Sprintf("Add %s to the setting at the start, or mark it before %s.", needed, here)
	case LateMark:
		text = fmt.Sprintf("%s %s %s, which is marked only in %s.", notes, need, needed, j.at(f.Mark))
		remedy = fmt.Sprintf("Move %s to %s or before it.", needed, here)
	case EarlyMark:
		text = fmt.Sprintf("%s still %s %s; %s in %s sets %s already.", notes, need, needed, j.kindOf(f.Mark), j.at(f.Mark), stands)
		remedy = fmt.Sprintf("Move %s behind %s.", stands, here)
	case RepeatStart:
		text = fmt.Sprintf("%s %s %s; played again, the %v pedal comes with %s from the end of what was played before.", notes, need, needed, l, stands)
		remedy = fmt.Sprintf("Mark %s before the repeat or jump, or in %s.", needed, here)
	default:
		text = fmt.Sprintf("%s %s %s, and the %v pedal stands at %s since %s in %s.", notes, need, needed, l, stands, j.kindOf(f.Mark), j.at(f.Mark))
		remedy = fmt.Sprintf("Mark %s before %s.", needed, here)
	}
	if f.Planned {
		text, remedy = text+" The plan that made the marks leaves it so.", ""
	}
	return text, remedy
}

func (j *judge) otherText(t tone) (text, remedy string) {
	on := sign(t.on.Letter, t.on.Position)
	return fmt.Sprintf("%s sounds on the %v string only, as %s, and nothing says so.", j.name(t.note), t.on.Letter, on),
		fmt.Sprintf("Write \"= %s\" above it, or set the %v pedal.", on, t.of)
}

func (j *judge) nameText(note int, t spelling.Tuning, on pedal.String) string {
	return fmt.Sprintf("A text names %v for %s; as the pedals stand, %s gives it.", t, j.name(note), sign(on.Letter, on.Position))
}

func (j *judge) heldText(f *Fault, need int) (text, remedy string) {
	text = fmt.Sprintf("%s in %s sets %s while %s is still held.", words.Upper(j.kindOf(f.Mark)), j.at(f.Mark), sign(f.Pedal, f.Stands), j.names(f.Notes)) + caution
	if f.Moment != need {
		remedy = fmt.Sprintf("Move it nearer to %s, which needs it.", j.where(j.Part.Places.Of(need)))
	}
	return text, remedy
}

func (j *judge) feetText(f *Fault, all []change, i int) (text, remedy string) {
	c := all[i]
	to := sign(c.Letter, c.need.position)
	where := j.where(j.Part.Places.Of(c.need.moment))
	if f.Kind == RushedFoot {
		text = fmt.Sprintf("At this tempo there is no time to move the %v pedal to %s for %s: a note on it sounds just before.", c.Letter, to, where)
	} else {
		text = fmt.Sprintf("The %v foot is wanted for %s and for other pedals at once before %s; it moves one pedal at a time.", c.Letter.Foot(), to, where)
		if f.Severity == Error {
			text = fmt.Sprintf("At this tempo the %v foot cannot move the %v pedal to %s for %s beside its other pedals.", c.Letter.Foot(), c.Letter, to, where)
		}
		remedy = "Mark one of them earlier, or play a note on its other string."
	}
	return text + caution, remedy
}

// idleText tells of a mark that changes nothing, moves pedals for no note, or is
// overruled by another beside it; undoes tells that a change before it is missing.
func (j *judge) idleText(m *part.Mark, moved, twice []pedal.Letter, undoes bool) (text, remedy string) {
	var list []string
	for l := range pedal.Letter(pedal.Letters) {
		if p, ok := m.Pedals[l]; ok {
			list = append(list, sign(l, p))
		}
	}
	are, stand, them := "is", "the pedal stands", "it"
	if len(list) > 1 {
		are, stand, them = "are", "the pedals stand", "them"
	}
	text = fmt.Sprintf("%s %s marked in %s, and ", words.Joined(list), are, j.where(m.Place))
	remedy = fmt.Sprintf("Strike %s out, unless it is to remind.", them)
	if len(twice) > 0 && len(moved) == 0 {
		l := twice[0]
		now := j.settings[j.playings(m)[0]][l]
		if now == m.Pedals[l] {
			return fmt.Sprintf("%s is marked twice in %s.", sign(l, now), j.where(m.Place)), "Strike one of them out."
		}
		return fmt.Sprintf("%s and %s are both marked in %s; the second one is followed.", sign(l, m.Pedals[l]), sign(l, now), j.where(m.Place)), "Strike one of them out."
	}
	switch {
	case undoes && len(moved) == 0:
		return text + stand + " there already: what is to be undone is not marked.", ""
	case len(moved) == 0:
		return text + stand + " there already.", remedy
	}
	var strings []string
	for _, l := range moved {
		strings = append(strings, l.String())
	}
	noun := "strings before that pedal is marked again."
	if len(moved) > 1 {
		noun = "strings before those pedals are marked again."
	}
	if !slices.ContainsFunc(moved, func(l pedal.Letter) bool { return j.setBefore(l, len(j.p.Moments)) > j.setBefore(l, j.playings(m)[0]) }) {
		noun = "strings after it."
	}
	return text + "no note is played on the " + words.Joined(strings) + " " + noun, fmt.Sprintf("Strike %s out, unless it is for what follows.", them)
}

func (j *judge) contradictionText(f *Fault, s set, agrees string) (text, remedy string) {
	text = fmt.Sprintf("The setting in %s says %s; the change before it, in %s, says %s: %s.",
		j.at(f.Mark), sign(f.Pedal, j.Marks[f.Mark].Pedals[f.Pedal]), j.at(s.mark), sign(f.Pedal, s.to), agrees)
	switch {
	case strings.HasSuffix(agrees, "the change"):
		remedy = fmt.Sprintf("Write %s in the setting.", sign(f.Pedal, s.to))
	case strings.HasSuffix(agrees, "the setting"):
		remedy = fmt.Sprintf("Strike out %s before it.", sign(f.Pedal, s.to))
	}
	return text, remedy
}

func (j *judge) glissandoText(moment int) (text, remedy string) {
	return fmt.Sprintf("No full setting stands before the glissando in %s.", j.where(j.Part.Places.Of(moment))),
		fmt.Sprintf("Write the setting above it; as marked, the pedals stand at %v.", j.settings[moment])
}
