package cli

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/report/plain"
)

// groupKey annotates a flag with its heading.
const groupKey = "group"

// groupOf returns the heading of a flag.
func groupOf(flag *pflag.Flag) string {
	if titles := flag.Annotations[groupKey]; len(titles) > 0 {
		return titles[0]
	}
	return "options"
}

// usage is the help of the program.
func (p *Program) usage(w io.Writer) {
	fmt.Fprintf(w, "%s\n\nusage: %s COMMAND [OPTION...] [FILE...]\n\ncommands:\n", p.About, p.Name)
	width := 6
	for _, c := range p.Commands {
		width = max(width, len(c.Name))
	}
	for _, c := range p.Commands {
		fmt.Fprintf(w, "  %-*s %s\n", width, c.Name, c.Short)
	}
	fmt.Fprintf(w, "\n%[1]s COMMAND --help tells more, %[1]s COMMAND --help-all everything.\n"+
		"%[1]s --version prints the version, %[1]s completion SHELL what lets a shell (bash, zsh, fish)\n"+
		"complete names, %[1]s man [COMMAND] a manual page.\n", p.Name)
}

// help is the help of a command, with all its options or those that matter first.
func (c *Command) help(w io.Writer, p *Program, f *pflag.FlagSet, all bool) {
	fmt.Fprint(w, c.Help)
	var titles []string
	groups := map[string][]*pflag.Flag{}
	names, left := 0, 0 // the width of the column of names
	f.VisitAll(func(flag *pflag.Flag) {
		if flag.Hidden {
			return
		}
		title := groupOf(flag)
		if !all && c.First != nil {
			title = "options that matter first"
			if !slices.Contains(c.First, flag.Name) {
				left++
				return
			}
		}
		if groups[title] == nil {
			titles = append(titles, title)
		}
		groups[title] = append(groups[title], flag)
		name, _ := described(flag)
		names = max(names, utf8.RuneCountInString(name))
	})
	if !all {
		for _, list := range groups {
			slices.SortStableFunc(list, func(a, b *pflag.Flag) int {
				return slices.Index(c.First, a.Name) - slices.Index(c.First, b.Name)
			})
		}
	}
	columns, _ := runs.Layout(w)
	width := cmp.Or(columns, 80)
	for _, title := range titles {
		fmt.Fprintf(w, "\n%s:\n", title)
		for _, flag := range groups[title] {
			name, text := described(flag)
			for _, line := range plain.Wrap(text, max(width-names-4, 30)) {
				fmt.Fprintf(w, "  %-*s  %s\n", names, name, line)
				name = ""
			}
		}
	}
	if left > 0 {
		fmt.Fprintf(w, "\n%s %s --help-all lists %d more.\n", p.Name, c.Name, left)
	}
}

// described returns a flag as it is typed, and what it does.
func described(flag *pflag.Flag) (name, text string) {
	value, text := pflag.UnquoteUsage(flag)
	name = "    --" + flag.Name
	if flag.Shorthand != "" {
		name = "-" + flag.Shorthand + ", --" + flag.Name
	}
	switch value = strings.ToUpper(value); {
	case flag.Value.Type() == "bool":
	case flag.NoOptDefVal != "": // a value apart would be a file
		name += "[=" + value + "]"
	default:
		name += " " + value
	}
	switch flag.DefValue {
	case "", "0", "false":
	default:
		text += " (default " + flag.DefValue + ")"
	}
	return name, text
}
