package textdiff

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"pedalogue/musicxml"
	"pedalogue/report/plain"
)

const (
	diffContext = 3   // lines shown before and after a change
	diffWidth   = 160 // characters of a line that are shown
	cutMark     = "…"
)

// Write shows the edits of a document as a unified diff of its decoded
// text. It is made from the edits alone: nothing is compared. It is there to be
// read: line ends are shown as "\n" whatever they are, what could steer a
// terminal as U+FFFD, and what is longer than diffWidth is cut, with "…" at the cut. In a line
// that is too long to be shown whole, as in a score written on one line, what
// stays of it is shown in pieces between the changes.
//
// The edits have to be good ones, as for [musicxml.Document.Splice].
func Write(w io.Writer, oldName, newName string, doc *musicxml.Document, edits []musicxml.Edit) error {
	if len(edits) == 0 {
		return nil
	}
	d := newDiffer(doc.Text)
	out := bufio.NewWriter(w)
	fmt.Fprintf(out, "--- %s\n+++ %s\n", plain.Line(oldName), plain.Line(newName))
	d.write(out, d.changes(edits))
	return out.Flush()
}

type differ struct {
	text   []byte
	starts []int // offset of each line; a last one for the end of the text
}

// A change replaces whole lines.
type change struct {
	line    int      // index of the first line, from 0
	removed int      // number of lines
	rows    []string // what is shown, each with its sign
	added   int      // lines in their place
}

func newDiffer(text []byte) *differ {
	d := &differ{text: text, starts: []int{0}}
	for i, b := range text {
		if b == '\n' || b == '\r' && (i+1 == len(text) || text[i+1] != '\n') {
			d.starts = append(d.starts, i+1)
		}
	}
	if d.starts[len(d.starts)-1] != len(text) {
		d.starts = append(d.starts, len(text))
	}
	return d
}

func (d *differ) lines() int { return len(d.starts) - 1 }

// lineOf returns the index of the line that holds the offset. The end of the
// text belongs to the last line if that has no line end, else to one behind it.
func (d *differ) lineOf(offset int) int {
	line := max(0, sort.SearchInts(d.starts, offset+1)-1)
	if line == d.lines() && line > 0 && !bytes.HasSuffix(d.text, []byte("\n")) && !bytes.HasSuffix(d.text, []byte("\r")) {
		line--
	}
	return line
}

// changes groups the edits that touch the same lines. One that takes a line end
// away touches the next line too.
func (d *differ) changes(edits []musicxml.Edit) []change {
	edits = slices.Clone(edits)
	slices.SortStableFunc(edits, func(a, b musicxml.Edit) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.End, b.End))
	})
	var all []change
	for len(edits) > 0 {
		first, last, n := d.lineOf(edits[0].Start), d.lineOf(edits[0].End), 1
		for n < len(edits) && d.lineOf(edits[n].Start) <= last {
			last = max(last, d.lineOf(edits[n].End))
			n++
		}
		if c := d.change(first, min(last+1, d.lines()), edits[:n]); len(c.rows) > 0 {
			all = append(all, c)
		}
		edits = edits[n:]
	}
	return all
}

// change makes the edits of the lines [from, to) into one change.
func (d *differ) change(from, to int, edits []musicxml.Edit) change {
	for line := from; line < to; line++ {
		if d.starts[line+1]-d.starts[line] > diffWidth && utf8.RuneCount(d.text[d.starts[line]:d.starts[line+1]]) > diffWidth {
			return d.pieces(from, to, edits)
		}
	}
	var edited strings.Builder
	at := d.starts[from]
	for _, e := range edits {
		edited.Write(d.text[at:e.Start])
		edited.WriteString(e.New)
		at = e.End
	}
	edited.Write(d.text[at:d.starts[to]])
	before, after := split(string(d.text[d.starts[from]:d.starts[to]])), split(edited.String())
	for len(before) > 0 && len(after) > 0 && before[0] == after[0] {
		before, after = before[1:], after[1:]
		from++
	}
	for len(before) > 0 && len(after) > 0 && before[len(before)-1] == after[len(after)-1] {
		before, after = before[:len(before)-1], after[:len(after)-1]
	}
	c := change{line: from, removed: len(before), added: len(after)}
	for _, line := range before {
		c.rows = append(c.rows, "-"+plain.Tabbed(line))
	}
	for _, line := range after {
		c.rows = append(c.rows, "+"+plain.Tabbed(line))
	}
	return c
}

// pieces shows edits in lines that are too long: the text that stays in pieces,
// and between them what goes and what comes.
func (d *differ) pieces(from, to int, edits []musicxml.Edit) change {
	c := change{line: from, removed: to - from}
	added := to - from
	show := func(sign, text string) {
		for _, line := range split(text) {
			if line != "" {
				c.rows = append(c.rows, sign+clip(plain.Tabbed(line)))
			}
		}
	}
	at := d.starts[from]
	for _, e := range edits {
		show(" ", string(d.text[at:e.Start]))
		gone := string(d.text[e.Start:e.End])
		show("-", gone)
		for _, line := range split(e.New) {
			if line != "" {
				c.rows = append(c.rows, "+"+plain.Tabbed(line))
			}
		}
		added += strings.Count(e.New, "\n") - max(0, len(split(gone+"."))-1)
		at = e.End
	}
	show(" ", string(d.text[at:d.starts[to]]))
	c.added = added
	return c
}

// write prints the changes in hunks; changes that lie close together share one.
func (d *differ) write(out io.Writer, changes []change) {
	shift := 0 // lines added before the hunk
	for len(changes) > 0 {
		n := 1
		for n < len(changes) && changes[n].line-(changes[n-1].line+changes[n-1].removed) <= 2*diffContext {
			n++
		}
		shift += d.writeHunk(out, changes[:n], shift)
		changes = changes[n:]
	}
}

// writeHunk returns by how many lines the text has grown.
func (d *differ) writeHunk(out io.Writer, changes []change, shift int) int {
	last := changes[len(changes)-1]
	from := max(0, changes[0].line-diffContext)
	to := min(d.lines(), last.line+last.removed+diffContext)
	grown := 0
	for _, c := range changes {
		grown += c.added - c.removed
	}
	fmt.Fprintf(out, "@@ -%s +%s @@\n", lineRange(from, to-from), lineRange(from+shift, to-from+grown))
	at := from
	for _, c := range changes {
		d.writeContext(out, at, c.line)
		for _, row := range c.rows {
			fmt.Fprintln(out, row)
		}
		at = c.line + c.removed
	}
	d.writeContext(out, at, to)
	return grown
}

func (d *differ) writeContext(out io.Writer, from, to int) {
	for line := from; line < to; line++ {
		text := strings.TrimRight(string(d.text[d.starts[line]:d.starts[line+1]]), "\r\n")
		fmt.Fprintln(out, " "+clip(plain.Tabbed(text)))
	}
}

// lineRange prints "first,count"; the first line is 1, and an empty range names
// the line before it.
func lineRange(index, count int) string {
	if count == 0 {
		return fmt.Sprintf("%d,0", index)
	}
	return fmt.Sprintf("%d,%d", index+1, count)
}

// split cuts a text into its lines, without their ends.
func split(text string) []string {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	text = strings.ReplaceAll(text, "\r", "\n")
	if text == "" {
		return nil
	}
	return strings.Split(strings.TrimSuffix(text, "\n"), "\n")
}

// clip cuts the middle out of a line that is too long.
func clip(line string) string {
	n := utf8.RuneCountInString(line)
	if n <= diffWidth {
		return line
	}
	const half = diffWidth / 2
	head, tail := 0, len(line)
	for range half {
		_, size := utf8.DecodeRuneInString(line[head:])
		head += size
		_, size = utf8.DecodeLastRuneInString(line[:tail])
		tail -= size
	}
	return line[:head] + " " + cutMark + " " + line[tail:]
}
