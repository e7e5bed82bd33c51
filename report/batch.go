package report

import (
	"cmp"
	"html/template"
	"io"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"pedalogue/report/plain"
)

// A Batch is the scores of one run, in the order in which they are to be shown.
type Batch []Entry

// An Entry is one score of a batch: what is counted of it, and no more, so that a
// hundred thousand of them fit into memory.
type Entry struct {
	Path   string  `json:"score"`
	Title  string  `json:"title,omitempty"`  // "" if the score has none
	Output string  `json:"output,omitempty"` // "" if nothing was written
	Error  string  `json:"error,omitempty"`  // why it was not read; "" if it was
	Made   string  `json:"-"`                // by which program, "pedalogue v1.2.0"
	Page   string  `json:"-"`                // slash-separated path of its HTML page, relative to the index; "" for none
	Sheets *Sheets `json:"sheets,omitempty"` // nil where no page of all sheets is asked for
	Worst  *Worst  `json:"worst,omitempty"`  // its most important error or warning; nil if it has none
	Lies   *Lies   `json:"lies,omitempty"`   // how much of all its harps' music lies on the harp; nil if nobody looked
	Tally
}

// A Worst is the finding that a score is known by.
type Worst struct {
	Kind     string   `json:"kind"`
	Severity Severity `json:"severity"`
	Measure  string   `json:"measure"` // as a reader finds it
	Text     string   `json:"text"`
}

// mostText is how long the text of a finding is kept, in characters.
const mostText = 200

// worstOf is the most important error or warning in a score.
func worstOf(s *Score) *Worst {
	var worst *Finding
	for i := range s.Parts {
		for j := range s.Parts[i].Findings {
			f := &s.Parts[i].Findings[j]
			if f.Severity.rank() < SeverityNote.rank() && (worst == nil ||
				cmp.Or(cmp.Compare(f.Severity.rank(), worst.Severity.rank()), cmp.Compare(f.Rank, worst.Rank)) < 0) {
				worst = f
			}
		}
	}
	if worst == nil {
		return nil
	}
	text := []rune(worst.Text)
	if len(text) > mostText {
		text = append(text[:mostText-1], '…')
	}
	return &Worst{strings.Clone(worst.Kind), worst.Severity, strings.Clone(worst.label()), string(text)}
}

// sentence writes the finding behind its measure.
func (w *Worst) sentence() string {
	if w == nil {
		return ""
	}
	return "m. " + w.Measure + ": " + w.Text
}

// liesOf is the verdict on all harps of a score, each counting by its moments.
func liesOf(s *Score) *Lies {
	var sum Lies
	moments := 0
	for i := range s.Parts {
		p := &s.Parts[i]
		if p.Lies == nil {
			return nil
		}
		moments += p.Moments
		sum.add(p.Lies, Share(p.Moments))
	}
	if len(s.Parts) == 1 {
		only := *s.Parts[0].Lies
		return &only
	}
	if moments == 0 {
		return nil
	}
	var mean Lies
	mean.add(&sum, 1/Share(moments))
	return &mean
}

// EntryOf counts a score. It holds nothing of the score: texts are copied, since
// they may be parts of a whole document.
func EntryOf(s *Score, page string) Entry {
	return Entry{
		Path: strings.Clone(s.Path), Title: strings.Clone(s.Title), Output: strings.Clone(s.Output), Error: strings.Clone(s.Error),
		Made: strings.TrimSpace(s.Tool + " " + s.Version), Page: page, Tally: tallyOf(s),
		Worst: worstOf(s), Lies: liesOf(s),
	}
}

// Grave tells whether something cannot be played as planned.
func (e Entry) Grave() bool { return e.Errors > 0 }

// SortByTrouble puts the scores that need most attention first: those that were
// not read; then by findings that are errors, notes without a string, changes
// under held notes, rushed changes, warnings, warnings about reading, and plans
// without a proof; then by pedal changes. Equals keep their order.
func (b Batch) SortByTrouble() {
	type troubled struct {
		Entry
		worth []int
	}
	all := make([]troubled, len(b))
	for i, e := range b {
		all[i] = troubled{e, e.trouble()}
	}
	slices.SortStableFunc(all, func(x, y troubled) int { return slices.Compare(y.worth, x.worth) })
	for i, t := range all {
		b[i] = t.Entry
	}
}

// trouble is what SortByTrouble compares, more being worse.
func (e Entry) trouble() []int {
	t := e.Tally
	return []int{truth(e.Error != ""), t.Errors, t.Cost.Unsounded, t.Cost.Held, t.Cost.Rushed, t.Warnings, t.Reading, truth(!t.Proved), t.Cost.Changes}
}

func truth(b bool) int {
	if b {
		return 1
	}
	return 0
}

// troublesome reports whether a score needs a second look.
func (e Entry) troublesome() bool {
	t := e.Tally
	return e.Error != "" || t.grave() || t.Warnings > 0 || t.Cost.Held > 0 || t.Cost.Rushed > 0 || t.Reading > 0 || !t.Proved
}

// totals counts the scores of a batch.
type totals struct {
	scores, unread, grave int
	cost                  Cost
}

func (b Batch) totals() totals {
	n := totals{scores: len(b)}
	for _, e := range b {
		n.unread += truth(e.Error != "")
		n.grave += truth(e.grave())
		n.cost = n.cost.plus(e.Cost)
	}
	return n
}

func (n totals) sentence() string {
	words := []string{count(n.scores, "score"), count(n.cost.Changes, "change")}
	if n.unread == 0 && n.grave == 0 {
		return joined(words, "and") + "; every note can be played as planned."
	}
	s := joined(words, "and") + "; " + strconv.Itoa(n.grave) + " with places that cannot be played as planned"
	if n.unread > 0 {
		s += ", " + strconv.Itoa(n.unread) + " not read"
	}
	return s + "."
}

// WriteBatchText writes a table with a line for each score, with its worst finding below,
// and a sentence on all of them. Lies tells how much of it lies on the harp as it stands. The path stands last in its line and is never shortened. The error is
// that of w.
func WriteBatchText(w io.Writer, b Batch, o TextOptions) error {
	t := newText(o)
	heads := []string{"changes", "respelt", "rushed", "errors", "warnings", "reading", "proved", "lies"}
	t.row(heads, heads, "score")
	for _, e := range b {
		t.row(heads, e.cells(), e.Path)
		if e.Worst != nil {
			t.wrapped("    ", e.Worst.sentence())
		}
	}
	t.blank()
	t.wrapped("", b.totals().sentence())
	for _, e := range b {
		if e.Error != "" {
			t.wrapped("  ", "not read: "+e.Error)
		}
	}
	return t.writeTo(w)
}

const notRead = "not read"

// cells are the numbers of a score under their heads.
func (e Entry) cells() []string {
	if e.Error != "" {
		return []string{notRead, "", "", "", "", "", "", ""}
	}
	t := e.Tally
	var cells []string
	for _, n := range []int{t.Cost.Changes, t.Cost.Respelt, t.Cost.Rushed, t.Errors, t.Warnings, t.Reading} {
		cells = append(cells, grouped(n))
	}
	return append(cells, yes(t.Proved), e.lies())
}

// lies is what share of the score lies on the harp as it stands; "" if nobody looked.
func (e Entry) lies() string {
	if e.Lies == nil {
		return ""
	}
	return e.Lies.AsItStands.percent()
}

// row writes numbers flush right under their heads, and a text behind them.
func (t *text) row(heads, cells []string, last string) {
	var line strings.Builder
	for i, head := range heads {
		width := plain.Columns(head)
		if i == 0 {
			width = max(width, plain.Columns(notRead))
		}
		line.WriteString(strings.Repeat(" ", max(0, width-plain.Columns(cells[i]))) + cells[i] + "  ")
	}
	t.line(line.String() + last)
}

// WriteIndexHTML writes a page with a line for each score, which links to the
// score's own page, if it has one. Like them it needs nothing else.
func WriteIndexHTML(w io.Writer, b Batch) error {
	n := b.totals()
	p := indexPage{Style: style(), Verdict: sentenceCase(n.sentence()), Grave: n.unread+n.grave > 0}
	for _, e := range b {
		r := indexRow{
			Path: plain.Line(e.Path), Title: strings.TrimSpace(plain.Line(e.Title)), Error: plain.Line(e.Error),
			Calm: !e.troublesome(), Page: link(e.Page),
		}
		t := e.Tally
		for _, c := range []struct {
			name  string
			n     int
			grave bool
		}{
			{"changes", t.Cost.Changes, false}, {"respelt", t.Cost.Respelt, false}, {"rushed", t.Cost.Rushed, false},
			{"errors", t.Errors, true}, {"warnings", t.Warnings, false}, {"reading warnings", t.Reading, false},
		} {
			r.Counts = append(r.Counts, indexCount{c.name, grouped(c.n), c.grave && c.n > 0})
		}
		r.Proved, r.Lies, r.Worst = yes(t.Proved), e.lies(), plain.Line(e.Worst.sentence())
		p.Rows = append(p.Rows, r)
		p.Made = cmp.Or(p.Made, plain.Line(e.Made))
	}
	return render(w, "index.html", &p)
}

// link makes a path relative to the page, whatever characters it has.
func link(page string) template.URL {
	if page == "" {
		return ""
	}
	u := url.URL{Path: "./" + strings.TrimPrefix(page, "./")}
	return template.URL(u.EscapedPath())
}

type indexPage struct {
	Style   template.CSS
	Made    string
	Verdict string
	Grave   bool
	Rows    []indexRow
}

type indexRow struct {
	Path, Title, Error, Proved string
	Lies, Worst                string
	Page                       template.URL
	Calm                       bool
	Counts                     []indexCount
}

type indexCount struct {
	Name, Value string
	Grave       bool
}
