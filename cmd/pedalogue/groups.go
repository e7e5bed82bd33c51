package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/store"
)

// The headings of the help. Options under groupResults and groupMany do not
// change what is written of one score.
const (
	groupResults  = "results"
	groupPlan     = "plan"
	groupMarks    = "marks"
	groupFindings = "findings"
	groupReading  = "reading"
	groupMany     = "many scores"
)

// groupKey annotates a flag with its heading.
const groupKey = "group"

// inGroup puts the flags that add defines under a heading of the help.
func inGroup(f *pflag.FlagSet, title string, add func()) {
	before := map[string]bool{}
	f.VisitAll(func(flag *pflag.Flag) { before[flag.Name] = true })
	add()
	f.VisitAll(func(flag *pflag.Flag) {
		if !before[flag.Name] {
			flag.Annotations = map[string][]string{groupKey: {title}}
		}
	})
}

// groupOf returns the heading of a flag.
func groupOf(flag *pflag.Flag) string {
	if titles := flag.Annotations[groupKey]; len(titles) > 0 {
		return titles[0]
	}
	return "options"
}

// printOptions lists the flags under their headings, in the order in which they
// were defined.
func printOptions(w io.Writer, f *pflag.FlagSet) {
	var titles []string
	groups := map[string][]*pflag.Flag{}
	names := 0 // the width of the column of names
	f.VisitAll(func(flag *pflag.Flag) {
		if flag.Hidden {
			return
		}
		title := groupOf(flag)
		if groups[title] == nil {
			titles = append(titles, title)
		}
		groups[title] = append(groups[title], flag)
		name, _ := described(flag)
		names = max(names, utf8.RuneCountInString(name))
	})
	width := cmp.Or(textOptions(w, false).Width, 80)
	for _, title := range titles {
		fmt.Fprintf(w, "\n%s:\n", title)
		for _, flag := range groups[title] {
			name, text := described(flag)
			for _, line := range folded(text, max(width-names-4, 30)) {
				fmt.Fprintf(w, "  %-*s  %s\n", names, name, line)
				name = ""
			}
		}
	}
}

// described returns a flag as it is typed, and what it does.
func described(flag *pflag.Flag) (name, text string) {
	value, text := pflag.UnquoteUsage(flag)
	name = "    --" + flag.Name
	if flag.Shorthand != "" {
		name = "-" + flag.Shorthand + ", --" + flag.Name
	}
	if flag.Value.Type() != "bool" {
		name += " " + strings.ToUpper(value)
	}
	switch flag.DefValue {
	case "", "0", "false":
	default:
		text += " (default " + flag.DefValue + ")"
	}
	return name, text
}

// folded breaks a text into lines of at most width characters, if its words let
// it.
func folded(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	return append(lines, line)
}

// decisive returns a checksum of the version, the command and all its options
// but those under the headings named: what decides on a result beside the score.
func decisive(f *pflag.FlagSet, except ...string) string {
	text := version() + "\n" + f.Name() + "\n"
	f.VisitAll(func(flag *pflag.Flag) {
		if !flag.Hidden && !slices.Contains(except, groupOf(flag)) {
			text += fmt.Sprintf("%s=%q\n", flag.Name, flag.Value.String())
		}
	})
	return store.Checksum([]byte(text))
}
