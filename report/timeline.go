package report

import (
	"math/big"
	"slices"
	"strconv"
	"strings"

	"pedalogue/pedal"
)

// A timeline finds the measures of a part as they are played.
type timeline struct {
	bars   []Bar
	played map[int]int           // times each measure is played, by its index
	at     map[visit]int         // position in bars
	beat   bool                  // every measure knows its beat; else quarter notes are counted
	marked map[visit][]Change    // changes by the measure they are marked in
	found  map[visit][]Finding   // findings by their measure
	rows   map[findingKey]string // the IDs of their rows in a page; nil outside pages
	shown  int                   // how many rows a page has
}

// A visit is one playing of a measure.
type visit struct{ index, pass int }

// id names the visit in a page, for a harp from 1; what says of what it is the ID.
func (v visit) id(what string, harp int) string {
	id := what + strconv.Itoa(harp) + "-" + strconv.Itoa(v.index+1)
	if v.pass > 1 {
		id += "-" + strconv.Itoa(v.pass)
	}
	return id
}

func timelineOf(p *Part) *timeline {
	t := &timeline{
		bars:   p.Bars,
		played: make(map[int]int),
		at:     make(map[visit]int),
		beat:   len(p.Bars) > 0,
		marked: make(map[visit][]Change),
		found:  make(map[visit][]Finding),
	}
	for i, b := range p.Bars {
		t.played[b.Index] = max(t.played[b.Index], b.Pass)
		t.at[visit{b.Index, b.Pass}] = i
		t.beat = t.beat && b.Beat != ""
	}
	for _, c := range p.Changes {
		v := visit{c.Marked.Index, c.Pass}
		t.marked[v] = append(t.marked[v], c)
		t.played[c.Marked.Index] = max(t.played[c.Marked.Index], c.Pass)
	}
	for _, f := range p.Findings {
		v := visit{f.Index, max(1, f.Pass)}
		t.found[v] = append(t.found[v], f)
	}
	return t
}

// unit is the word for what is counted within a measure.
func (t *timeline) unit() string {
	if t.beat {
		return "beat"
	}
	return "quarter"
}

// count writes a place in its measure as counted from 1, in the unit's number.
func (t *timeline) count(p Place, pass int) string { return beatNumber(p.Offset, t.unitAt(p, pass)) }

// unitAt is the unit that is counted at a place, in quarter notes.
func (t *timeline) unitAt(p Place, pass int) string {
	for _, n := range []int{max(1, pass), 1} {
		if i, ok := t.at[visit{p.Index, n}]; ok && t.beat {
			return t.bars[i].Beat
		}
	}
	return "1"
}

// beatCell is the same count as a cell: a mixed number.
func (t *timeline) beatCell(p Place, pass int) any {
	offset, ok := new(big.Rat).SetString(p.Offset)
	unit, okUnit := new(big.Rat).SetString(t.unitAt(p, pass))
	if !ok || !okUnit || unit.Sign() <= 0 {
		return ""
	}
	return mixed(offset.Quo(offset, unit).Add(offset, big.NewRat(1, 1)).RatString())
}

// measure names a measure, and which time it is played if there are several.
func (t *timeline) measure(p Place, passes ...int) string {
	if t.played[p.Index] <= 1 && slices.Max(passes) <= 1 {
		return p.label()
	}
	if len(passes) > 1 && len(passes) == t.played[p.Index] {
		return p.label() + " (each time)"
	}
	var times []string
	for _, n := range passes {
		times = append(times, ordinal(max(1, n)))
	}
	if n := len(times); n > 2 && passes[n-1]-passes[0] == n-1 {
		return p.label() + " (" + times[0] + " to " + times[n-1] + " time)"
	}
	return p.label() + " (" + joined(times, "and") + " time)"
}

// place names a place: "m. 12 (2nd time), beat 2½".
func (t *timeline) place(p Place, passes ...int) string {
	return "m. " + t.measure(p, passes...) + ", " + t.unit() + " " + t.count(p, passes[0])
}

// A step is all changes marked at one place.
type step struct {
	Place
	Pass    int
	Changes []Change
}

// steps gathers changes, which come in playing order, by place.
func steps(changes []Change) []step {
	var all []step
	for _, c := range changes {
		if n := len(all); n > 0 && all[n-1].Place == c.Marked && all[n-1].Pass == c.Pass {
			all[n-1].Changes = append(all[n-1].Changes, c)
			continue
		}
		all = append(all, step{Place: c.Marked, Pass: c.Pass, Changes: []Change{c}})
	}
	return all
}

// feet writes the changes of a step for the left and for the right foot.
func (s step) feet() (left, right string) {
	var l, r []string
	for _, c := range s.Changes {
		if c.Foot == pedal.Left {
			l = append(l, c.sign())
		} else {
			r = append(r, c.sign())
		}
	}
	return strings.Join(l, " "), strings.Join(r, " ")
}
