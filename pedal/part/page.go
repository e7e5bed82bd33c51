package part

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"pedalogue/pedal"
)

// A Page is all marks of one player as they stand in the score. What is printed
// once holds in every pass: followed in playing order, the marks give the plan's
// position of every pedal whenever a note needs it, and move no pedal that the
// plan does not move.
type Page struct {
	Plan   *pedal.Plan // what is printed
	Marks  []Mark      // in written order
	Moves  []Place     // where each move of the plan is printed, by its index in Plan.Moves
	Resets []Mark      // what the marks at the target of a jump back move, told early in the measure before the jump; in playing order

	// Closing is what is to be moved when all is played, where the last place is
	// played before as well, so that nobody may move anything there each time; nil if
	// there is nothing.
	Closing *Mark

	part   *Part
	foot   time.Duration        // from one change of a foot to its next
	obeyed map[instruction]bool // what marks that stand in the score say, if it is to be obeyed
	stretches
}

// A Mark is pedals that are named at a place: a full setting, or changes. The zero
// value names none.
type Mark struct {
	Place
	Full    bool                            // a full setting, of all seven pedals
	Section string                          // why a full setting of ours stands here: "start", a rehearsal mark and so on; "" for others
	Pedals  map[pedal.Letter]pedal.Position // where each pedal that it names is to stand
	// Prepared: one by others that asks for its pedals ahead of the need, "préparez F♯";
	// Follow reads it like any other.
	Prepared bool
}

// Compare orders marks as they are written, a full setting before what follows from it
// at its place: negative where m comes first.
func (m Mark) Compare(o Mark) int {
	rank := func(full bool) int {
		if full {
			return 0
		}
		return 1
	}
	return cmp.Or(m.Place.compare(o.Place), cmp.Compare(rank(m.Full), rank(o.Full)))
}

// Setting is the setting of a full mark; a pedal that a mark does not name stands
// at natural.
func (m *Mark) Setting() pedal.Setting {
	var s pedal.Setting
	for l, position := range m.Pedals {
		if l < pedal.Letters {
			s[l] = position
		}
	}
	return s
}

// layOut puts a plan on the page: its changes, and full settings where a player
// must see them.
func layOut(part *Part, plan *pedal.Plan, w Wishes, wanted []section) (*Page, error) {
	p := &Page{part: part, Plan: plan, foot: w.Options.Times().Foot, stretches: stretchesOf(part.Passage, plan, w.Options.Instrument)}
	if w.Obey {
		p.obeyed = part.instructions()
	}
	for i, s := range wanted {
		if i > 0 || !p.openAgain(s) {
			p.addSetting(s)
		}
	}
	p.addChanges()
	p.crowded()
	p.sort()
	p.announce()
	p.addResets()
	p.retime()
	return p, p.check()
}

// openAgain puts the first setting on the page if its place is played again: the
// plan has the pedals there as they were at first.
func (p *Page) openAgain(s section) bool {
	moments := p.part.Places.Playings(s.Place)
	if len(moments) < 2 {
		return false
	}
	pedals := make(map[pedal.Letter]pedal.Position, pedal.Letters)
	for l, position := range p.Plan.Start {
		pedals[pedal.Letter(l)] = position
	}
	p.open(p.Plan.Start, moments)
	p.Marks = append(p.Marks, Mark{Place: s.Place, Full: true, Section: s.reason, Pedals: pedals})
	return true
}

// addSetting puts a full setting on the page, if one can hold in every pass
// without moving a pedal that the plan leaves alone, and if it says what a player
// does not know yet.
func (p *Page) addSetting(s section) {
	moments := p.part.Places.Playings(s.Place)
	if len(moments) == 0 || p.hasSetting(s.Place) {
		return
	}
	setting := make(map[pedal.Letter]pedal.Position, pedal.Letters)
	for l := range pedal.Letter(pedal.Letters) {
		position, ok := p.shown(l, moments, s)
		if !ok {
			return
		}
		setting[l] = position
	}
	if s.ifDiffers && !p.differs(moments) || !s.ifDiffers && !s.always && p.known(s, setting) {
		return
	}
	for l, position := range setting {
		for _, m := range moments {
			p.fix(l, position, m)
		}
	}
	p.Marks = append(p.Marks, Mark{Place: s.Place, Full: true, Section: s.reason, Pedals: setting})
}

// How many measures a setting is remembered while no pedal moves, and how far away
// the last one must be for a new system to bring another. Common practice.
const (
	remembered = 16
	farAway    = 24
)

// known reports whether a setting would tell nothing new: the last one before it is
// near, and no pedal has moved since.
func (p *Page) known(s section, setting map[pedal.Letter]pedal.Position) bool {
	var last *Mark
	for i := range p.Marks {
		if m := &p.Marks[i]; m.Full && m.Place.compare(s.Place) < 0 && (last == nil || last.Place.compare(m.Place) < 0) {
			last = m
		}
	}
	if last == nil {
		return false
	}
	moved := !maps.Equal(last.Pedals, setting) || p.moves(last.Place, s.Place)
	if s.layout {
		return !moved || s.Measure-last.Measure <= farAway
	}
	return !moved && s.Measure-last.Measure < remembered
}

// moves reports whether the plan moves a pedal between two places, played straight
// on.
func (p *Page) moves(from, to Place) bool {
	first, last := p.part.Places.Playings(from), p.part.Places.Playings(to)
	if len(first) == 0 || len(last) == 0 || last[0] < first[0] {
		return true
	}
	for i := first[0] + 1; i <= last[0]; i++ {
		if p.Plan.Settings[i] != p.Plan.Settings[i-1] {
			return true
		}
	}
	return false
}

// shown is the position that a full setting gives a pedal, seen from the first of
// its moments: the plan's if that fits all of them; in a rest the one that is needed
// where it ends. ok is false if none fits.
func (p *Page) shown(l pedal.Letter, moments []int, s section) (position pedal.Position, ok bool) {
	now, next, _, _ := p.allowed(l, moments[0])
	wishes := []pedal.Position{p.Plan.Settings[moments[0]][l], now, next}
	if s.rests {
		for _, m := range p.part.Places.Playings(s.entrance) {
			if m > moments[0] {
				wishes = append([]pedal.Position{p.Plan.Settings[m][l]}, wishes...)
				break
			}
		}
	}
	for _, wish := range wishes {
		if p.fits(l, wish, moments) {
			return wish, true
		}
	}
	return 0, false
}

// differs reports whether the pedals stand differently in the passes through a
// place, or just before it.
func (p *Page) differs(moments []int) bool {
	settings := p.Plan.Settings
	for _, m := range moments {
		if settings[m] != settings[moments[0]] || m > 0 && settings[m-1] != settings[moments[0]] {
			return true
		}
	}
	return false
}

func (p *Page) hasSetting(at Place) bool {
	return slices.ContainsFunc(p.Marks, func(m Mark) bool { return m.Full && m.Place == at })
}

// manyChanges is how many changes at one place have a full setting beside them.
const manyChanges = 4

// crowded puts a full setting beside a long list of changes.
func (p *Page) crowded() {
	var crowds []section
	for i := range p.Marks {
		if m := &p.Marks[i]; !m.Full && len(m.Pedals) >= manyChanges && !p.hasSetting(m.Place) {
			s := section{Place: m.Place, reason: "many changes", always: true}
			s.entrance, s.rests = p.part.behind(m.Place)
			crowds = append(crowds, s)
		}
	}
	if len(crowds) == 0 {
		return
	}
	p.Marks = slices.DeleteFunc(p.Marks, func(m Mark) bool { return !m.Full })
	for _, s := range crowds {
		p.addSetting(s)
	}
	p.addChanges()
}

// announce prints as changes what full settings move: among seven letters a player
// would not see it. A pedal that is moved on at the same place is left to the setting,
// and what a jump back moves is told before the jump.
func (p *Page) announce() {
	places := p.part.Places
	moved := map[Place]map[pedal.Letter]pedal.Position{}
	full := map[Place]*Mark{}
	for i := range p.Marks {
		if m := &p.Marks[i]; m.Full {
			full[m.Place] = m
		}
	}
	was := p.Plan.Start
	for i, now := range Follow(places, p.Plan.Start, p.Marks) {
		at := places.Of(i)
		if m := full[at]; m != nil && !places.jumpsBack(i) {
			for l, position := range m.Pedals {
				if was[l] == position {
					continue
				}
				if moved[at] == nil {
					moved[at] = map[pedal.Letter]pedal.Position{}
				}
				moved[at][l] = position
			}
		}
		was = now.Setting
	}
	for _, at := range slices.SortedFunc(maps.Keys(moved), Place.compare) {
		for l := range pedal.Letter(pedal.Letters) {
			if position, ok := moved[at][l]; ok && !p.changesAt(at, l) {
				p.addChange(at, changeKey{letter: l, to: position})
			}
		}
	}
	p.sort()
}

// changesAt reports whether a change of a pedal is printed at a place.
func (p *Page) changesAt(at Place, l pedal.Letter) bool {
	return slices.ContainsFunc(p.Marks, func(m Mark) bool {
		_, named := m.Pedals[l]
		return named && !m.Full && m.Place == at
	})
}

// sort puts the marks in written order, a full setting before what follows from it.
func (p *Page) sort() {
	slices.SortStableFunc(p.Marks, Mark.Compare)
}

// roomIn is the first place in a measure where no mark of ours stands, or else its
// first one: what is printed there does not run over the barline at its end.
func (p *Page) roomIn(measure int) Place {
	taken := map[Place]bool{}
	for i := range p.Marks {
		taken[p.Marks[i].Place] = !p.Marks[i].Full || taken[p.Marks[i].Place]
	}
	for at := range p.part.written[measure].moments {
		if place := (Place{measure, at}); !taken[place] {
			return place
		}
	}
	return Place{Measure: measure}
}

// addResets notes what the marks at the target of a jump back move, so that a
// player is told before the jump.
func (p *Page) addResets() {
	places := p.part.Places
	told := map[Place]bool{}
	before := p.Plan.Start
	for i, now := range Follow(places, p.Plan.Start, p.Marks) {
		was := before
		before = now.Setting
		if now.Setting == was || !places.jumpsBack(i) {
			continue
		}
		from := places.Of(i - 1)
		if told[from] {
			continue
		}
		told[from] = true
		r := Mark{Place: p.part.drawn(p.roomIn(from.Measure)), Pedals: map[pedal.Letter]pedal.Position{}}
		for l := range was {
			if now.Setting[l] != was[l] {
				r.Pedals[pedal.Letter(l)] = now.Setting[l]
			}
		}
		p.Resets = append(p.Resets, r)
	}
}
