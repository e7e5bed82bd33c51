package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"

	"pedalogue/pedal"
	"pedalogue/report/engrave"
)

// A Check is the report on the pedal marks that stand in one score. Its fields, in
// their order, are the keys of its JSON document.
type Check struct {
	Head
	Parts    []CheckPart `json:"parts,omitzero"` // absent if Error is set
	Warnings []Warning   `json:"warnings"`

	Index string `json:"-"` // the page of all scores, as this one links it; "" for none
}

// A CheckPart is one harp, or a part that plays no harp and has marks.
type CheckPart struct {
	ID       string       `json:"id"`
	Name     string       `json:"name"`
	Staves   int          `json:"staves"`
	Measures int          `json:"measures"` // as written
	Notes    int          `json:"notes"`    // attacked, in playing order
	Moments  int          `json:"moments"`  // with at least one note attacked
	Verdict  Verdict      `json:"verdict"`
	Marks    []CheckMark  `json:"marks"`          // all texts and harp-pedals elements, in written order
	Cost     Cost         `json:"cost"`           // of playing by the marks
	Best     *Cost        `json:"best"`           // of the plan that would be written; nil if none was made
	Faults   []CheckFault `json:"faults"`         // in playing order
	Alters   []Alteration `json:"fixes,omitzero"` // what the mended copy has otherwise, in written order; absent if there is none

	// For the page.
	Start   pedal.Setting `json:"-"` // at the first moment
	Changes []Change      `json:"-"` // that the marks make, in playing order
	Bars    []Bar         `json:"-"` // in playing order
	Music   *engrave.Part `json:"-"` // nil where no music is drawn
}

// A Verdict says what comes of a part.
type Verdict string

// The verdicts.
const (
	VerdictClean   Verdict = "clean"    // nothing to be sent back for
	VerdictFaults  Verdict = "faults"   // an error or a warning
	VerdictNoMarks Verdict = "no marks" // no pedal marks stand in it
)

// A CheckMark is a text or harp-pedals element, and how it is read.
type CheckMark struct {
	Place
	Staff  int                             `json:"staff"` // from 1
	Text   string                          `json:"text"`  // "" for a harp-pedals element
	As     string                          `json:"as"`    // "setting", "change", "warning", "not a pedal mark"
	Pedals map[pedal.Letter]pedal.Position `json:"pedals"`
}

// A CheckFault is a place where marks and notes disagree.
type CheckFault struct {
	Kind     string   `json:"kind"`
	Severity Severity `json:"severity"`
	Place
	Pass    int             `json:"pass"`   // from 1
	Staff   int             `json:"staff"`  // from 1; 0 where it concerns the whole harp
	Pedal   string          `json:"pedal"`  // "" where it concerns no single one
	Stands  *pedal.Position `json:"stands"` // nil with Pedal ""
	Needed  *pedal.Position `json:"needed"` // the same
	Notes   []string        `json:"notes"`
	Mark    *Place          `json:"mark"` // that stands wrong; nil for none
	Text    string          `json:"text"`
	Remedy  string          `json:"remedy"`            // "" if none is known
	Planned bool            `json:"planned,omitempty"` // the plan that made the marks has it too

	Concerned []int `json:"-"` // the notes in a drawing, by their IDs
	Beside    []int `json:"-"` // measures that are drawn with its own, by their index
}

// An Alteration is one thing that mending does to the marks.
type Alteration struct {
	Place
	Staff int    `json:"staff"`
	Do    string `json:"do"`   // "add", "strike", "move", "write"
	Was   string `json:"was"`  // the mark as it stood; "" for one that is added
	Text  string `json:"text"` // what stands now; "" for one that is struck
}

// FirstWrong is the first fault of a part that is no note; nil for none.
func (p *CheckPart) FirstWrong() *CheckFault {
	for _, s := range []Severity{SeverityError, SeverityWarning} {
		if i := slices.IndexFunc(p.Faults, func(f CheckFault) bool { return f.Severity == s }); i >= 0 {
			return &p.Faults[i]
		}
	}
	return nil
}

// Counted counts the faults of a part by severity.
func (p *CheckPart) Counted() (errors, warnings, notes int) {
	for _, f := range p.Faults {
		switch f.Severity {
		case SeverityError:
			errors++
		case SeverityWarning:
			warnings++
		default:
			notes++
		}
	}
	return errors, warnings, notes
}

// WriteCheckJSON writes the report as JSON, indented or on one line.
func WriteCheckJSON(w io.Writer, k *Check, oneLine bool) error {
	c := *k
	c.Warnings = list(k.Warnings)
	if k.Error == "" {
		c.Parts = list(slices.Clone(k.Parts))
	}
	for i := range c.Parts {
		p := &c.Parts[i]
		p.Marks, p.Faults = list(slices.Clone(p.Marks)), list(slices.Clone(p.Faults))
		for n := range p.Marks {
			if p.Marks[n].Pedals == nil {
				p.Marks[n].Pedals = map[pedal.Letter]pedal.Position{}
			}
		}
		for n := range p.Faults {
			p.Faults[n].Notes = list(p.Faults[n].Notes)
		}
	}
	return writeJSON(w, k.Path, &c, oneLine)
}

// WriteCheckText writes the report for reading in a terminal: for each part the
// verdict, its faults by severity, and what its marks cost beside the best plan.
func WriteCheckText(w io.Writer, k *Check, o TextOptions) error {
	t := newText(o)
	t.line(k.Path)
	for i := range k.Parts {
		t.checkPart(&k.Parts[i])
	}
	t.readingWarnings(k.Warnings)
	return t.writeTo(w)
}

func (t *text) checkPart(p *CheckPart) {
	t.heading(cmp.Or(p.Name, p.ID) + ": " + verdictWords(p))
	for _, s := range []Severity{SeverityError, SeverityWarning, SeverityNote} {
		for i := range p.Faults {
			if f := &p.Faults[i]; f.Severity == s && !f.Planned {
				t.fault(f)
			}
		}
	}
	planned := 0
	for _, f := range p.Faults {
		if f.Planned {
			planned++
		}
	}
	if planned > 0 {
		t.wrapped("  note     ", count(planned, "place")+" where the plan that made the marks leaves a note out, lets one go, or rushes a foot; mark tells them.")
	}
	if p.Verdict == VerdictNoMarks {
		return
	}
	t.wrapped("  marks    ", marksWords(p))
	for _, a := range p.Alters {
		t.wrapped("  mended   ", a.sentence())
	}
}

// verdictWords say what comes of a part.
func verdictWords(p *CheckPart) string {
	errors, warnings, _ := p.Counted()
	switch p.Verdict {
	case VerdictNoMarks:
		return "no pedal marks stand in it."
	case VerdictClean:
		return "the pedal marks agree with the notes."
	}
	words := []string{}
	if errors > 0 {
		words = append(words, count(errors, "error"))
	}
	if warnings > 0 {
		words = append(words, count(warnings, "warning"))
	}
	return joined(words, "and") + ", the first in measure " + p.FirstWrong().Measure + "."
}

// fault writes a fault with its place.
func (t *text) fault(f *CheckFault) {
	colour := colourNone
	switch f.Severity {
	case SeverityError:
		colour = colourRed
	case SeverityWarning:
		colour = colourYellow
	}
	place := "measure " + f.Measure
	if f.Pass > 1 {
		place += fmt.Sprintf(", played the %s time", ordinal(f.Pass))
	}
	t.wrappedIn(fmt.Sprintf("  %-8s ", string(f.Severity)), colour, place+": "+f.Text+" ("+f.Kind+")")
	if f.Remedy != "" {
		t.wrapped("           -> ", f.Remedy)
	}
}

// sentence says what was done: "measure 12: F♯ moved here".
func (a Alteration) sentence() string {
	s := "measure " + a.label() + ": "
	switch a.Do {
	case "add":
		return s + a.Text + " added"
	case "strike":
		return s + a.Was + " struck out"
	case "move":
		return s + a.Text + " moved here"
	}
	return s + a.Was + " written as " + a.Text
}

// marksWords count the marks, and compare what they cost with the best plan.
func marksWords(p *CheckPart) string {
	settings, changes := 0, 0
	for _, m := range p.Marks {
		switch m.As {
		case "setting":
			settings++
		case "change":
			changes++
		}
	}
	text := count(settings, "setting") + " and " + count(changes, "list") + " of changes; played by them, the pedals move " + times(p.Cost.Changes)
	if p.Best != nil {
		text += ", by the best plan " + times(p.Best.Changes)
	}
	return text + "."
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}
