package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"pedalogue/report/engrave"
)

// Reduce is the report on a score that was reduced for the harp. Its fields, in their
// order, are the keys of its JSON document.
type Reduce struct {
	Head
	Parts    []ReducePart `json:"parts,omitzero"` // absent if Error is set
	Warnings []Warning    `json:"warnings"`
}

// A ReducePart is one harp, before and after.
type ReducePart struct {
	ID         string      `json:"id"`
	Name       string      `json:"name"`
	Options    Options     `json:"options"`
	Before     GraveCounts `json:"before"`
	After      GraveCounts `json:"after"`
	CostBefore Cost        `json:"cost_before"`
	CostAfter  Cost        `json:"cost_after"`
	Reductions []Reduction `json:"reductions"`           // in playing order
	Unsolved   []Unsolved  `json:"unsolved"`             // in playing order
	Hands      []HandSign  `json:"hand_signs,omitempty"` // signs of the hands in the copy, in playing order; nil if they were not wanted

	MusicBefore *engrave.Part `json:"-"` // the measures of the reductions; nil where they are not drawn
	MusicAfter  *engrave.Part `json:"-"` // the same of the final copy
}

// A HandSign is a sign at notes that another hand takes than that of their staff.
type HandSign struct {
	Place
	Sign  string   `json:"sign"`  // "m.d." for the right hand, "m.g." for the left
	Notes []string `json:"notes"` // "G3"
}

// GraveCounts counts findings that are more than notes.
type GraveCounts struct {
	Error   int `json:"error"`
	Warning int `json:"warning"`
}

// A Reduction is what is done about one place.
type Reduction struct {
	Place                // the first note that is changed
	For       []string   `json:"for"` // the kinds of findings that it treats
	Ops       []ReduceOp `json:"ops"`
	Loses     Loses      `json:"loses"`
	Verified  bool       `json:"verified"`            // in the plan of the whole, nothing that is treated is found there
	Heuristic bool       `json:"heuristic,omitempty"` // something cheaper may exist
	Text      string     `json:"text"`
	Why       []string   `json:"why,omitempty"` // what was the matter, in sentences
	Before    []int      `json:"-"`             // the notes that are changed, by their IDs in MusicBefore
	After     []int      `json:"-"`             // those that are other than they were, in MusicAfter
	Beat      string     `json:"-"`             // what is counted there, in quarter notes; "" for quarters
}

// A ReduceOp is one operation on a printed note.
type ReduceOp struct {
	Op     string `json:"op"`               // "leave-out", "octave", "roll", "other-hand", "other-string", "shorten", "grace"
	Index  *int   `json:"index,omitempty"`  // the measure from 0, and the offset in it, where they are not the reduction's
	Offset string `json:"offset,omitempty"` // quarter notes
	Staff  int    `json:"staff"`
	Note   string `json:"note"`
	To     string `json:"to,omitempty"`    // the pitch, the length in quarter notes or the staff
	Grace  bool   `json:"grace,omitempty"` // it is a grace note as it is written
}

// Loses are what a reduction costs the music.
type Loses struct {
	Melody       int `json:"melody"`
	Bass         int `json:"bass"`
	PitchClasses int `json:"pitch_classes"`
	Notes        int `json:"notes"` // left out, all of them
	Moved        int `json:"moved"`
	Doubled      int `json:"doubled"` // of those left out
	Rolled       int `json:"rolled"`
	Hands        int `json:"hands"`
}

// An Unsolved place is one for which no way was found.
type Unsolved struct {
	Place
	For  []string `json:"for"`
	Text string   `json:"text"`
	Beat string   `json:"-"` // as that of a Reduction
}

// WriteReduceJSON writes the report as JSON, indented or on one line.
func WriteReduceJSON(w io.Writer, r *Reduce, oneLine bool) error {
	c := *r
	c.Warnings = list(r.Warnings)
	if r.Error == "" {
		c.Parts = list(slices.Clone(r.Parts))
	}
	for i := range c.Parts {
		p := &c.Parts[i]
		p.Reductions, p.Unsolved = list(slices.Clone(p.Reductions)), list(p.Unsolved)
	}
	return writeJSON(w, r.Path, &c, oneLine)
}

// mostReasons is how many findings the text tells at one reduction.
const mostReasons = 2

// WriteReduceText writes the report for reading in a terminal: for each harp what is
// done, place by place, and what could not be.
func WriteReduceText(w io.Writer, r *Reduce, o TextOptions) error {
	t := newText(o)
	t.line(r.Path)
	for i := range r.Parts {
		p := &r.Parts[i]
		t.blank()
		t.wrapped("", p.ID+" "+p.Name+": "+p.summary())
		for _, red := range p.Reductions {
			t.wrapped("  ", red.where()+": "+red.Text+" ("+red.price()+")")
			for k, why := range red.Why {
				if k == mostReasons {
					t.wrapped("      ", "And "+count(len(red.Why)-k, "finding")+" more there.")
					break
				}
				t.wrapped("      ", why)
			}
		}
		if len(p.Unsolved) > 0 {
			t.blank()
			t.wrapped("", "No way was found for "+count(len(p.Unsolved), "place")+":")
		}
		for _, u := range p.Unsolved {
			t.wrapped("  ", Where(u.Place, u.Beat)+": "+u.Text)
		}
		if len(p.Hands) > 0 {
			t.blank()
			t.wrapped("", "Signs of the hands stand at "+count(len(p.Hands), "place")+".")
		}
	}
	t.readingWarnings(r.Warnings)
	if r.Output != "" {
		t.blank()
		t.line("  copy  " + r.Output)
	}
	return t.writeTo(w)
}

// summary says what a reduction of a part comes to.
func (p *ReducePart) summary() string {
	var sum Loses
	for _, r := range p.Reductions {
		l := r.Loses
		sum = Loses{sum.Melody + l.Melody, sum.Bass + l.Bass, sum.PitchClasses + l.PitchClasses, sum.Notes + l.Notes, sum.Moved + l.Moved,
			sum.Doubled + l.Doubled, sum.Rolled + l.Rolled, sum.Hands + l.Hands}
	}
	if len(p.Reductions) == 0 {
		if len(p.Unsolved) == 0 {
			return "nothing needs to be reduced."
		}
		return "nothing was reduced."
	}
	return fmt.Sprintf("%s; %s. Errors %d → %d, warnings %d → %d, changes %d → %d.", count(len(p.Reductions), "place")+" reduced", sum.words(),
		p.Before.Error, p.After.Error, p.Before.Warning, p.After.Warning, p.CostBefore.Changes, p.CostAfter.Changes)
}

// price says what a reduction costs, and how far that is known.
func (r *Reduction) price() string {
	s := r.Loses.words()
	if r.Heuristic {
		s += "; something cheaper may exist"
	}
	if !r.Verified {
		s += "; not solved by it alone"
	}
	return s
}

// words say what is lost.
func (l Loses) words() string {
	var list []string
	add := func(n int, one, many string) {
		if n > 0 {
			list = append(list, fmt.Sprintf("%d %s", n, map[bool]string{true: one, false: many}[n == 1]))
		}
	}
	switch {
	case l.Doubled > 0 && l.Doubled == l.Notes:
		add(l.Notes, "doubled note left out", "doubled notes left out")
	case l.Doubled > 0:
		list = append(list, fmt.Sprintf("%d notes left out, %d of them doubled", l.Notes, l.Doubled))
	default:
		add(l.Notes, "note left out", "notes left out")
	}
	add(l.Moved, "moved", "moved")
	add(l.Rolled, "chord rolled", "chords rolled")
	add(l.Hands, "given to the other hand", "given to the other hand")
	add(l.Melody, "of the melody", "of the melody")
	add(l.Bass, "of the bass", "of the bass")
	add(l.PitchClasses, "pitch class lost", "pitch classes lost")
	if len(list) == 0 {
		return "no note is lost"
	}
	return strings.Join(list, ", ")
}

// where says where a reduction is.
func (r *Reduction) where() string { return Where(r.Place, r.Beat) }

// Where names a place in words: "measure 3, beat 2½". The beat is what is counted there, in
// quarter notes; "" for quarters.
func Where(p Place, beat string) string {
	s := "measure " + p.label()
	if p.Offset != "0" {
		s += ", beat " + beatNumber(p.Offset, cmp.Or(beat, "1"))
	}
	return s
}
