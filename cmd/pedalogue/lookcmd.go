package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"pedalogue/musicxml"
)

const lookHelp = `usage: pedalogue look [OPTION...] [FILE|FOLDER...]

Says what is read in a score, and changes nothing: the parts and which of them is
the harp, and what tells so; measures and playing order; pedal marks already
there; and everything that was read in one way and could be meant in another.

example: pedalogue look --json concerto.musicxml
`

// runLook is the command look.
func runLook(args []string, s streams) int {
	var options musicxml.Options
	f := newFlags("look", lookHelp)
	asJSON := f.Bool("json", false, "print everything that is read as JSON, one document a line for several files")
	readFlags(f, &options)
	if done, code := parse(f, args, lookHelp, s); done {
		return code
	}
	inputs := collect(f.Args(), "")
	code := exitDone
	for _, in := range inputs {
		seen, err := lookAt(in, options, s)
		if err != nil {
			complain(s.err, err)
			code = exitFailed
			if !*asJSON {
				continue
			}
			seen = &sight{Format: 1, Score: in.path, Error: err.Error()}
		}
		if *asJSON {
			err = writeSight(s.out, seen, len(inputs) > 1)
		} else {
			err = describe(s.out, seen)
		}
		if err != nil {
			complain(s.err, err)
			return exitFailed
		}
	}
	return code
}

func lookAt(in input, options musicxml.Options, s streams) (*sight, error) {
	limit := options.Limits.Bytes
	if limit <= 0 {
		limit = 256 << 20
	}
	read, err := in.read(s.in, limit)
	if err != nil {
		return nil, err
	}
	doc, err := musicxml.Open(in.path, read.data, options.Limits)
	if err != nil {
		return nil, err
	}
	score, err := musicxml.Read(doc, options)
	if err != nil {
		return nil, err
	}
	return newSight(doc, score), nil
}

func writeSight(w io.Writer, seen *sight, oneLine bool) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	if !oneLine {
		e.SetIndent("", "  ")
	}
	return e.Encode(seen)
}

// describe tells a person what was read.
func describe(w io.Writer, s *sight) error {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("%s", s.Score)
	if s.Title != "" {
		line("  title          %s", s.Title)
	}
	line("  document       %s, %s", s.Root, s.Encoding.Name)
	if s.Container != nil {
		line("  in a zip as    %s", s.Container.Rootfile)
	}
	line("  measures       %d written, %d played", len(s.Measures), len(s.Order))
	if len(s.Order) != len(s.Measures) {
		line("  playing order  %s", strings.Join(ranges(s.Order, s.Measures), ", "))
	}
	line("  parts")
	for _, p := range s.Parts {
		what := "      "
		if p.Harp {
			what = "harp  "
		}
		line("    %s%-6s %-24s %s, by %s", what, p.ID, p.Name, plural(p.Staves, "staff", "staves"), p.Clue)
	}
	for _, p := range s.Players {
		if len(p.Parts) > 1 {
			line("  one harp       %s plays %s", p.Name, strings.Join(p.Parts, " and "))
		}
	}
	if len(s.Players) == 0 {
		line("  no harp        name a part with --part to take it as one")
	}
	line("  pedal marks    %s", plural(len(s.Pedals), "setting", "settings"))
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
	_, err := io.WriteString(w, cleanLines(b.String()))
	return err
}

// cleanLines keeps what a file says from steering the terminal.
func cleanLines(text string) string {
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(singleLine(lines[i]), " ")
	}
	return strings.Join(lines, "\n")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// ranges writes a playing order as stretches of measure numbers.
func ranges(order []int, measures []seenMeasure) []string {
	var list []string
	for i := 0; i < len(order); {
		j := i
		for j+1 < len(order) && order[j+1] == order[j]+1 {
			j++
		}
		text := measures[order[i]].Number
		if j > i {
			text += "–" + measures[order[j]].Number
		}
		list = append(list, text)
		i = j + 1
	}
	return list
}
