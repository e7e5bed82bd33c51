package report

import (
	"fmt"
	"io"
	"strings"

	"pedalogue/report/plain"
)

// TextOptions say how text is laid out. The zero value is plain text for a
// terminal of 80 columns.
type TextOptions struct {
	Width  int  // columns; 0 stands for 80
	Colour bool // mark severities with the terminal's colours too
	ASCII  bool // b # n for the signs, and nothing beyond ASCII
}

const (
	defaultWidth = 80
	narrowest    = 40 // below this, tables would be torn apart anyway
)

// WriteText writes the report for reading in a terminal: a summary line, then
// for each harp its first setting, its changes by measure, the respelt notes,
// the findings and what other ways of respelling would cost; last the warnings
// about reading the file. Repeated findings of one kind are folded. Nothing from
// the file can steer the terminal. The error is that of w.
func WriteText(w io.Writer, s *Score, o TextOptions) error {
	t := newText(o)
	t.score(s)
	return t.writeTo(w)
}

// A text gathers lines in the style of its options.
type text struct {
	TextOptions
	b strings.Builder
}

func newText(o TextOptions) *text {
	if o.Width <= 0 {
		o.Width = defaultWidth
	}
	o.Width = max(o.Width, narrowest)
	return &text{TextOptions: o}
}

func (t *text) writeTo(w io.Writer) error {
	_, err := io.WriteString(w, t.b.String())
	return err
}

// spell makes text fit for the options; everything printed goes through it.
func (t *text) spell(s string) string {
	s = plain.Line(s)
	if t.ASCII {
		s = plain.ASCII(s)
	}
	return s
}

// line writes one line without breaking it.
func (t *text) line(s string) {
	t.b.WriteString(strings.TrimRight(t.spell(s), " "))
	t.b.WriteByte('\n')
}

func (t *text) blank() { t.b.WriteByte('\n') }

// wrapped writes text broken to the width, its first line behind lead and the
// others as far in.
func (t *text) wrapped(lead, s string) {
	t.wrappedIn(lead, colourNone, s)
}

func (t *text) wrappedIn(lead, colour, s string) {
	lead = t.spell(lead)
	indent := strings.Repeat(" ", plain.Columns(lead))
	for i, l := range plain.Wrap(t.spell(s), t.Width-plain.Columns(lead)) {
		if i == 0 {
			t.b.WriteString(t.coloured(lead, colour))
		} else {
			t.b.WriteString(indent)
		}
		t.b.WriteString(l)
		t.b.WriteByte('\n')
	}
}

// The terminal's own colours, so that they suit its background. They only
// repeat what a word says.
const (
	colourNone   = ""
	colourBold   = "\x1b[1m"
	colourRed    = "\x1b[1;31m"
	colourYellow = "\x1b[33m"
	colourReset  = "\x1b[0m"
)

func (t *text) coloured(s, colour string) string {
	if !t.Colour || colour == colourNone {
		return s
	}
	return colour + s + colourReset
}

func (t *text) heading(s string) {
	t.blank()
	t.b.WriteString(t.coloured(t.spell(s), colourBold))
	t.b.WriteByte('\n')
}

func (t *text) score(s *Score) {
	if s.Error != "" {
		t.b.WriteString(t.coloured(t.spell(s.Path+": not read"), colourRed) + "\n")
		t.wrapped("  ", s.Error)
		t.readingWarnings(s.Warnings)
		return
	}
	t.b.WriteString(t.coloured(t.spell(s.Path), colourBold) + ": ")
	t.line(strings.Join(tallyOf(s).phrases(), ", "))
	if s.Title != "" {
		t.wrapped("  title        ", s.Title)
	}
	if s.Output != "" {
		t.line("  marked copy  " + s.Output)
	}
	if o := s.PlayingOrder; o != nil {
		t.line("  measures     " + o.sentence())
	}
	for i := range s.Parts {
		t.part(&s.Parts[i])
	}
	t.readingWarnings(s.Warnings)
}

func (o PlayingOrder) sentence() string {
	if o.Written == o.Played {
		return grouped(o.Written)
	}
	return grouped(o.Written) + " written, " + grouped(o.Played) + " as played"
}

func (p *Part) title() string {
	name := p.Name
	if strings.TrimSpace(name) == "" {
		name = "Harp"
	}
	return name + " (" + p.ID + ")"
}

func (t *text) part(p *Part) {
	when := timelineOf(p)
	t.heading(p.title())
	t.line("  first setting  " + p.Start.String())
	if s := p.Lies.sentence(); s != "" {
		t.wrapped("  verdict        ", s)
	}
	t.changes(p, when)
	t.respelt(p, when)
	t.findings(p, when)
	t.choices(p)
	t.curve(p)
	t.blank()
	t.wrapped("  ", p.proofSentence())
	for _, s := range []string{p.unlikeSentence(), p.pinsSentence()} {
		if s != "" {
			t.wrapped("  ", s)
		}
	}
}

func (t *text) changes(p *Part, when *timeline) {
	if len(p.Changes) == 0 {
		t.blank()
		t.line("  No pedal changes: the first setting serves to the end.")
		return
	}
	rows, printed := [][]string{{"measure", when.unit(), "left foot", "right foot", ""}}, 0
	for _, r := range standChanges(p, when) {
		s := step{Place: r.Place, Pass: r.pass, Changes: r.Changes}
		left, right := s.feet()
		measure := r.label()
		if r.Passes != "" {
			measure += " (" + r.Passes + ")"
		}
		rows = append(rows, []string{measure, when.count(s.Place, s.Pass), left, right, s.caution(p.Options.MoveTime)})
		printed += len(r.Changes)
	}
	head := count(printed, "change")
	if p.Cost.Changes != printed {
		head += ", " + grouped(p.Cost.Changes) + " as played"
	}
	t.heading("  " + sentenceCase(head))
	t.table("  ", rows)
}

// caution says which changes of a step are rushed; moveTime is in seconds.
func (s step) caution(moveTime float64) string {
	var rushed []string
	for _, c := range s.Changes {
		if c.Rushed {
			rushed = append(rushed, c.sign()+" "+c.whyRushed(moveTime))
		}
	}
	return strings.Join(rushed, "; ")
}

// table writes rows in aligned columns, two spaces apart; the first row heads
// the columns.
func (t *text) table(lead string, rows [][]string) {
	var widths []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], plain.Columns(t.spell(cell)))
		}
	}
	for _, row := range rows {
		var b strings.Builder
		b.WriteString(lead)
		for i, cell := range row {
			b.WriteString(plain.Pad(t.spell(cell), widths[i]+2))
		}
		t.b.WriteString(strings.TrimRight(b.String(), " "))
		t.b.WriteByte('\n')
	}
}

func (t *text) respelt(p *Part, when *timeline) {
	if len(p.Respelt) == 0 {
		return
	}
	t.heading("  " + sentenceCase(p.respeltCount()) + " (played on the neighbouring string, at the same pitch)")
	rows := [][]string{{"measure", when.unit(), "staff", "written", "played"}}
	for _, r := range p.Respelt {
		rows = append(rows, []string{r.label(), when.count(r.Place, 1), fmt.Sprint(r.Staff), r.Written, r.Played})
	}
	t.table("  ", rows)
}

func (t *text) findings(p *Part, when *timeline) {
	if len(p.Findings) == 0 {
		return
	}
	t.heading("  Findings")
	for _, f := range fold(p.Findings) {
		for _, x := range f.shown {
			t.finding(x, when)
		}
		if len(f.folded) > 0 {
			t.wrapped("           ", fmt.Sprintf("and %s more of this kind (%s) in %s", grouped(len(f.folded)), f.shown[0].Kind, measureRange(f.folded)))
		}
	}
}

func (t *text) finding(f passFinding, when *timeline) {
	colour := colourNone
	switch f.Severity {
	case SeverityError:
		colour = colourRed
	case SeverityWarning:
		colour = colourYellow
	}
	t.wrappedIn("  "+plain.Pad(string(f.Severity), len(SeverityWarning))+"  ", colour, when.place(f.Place, f.passes...)+": "+f.Text+f.elsewhere())
	if f.Remedy != "" {
		t.wrapped("           ", "Remedy: "+f.Remedy)
	}
}

// choices compares the ways of respelling; one alone is no choice.
func (t *text) choices(p *Part) {
	if len(p.Choices) < 2 {
		return
	}
	t.heading("  What each way of respelling would cost")
	rows := [][]string{{"respell", "unplayable", "held", "rushed", "respelt", "switches", "changes", ""}}
	for _, c := range p.Choices {
		taken := ""
		if c.Respell == p.Options.Respell {
			taken = "taken"
		}
		rows = append(rows, []string{c.Respell, grouped(c.Cost.Unsounded), grouped(c.Cost.Held), grouped(c.Cost.Rushed), grouped(c.Cost.Respelt),
			grouped(c.Cost.Switches), grouped(c.Cost.Changes), taken})
	}
	t.table("  ", rows)
	t.wrapped("  ", "Unplayable: notes that no string can sound. Held: changes under a note still held. Rushed: changes that the foot has no time for. Switches: how often a name, such as C♭, goes to another string within three measures.")
}

// curve shows what the next change saved would cost.
func (t *text) curve(p *Part) {
	if len(p.Curve) == 0 {
		return
	}
	t.heading("  What fewer changes would cost")
	rows := [][]string{{"change price", "changes", "respelt", "switches", ""}}
	for _, c := range p.Curve {
		proved := "not proved"
		if c.Proved {
			proved = ""
		}
		rows = append(rows, []string{grouped(c.ChangePrice), grouped(c.Changes), grouped(c.Respelt), grouped(c.Switches), proved})
	}
	t.table("  ", rows)
	t.wrapped("  ", curveWords)
}

func (t *text) readingWarnings(warnings []Warning) {
	if len(warnings) == 0 {
		return
	}
	t.heading(sentenceCase(count(len(warnings), "warning")) + " about reading the file")
	const most = 20
	for _, w := range warnings[:min(most, len(warnings))] {
		t.wrapped("  ", w.sentence())
	}
	if more := len(warnings) - most; more > 0 {
		t.line(fmt.Sprintf("  and %s more", grouped(more)))
	}
}

// sentence writes the warning behind what is known of its place.
func (w Warning) sentence() string {
	var where []string
	if w.Line > 0 {
		where = append(where, fmt.Sprintf("line %d", w.Line))
	}
	if w.Part != "" {
		where = append(where, "part "+w.Part)
	}
	if w.Index >= 0 && (w.Measure != "" || w.Index > 0) {
		where = append(where, "m. "+Place{Measure: w.Measure, Index: w.Index}.label())
	}
	if len(where) == 0 {
		return w.Text
	}
	return strings.Join(where, ", ") + ": " + w.Text
}

func sentenceCase(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
