package pedal

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"
)

// Verify plays a plan against its passage, knowing only the rules and nothing of
// how the plan was found: every note on its string, every pedal where it must
// be, every foot in time. It counts the cost anew and compares. A fault is an
// *Error where it has a moment. It does not tell whether the plan is minimal.
func Verify(p *Passage, o Options, plan *Plan) error {
	if err := o.check(); err != nil {
		return err
	}
	if _, err := p.check(); err != nil {
		return err
	}
	if len(plan.Settings) != len(p.Moments) || len(plan.Strings) != len(p.Notes) {
		return errors.New("the plan is of another passage")
	}
	o.Instrument = o.Instrument.OrDefault()
	v := &verifier{p: p, o: o, plan: plan, tuned: tuning(o.Instrument, p), spelt: map[Pitch]spelt{}}
	for _, step := range []func() error{v.strings, v.standing, v.play, v.feet, v.marks, v.sum} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

type verifier struct {
	p       *Passage
	o       Options
	plan    *Plan
	tuned   map[StringName]Position
	sounded [Letters][]sounding // on strings that have discs, in playing order
	spelt   map[Pitch]spelt     // of each name, as its pitch in octave 0, when it sounded last
	again   bool                // the place of the first setting is played again
	cost    Cost
}

// A sounding is one note on a string of a letter.
type sounding struct {
	moment int
	pos    Position
	end    int64
	until  time.Duration
	// The place of the first setting is played again: no sound, but the pedal is
	// needed, and no change after it begins before it.
	restart bool
}

// A name is spelt by the letters of the strings that play it at one moment.
type spelt struct {
	letters map[Letter]bool
	measure int
}

// strings checks that every note has a string that can play it.
func (v *verifier) strings() error {
	wanted := v.wanted()
	for i, s := range v.plan.Strings {
		if !s.OK {
			continue
		}
		n := v.p.Notes[i]
		name := StringName{s.Letter, s.Octave}
		height := 100 * (s.Letter.Semitones() + 12*s.Octave + int(s.Position))
		own := s.Letter == n.Pitch.Letter
		switch {
		case s.Letter >= Letters || s.Position < Flat || s.Position > Sharp:
			return fmt.Errorf("note %d is on no string", i)
		case height != 100*(n.Pitch.Letter.Semitones()+12*n.Pitch.Octave)+n.Pitch.Cents:
			return fmt.Errorf("note %d does not sound on %v %v", i, name, s.Position.Sign())
		case !v.o.Instrument.Has(name):
			return fmt.Errorf("note %d is on %v, which the harp does not have", i, name)
		case !own && n.Fixed:
			return fmt.Errorf("note %d is respelt, but its string is given", i)
		case !wanted[i].Has(s.Letter):
			return fmt.Errorf("note %d is on the %v string, which is not wanted", i, s.Letter)
		case !own && v.o.Mode == Written && n.Pitch.settable() && (wanted[i] == AllLetters ||
			wanted[i].Has(n.Pitch.Letter) && v.o.Instrument.Has(StringName{n.Pitch.Letter, n.Pitch.Octave})):
			return fmt.Errorf("note %d is respelt, but all notes are to be played as written", i)
		}
		if at, ok := v.tuned[name]; !own && !v.o.Instrument.Disced(name) && (!ok || at != s.Position) {
			return fmt.Errorf("note %d is respelt on %v, which is not tuned for it", i, name)
		}
	}
	return nil
}

// wanted is on which letters the player wants each note: notes that are ever one
// tone want what all of them want.
func (v *verifier) wanted() []LetterSet {
	sets := make([]LetterSet, len(v.p.Notes))
	pinned := false
	for i, n := range v.p.Notes {
		sets[i] = n.On
		if n.On == 0 {
			sets[i] = AllLetters
		}
		pinned = pinned || n.On != 0
	}
	for changed := pinned; changed; {
		changed = false
		for _, m := range v.p.Moments {
			tones := map[Pitch]LetterSet{}
			for _, s := range m.Strikes {
				set, known := tones[v.p.Notes[s.Note].Pitch]
				if !known {
					set = AllLetters
				}
				tones[v.p.Notes[s.Note].Pitch] = set & sets[s.Note]
			}
			for _, s := range m.Strikes {
				if set := tones[v.p.Notes[s.Note].Pitch]; set != sets[s.Note] {
					sets[s.Note], changed = set, true
				}
			}
		}
	}
	return sets
}

// standing checks that the settings follow from the moves.
func (v *verifier) standing() error {
	now := v.plan.Start
	if v.o.Start != nil && now != *v.o.Start {
		return fmt.Errorf("the plan starts at %v, not at %v", now, *v.o.Start)
	}
	moves := v.plan.Moves
	for i := 0; i <= len(v.p.Moments); i++ {
		again := i > 0 && i < len(v.p.Moments) && v.p.Moments[i].Restart
		for ; len(moves) > 0 && moves[0].Place <= i; moves = moves[1:] {
			mv := moves[0]
			if again && !v.restores(mv) {
				if err := v.restored(i, now); err != nil {
					return err
				}
				again = false
			}
			if mv.Letter >= Letters || mv.Place != i || mv.From == mv.To || now[mv.Letter] != mv.From {
				return faultAt(i, "the %v pedal cannot go from %v to %v", mv.Letter, mv.From.Sign(), mv.To.Sign())
			}
			now[mv.Letter] = mv.To
			v.cost.Changes++
			v.cost.Notches += max(int(mv.To-mv.From), int(mv.From-mv.To))
		}
		if again {
			if err := v.restored(i, now); err != nil {
				return err
			}
		}
		if i < len(v.p.Moments) && v.plan.Settings[i] != now {
			return faultAt(i, "the pedals stand at %v, but the moves lead to %v", v.plan.Settings[i], now)
		}
	}
	if len(moves) > 0 {
		return errors.New("a move stands after the end or out of order")
	}
	if v.o.End != nil && now != *v.o.End {
		return fmt.Errorf("the harp is left at %v, not at %v", now, *v.o.End)
	}
	return nil
}

// restores tells whether a move brings a pedal back to the first setting, just before
// its place is played again.
func (v *verifier) restores(mv Move) bool {
	return mv.Place == mv.Needed && mv.Letter < Letters && mv.To == v.plan.Start[mv.Letter]
}

// restored checks that the pedals stand as at first where that place is played again.
func (v *verifier) restored(moment int, now Setting) error {
	if now != v.plan.Start {
		return faultAt(moment, "the pedals stand at %v where the first setting, %v, is played again", now, v.plan.Start)
	}
	return nil
}

// play strikes every note and counts unsounded and respelt ones.
func (v *verifier) play() error {
	dropped := v.plan.Unsounded
	for i, m := range v.p.Moments {
		if i > 0 && m.Restart {
			v.again = true
			for l := range v.sounded {
				v.sounded[l] = append(v.sounded[l], sounding{i, v.plan.Start[l], m.Onset, m.At, true})
			}
		}
		lost, played, heard := map[Pitch]bool{}, map[Pitch]String{}, map[Pitch]String{}
		for si, s := range m.Strikes {
			pitch, str := v.p.Notes[s.Note].Pitch, v.plan.Strings[s.Note]
			listed := len(dropped) > 0 && dropped[0] == Dropped{i, si}
			if listed {
				dropped = dropped[1:]
			}
			disced := v.o.Instrument.Disced(StringName{str.Letter, str.Octave})
			sounds := str.OK && (!disced || v.plan.Settings[i][str.Letter] == str.Position)
			if sounds == listed {
				return faultAt(i, "strike %d: sounds is %v, and listed as unsounded is %v", si, sounds, listed)
			}
			if !sounds {
				lost[pitch] = true
				continue
			}
			if other, ok := played[pitch]; ok && other != str {
				return faultAt(i, "strike %d: one pitch is on two strings", si)
			}
			played[pitch] = str
			if !v.p.Notes[s.Note].Silent {
				heard[pitch] = str
			}
			if disced {
				v.sounded[str.Letter] = append(v.sounded[str.Letter], sounding{i, str.Position, s.End, s.Until, false})
			}
		}
		v.cost.Unsounded += len(lost)
		for pitch, str := range played {
			if lost[pitch] {
				return faultAt(i, "one pitch both sounds and does not")
			}
			if str.Letter != pitch.Letter {
				v.cost.Respelt++
			}
		}
		v.switches(i, heard)
	}
	if len(dropped) > 0 {
		return errors.New("the list of unsounded strikes is out of order")
	}
	return v.alike()
}

// alike checks that each note is left out in all passes or in none.
func (v *verifier) alike() error {
	for _, d := range v.plan.Unsounded {
		if n := v.p.Moments[d.Moment].Strikes[d.Strike].Note; v.plan.Strings[n].OK {
			return faultAt(d.Moment, "strike %d: note %d is left out here, but not in every pass", d.Strike, n)
		}
	}
	return nil
}

// switches counts how many names go to other strings at a moment.
func (v *verifier) switches(moment int, heard map[Pitch]String) {
	now := map[Pitch]spelt{}
	for name, str := range heard {
		name.Octave = 0
		if now[name].letters == nil {
			now[name] = spelt{map[Letter]bool{}, v.p.measure(moment)}
		}
		now[name].letters[str.Letter] = true
	}
	for name, s := range now {
		before := map[Letter]bool{name.Letter: name.settable()} // at home
		last, ok := v.spelt[name]
		if ok = ok && s.measure-last.measure <= 2; ok {
			before = last.letters
		}
		for l := range s.letters {
			if !before[l] {
				v.cost.Switches++
			}
		}
		if !ok && !name.settable() {
			v.cost.Switches-- // the first letter is free
		}
		v.cost.Switches += len(s.letters) - 1
		v.spelt[name] = s
	}
}

// feet checks each move against the notes before and after it, and against the
// other moves of its foot.
func (v *verifier) feet() error {
	var held []Release
	var busy [2][]Move
	var used [Letters]bool
	for l := range Letter(Letters) {
		let := 0 // notes of the letter that an earlier move has passed
		for _, mv := range v.plan.Moves {
			if mv.Letter != l {
				continue
			}
			from := let
			for let < len(v.sounded[l]) && v.before(&v.sounded[l][let], mv) {
				let++
			}
			release, err := v.move(mv, v.sounded[l][from:let], v.sounded[l][let:])
			if err != nil {
				return err
			}
			if release {
				held = append(held, Release{mv.Needed, l})
			}
			if mv.Rushed {
				v.cost.Rushed++
			} else {
				busy[l.Foot()] = append(busy[l.Foot()], mv)
			}
		}
		used[l] = slices.ContainsFunc(v.sounded[l], func(s sounding) bool { return !s.restart })
		if !used[l] && v.o.Start == nil && v.o.End == nil && v.plan.Start[l] != v.p.Key[l] {
			return fmt.Errorf("no note needs the %v pedal, but it leaves the key signature", l)
		}
	}
	slices.SortFunc(held, func(a, b Release) int {
		return cmp.Or(cmp.Compare(a.Moment, b.Moment), cmp.Compare(a.Letter, b.Letter))
	})
	if !slices.Equal(held, v.plan.Held) {
		return fmt.Errorf("notes let go: listed %v, found %v", v.plan.Held, held)
	}
	v.cost.Held = len(held)
	for _, list := range busy {
		slices.SortFunc(list, func(a, b Move) int { return cmp.Compare(a.Start, b.Start) })
		for i := 1; i < len(list); i++ {
			if list[i].Start < list[i-1].Start+v.o.Times().Foot {
				return faultAt(list[i].Needed, "the %v foot moves %v and %v at once", list[i].Letter.Foot(), list[i-1].Letter, list[i].Letter)
			}
		}
	}
	return nil
}

// before tells whether a sounding comes before a move of its letter.
func (v *verifier) before(s *sounding, mv Move) bool {
	return s.moment < mv.Place || s.moment == mv.Place && s.restart && !v.restores(mv)
}

// move checks one move between the notes of its letter before and after it, and
// tells whether a note is still held when it is needed.
func (v *verifier) move(mv Move, before, after []sounding) (held bool, err error) {
	place := min(mv.Place, len(v.p.Moments)-1)
	needed := len(v.p.Moments)
	if len(after) > 0 {
		needed = after[0].moment
	}
	if mv.Needed != needed || mv.Place > needed || needed == len(v.p.Moments) && v.o.End == nil {
		return false, faultAt(place, "the %v pedal moves for moment %d, but its next note is at %d", mv.Letter, mv.Needed, needed)
	}
	start := v.p.Moments[0].At
	last := sounding{moment: -1, end: v.p.Moments[0].Onset, until: start}
	at := start
	for i, s := range before {
		if i == 0 {
			last.end, last.until = s.end, s.until
		}
		last.end, last.until = max(last.end, s.end), max(last.until, s.until)
		if attack := v.p.Moments[s.moment].At; !s.restart {
			at = attack
		} else {
			at = max(at, attack-v.o.Times().Sounding) // as if it had sounded for long enough
		}
	}
	if len(before) == 0 && v.o.Start == nil && !v.again {
		return false, faultAt(place, "the first position of the %v pedal is free", mv.Letter)
	}
	var due time.Duration
	if needed < len(v.p.Moments) {
		due = v.p.Moments[needed].At
		held = last.end > v.p.Moments[needed].Onset
	} else {
		due = closing(v.p, v.o.Times().Foot)
	}
	times := v.o.Times()
	first, latest := last.until, due-times.Move
	if early := max(at+times.Sounding, due-times.Foot); early < first {
		first = early
	}
	if mv.WindowStart != first || mv.WindowEnd != latest {
		return false, faultAt(place, "the window of the %v pedal is %v to %v, not %v to %v", mv.Letter, first, latest, mv.WindowStart, mv.WindowEnd)
	}
	if mv.End != mv.Start+times.Move {
		return false, faultAt(place, "the %v pedal moves from %v to %v, not for %v", mv.Letter, mv.Start, mv.End, times.Move)
	}
	if mv.Rushed {
		if mv.Start != due || times.Foot == 0 {
			return false, faultAt(place, "the %v pedal is rushed, but not when it is needed", mv.Letter)
		}
		return held, nil
	}
	if mv.Start < first || mv.Start > latest {
		return false, faultAt(place, "the %v pedal moves from %v to %v, outside its window", mv.Letter, mv.Start, mv.End)
	}
	return held, nil
}

// marks checks that what is printed once for several passes stands at one place, on
// the same side of every repeat sign and jump as the note that needs it.
func (v *verifier) marks() error {
	if len(v.p.Measures) == 0 {
		return nil
	}
	type printed struct {
		measure, index int
		letter         Letter
		to             Position
	}
	before := map[printed]int{}
	for _, mv := range v.plan.Moves {
		if mv.Needed == len(v.p.Moments) {
			continue
		}
		k := v.p.Moments[mv.Needed].Measure
		at := printed{v.p.Measures[k].Written, mv.Needed - v.p.Measures[k].First, mv.Letter, mv.To}
		if n, ok := before[at]; ok && n != mv.Needed-mv.Place {
			return faultAt(mv.Needed, "the %v pedal is marked at another place than in an earlier pass", mv.Letter)
		}
		before[at] = mv.Needed - mv.Place
		for ; v.p.Measures[k].First > mv.Place; k-- {
			if v.p.Measures[k].Sign {
				return faultAt(mv.Needed, "the %v pedal is marked beyond a repeat sign or a jump", mv.Letter)
			}
		}
	}
	return nil
}

// sum compares the counts.
func (v *verifier) sum() error {
	if v.cost != v.plan.Cost {
		return fmt.Errorf("the plan claims to cost %+v, but costs %+v", v.plan.Cost, v.cost)
	}
	got, low := v.cost.vector(v.o.Mode, v.o.prices()), v.plan.Proof.Bound.vector(v.o.Mode, v.o.prices())
	if slices.Compare(low[:], got[:]) > 0 {
		return fmt.Errorf("the bound %+v is above the cost %+v", v.plan.Proof.Bound, v.plan.Cost)
	}
	if n := v.unlike(); n != v.plan.Unlike {
		return fmt.Errorf("the plan claims %d measures that are unlike the first of their kind, but has %d", v.plan.Unlike, n)
	}
	if v.plan.Proof.Minimal && slices.Compare(low[:6], got[:6]) != 0 {
		return errors.New("the plan claims to be minimal, but its bound is lower")
	}
	return nil
}
