package look

import (
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// WriteJSON writes all that was read as JSON, on one line or indented.
func (s *Sight) WriteJSON(w io.Writer, oneLine bool) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	if !oneLine {
		e.SetIndent("", "  ")
	}
	return e.Encode(s)
}

// A Fact is something that was read, for people.
type Fact struct {
	Name  string
	Value string   // "" where the items say it
	Items []string // one a line
}

// Told is what was read, but for the warnings.
func (s *Sight) Told() []Fact {
	var facts []Fact
	add := func(name, format string, args ...any) {
		facts = append(facts, Fact{Name: name, Value: fmt.Sprintf(format, args...)})
	}
	if s.Title != "" {
		add("title", "%s", s.Title)
	}
	add("document", "%s, %s", s.Root, s.Encoding.Name)
	if s.Container != nil {
		add("in a zip as", "%s", s.Container.Rootfile)
	}
	add("measures", "%d written, %d played", len(s.Measures), len(s.Order))
	if len(s.Order) != len(s.Measures) {
		add("playing order", "%s", playingOrder(s.Order, s.Measures))
	}
	parts := Fact{Name: "parts"}
	for _, p := range s.Parts {
		what := "      "
		if p.Harp {
			what = "harp  "
		}
		parts.Items = append(parts.Items, fmt.Sprintf("%s%-6s %-24s %s, by %s", what, p.ID, p.Name, plural(p.Staves, "staff", "staves"), p.Clue))
	}
	facts = append(facts, parts)
	for _, p := range s.Players {
		if len(p.Parts) > 1 {
			add("one harp", "%s plays %s", p.Name, strings.Join(p.Parts, " and "))
		}
	}
	if len(s.Players) == 0 {
		add("no harp", "name a part with --part to take it as one")
	}
	return append(facts, s.markFacts()...)
}

// WriteText tells a person what was read.
func (s *Sight) WriteText(w io.Writer) error {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s", s.Score)
	for _, f := range s.Told() {
		line("  %s", strings.TrimRight(fmt.Sprintf("%-14s %s", f.Name, f.Value), " "))
		for _, item := range f.Items {
			line("    %s", item)
		}
	}
	for _, warning := range s.Warnings {
		where := ""
		if warning.Part != "" {
			where += " part " + warning.Part
		}
		if warning.Measure != "" {
			where += " measure " + warning.Measure
		}
		if where != "" {
			where += ":"
		}
		line("  note:%s %s (%s)", where, warning.Text, warning.Code)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// playingOrder writes a playing order in measure numbers; where some number is
// that of several measures, as in a second movement, by their places in the score
// from 1.
func playingOrder(order []int, measures []seenMeasure) string {
	seen := map[string]bool{}
	names, what := make([]string, len(measures)), ""
	for i, m := range measures {
		if names[i] = m.Number; seen[m.Number] {
			what = "by place in the score, as some numbers are those of several measures: "
		}
		seen[m.Number] = true
	}
	if what != "" {
		for i := range names {
			names[i] = strconv.Itoa(i + 1)
		}
	}
	return what + strings.Join(ranges(order, names), ", ")
}

// ranges writes a playing order as stretches of measures.
func ranges(order []int, names []string) []string {
	var list []string
	for i := 0; i < len(order); {
		j := i
		for j+1 < len(order) && order[j+1] == order[j]+1 {
			j++
		}
		text := names[order[i]]
		if j > i {
			text += "–" + names[order[j]]
		}
		list = append(list, text)
		i = j + 1
	}
	return list
}
