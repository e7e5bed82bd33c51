package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
)

// A Program is all that can be typed.
type Program struct {
	Name     string
	About    string // what it does, in a sentence
	Version  string
	Build    func() string // what tells one build from another, where Version does not; nil for Version
	Commands []Command     // in the order in which a newcomer meets them

	// Default is the command that an argument is hinted at which is no command but
	// IsInput; "" for none.
	Default string
	IsInput func(arg string) bool
	// Inputs are the extensions of files that commands take, "mxl", for completion.
	Inputs []string
	// Instead says what to type in place of options that other programs have, by
	// their names: "dry-run": "--diff".
	Instead map[string]string
	// Writes are the options that decide on what is written where: a file of options may
	// not set them.
	Writes []string

	typed []string // all arguments
}

// A Command is one of the words that may follow the program's name.
type Command struct {
	Name   string
	Short  string   // one line, for the list of commands
	Help   string   // what --help says before it lists the options
	First  []string // the options that --help lists; nil for all of them
	Groups []Group  // the options, under headings
	Run    func(c *Call) int
}

// A Group is a heading in the help and the options below it.
type Group struct {
	Title   string
	Options []Options
}

// Options add some options to the flags of a command. The function that they
// return checks them, and takes them over, when they have been read; its error
// begins with the option that is wrong. It is nil where there is nothing to check.
type Options func(f *pflag.FlagSet) (take func() error)

// A Call is a command as it was typed.
type Call struct {
	runs.Streams
	Args []string // what is no option

	program *Program
	flags   *pflag.FlagSet
}

// errSaid is an error that has been told.
var errSaid = errors.New("wrong usage")

// Run does what the arguments say and returns the exit code.
func (p Program) Run(args []string, s runs.Streams) int {
	code := runs.ExitDone
	p.typed = args
	if c, f, err := p.dashed(args); err != nil {
		p.wrong(s, c, f, err)
		return runs.ExitUsage
	}
	root := p.root(s, &code)
	root.SetArgs(append([]string{}, args...)) // nil would stand for those of the process
	root.SetOut(s.Out)
	root.SetErr(s.Err)
	root.SetIn(s.In)
	if err := root.Execute(); err != nil {
		if !errors.Is(err, errSaid) {
			s.Complain(err)
		}
		return runs.ExitUsage
	}
	return code
}

// root makes the tree of commands. What a command returns goes to code.
func (p *Program) root(s runs.Streams, code *int) *cobra.Command {
	cobra.EnableCommandSorting = false
	root := &cobra.Command{
		Use: p.Name, Short: p.About, Version: p.Version,
		SilenceErrors: true, SilenceUsage: true,
		Args: cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return p.noCommand(s, args)
			}
			p.usage(s.Err)
			return errSaid
		},
	}
	root.SetVersionTemplate(p.Name + " {{.Version}}\n")
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return p.flagError(s, nil, nil, err) })
	root.SetHelpFunc(func(c *cobra.Command, _ []string) {
		if c == root {
			p.usage(s.Out)
			return
		}
		fmt.Fprintf(s.Out, "%s\n\n%s", c.Long, c.UsageString()) // those of the library
	})
	for i := range p.Commands {
		root.AddCommand(p.child(&p.Commands[i], s, code))
	}
	root.AddCommand(&cobra.Command{Use: "man", Hidden: true, Args: cobra.ArbitraryArgs, RunE: func(_ *cobra.Command, args []string) error {
		if len(args) > 0 && p.command(args[0]) == nil {
			return p.noCommand(s, args)
		}
		return p.man(s.Out, args)
	}})
	root.AddCommand(&cobra.Command{Use: "version", Hidden: true, Run: func(*cobra.Command, []string) {
		fmt.Fprintln(s.Out, p.Name, p.Version)
	}})
	root.SetHelpCommand(&cobra.Command{Use: "help", Hidden: true, Args: cobra.ArbitraryArgs, RunE: func(_ *cobra.Command, args []string) error {
		if len(args) == 0 {
			p.usage(s.Out)
			return nil
		}
		found, rest, err := root.Find(args)
		if err != nil || len(rest) > 0 || found == root {
			return p.noCommand(s, args)
		}
		return found.Help()
	}})
	return root
}

// child makes the library's form of a command.
func (p *Program) child(c *Command, s runs.Streams, code *int) *cobra.Command {
	made := &cobra.Command{Use: c.Name, Short: c.Short, Args: cobra.ArbitraryArgs}
	f := made.Flags()
	f.SortFlags = false
	f.BoolP("help", "h", false, "print this help")
	all := f.Bool("help-all", false, "list all options")
	version := f.BoolP("version", "v", false, "print the version")
	for _, name := range []string{"help", "help-all", "version"} {
		f.Lookup(name).Hidden = true
	}
	var takes []func() error
	for _, g := range p.groupsOf(c) {
		takes = append(takes, g.define(f)...)
	}
	if len(p.groupsOf(c)) > 0 {
		takes = append(takes, Group{Title: groupConfig, Options: []Options{p.configFlags}}.define(f)...)
	}
	p.complete(made)
	made.SetHelpFunc(func(*cobra.Command, []string) { c.help(s.Out, p, f, false) })
	made.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return p.flagError(s, c, f, err) })
	made.RunE = func(_ *cobra.Command, args []string) error {
		switch {
		case *version:
			fmt.Fprintln(s.Out, p.Name, p.Version)
			return nil
		case *all, len(args) == 1 && args[0] == "help" && !isThere("help"):
			c.help(s.Out, p, f, *all)
			return nil
		}
		given, err := p.configured(c, f)
		if err != nil {
			return p.wrong(s, c, f, err)
		}
		s.Given = given
		for _, take := range takes {
			if err := take(); err != nil {
				return p.wrong(s, c, f, err)
			}
		}
		*code = c.Run(&Call{Streams: s, Args: args, program: p, flags: f})
		return nil
	}
	return made
}

// groupsOf are the options of a command if it is among what was typed, or if a shell
// asks; the others are not made, since that takes time.
func (p *Program) groupsOf(c *Command) []Group {
	if slices.ContainsFunc(p.typed, func(arg string) bool { return arg == c.Name || strings.HasPrefix(arg, "__complete") }) {
		return c.Groups
	}
	return nil
}

// complete says what shells may complete behind a command and its options.
func (p *Program) complete(c *cobra.Command) {
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return p.Inputs, cobra.ShellCompDirectiveFilterFileExt
	}
	c.Flags().VisitAll(func(flag *pflag.Flag) {
		values := flag.Annotations[valuesKey]
		word, _ := pflag.UnquoteUsage(flag)
		switch {
		case len(values) > 0:
			c.RegisterFlagCompletionFunc(flag.Name, cobra.FixedCompletions(values, cobra.ShellCompDirectiveNoFileComp))
		case word == "FOLDER":
			c.MarkFlagDirname(flag.Name)
		}
	})
}

// flagsOf makes the flags of a command, only to look at them.
func (p *Program) flagsOf(c *Command) *pflag.FlagSet {
	f := pflag.NewFlagSet(c.Name, pflag.ContinueOnError)
	for _, g := range c.Groups {
		g.define(f)
	}
	if len(c.Groups) > 0 {
		Group{Title: groupConfig, Options: []Options{p.configFlags}}.define(f)
	}
	return f
}

// define adds the options of a group to the flags of its command.
func (g Group) define(f *pflag.FlagSet) (takes []func() error) {
	before := map[string]bool{}
	f.VisitAll(func(flag *pflag.Flag) { before[flag.Name] = true })
	for _, add := range g.Options {
		if take := add(f); take != nil {
			takes = append(takes, take)
		}
	}
	f.VisitAll(func(flag *pflag.Flag) {
		if !before[flag.Name] {
			f.SetAnnotation(flag.Name, groupKey, []string{g.Title})
		}
	})
	return takes
}

// Usage tells what is wrong with the arguments, and returns the exit code.
func (c *Call) Usage(err error) int {
	c.program.wrong(c.Streams, c.program.command(c.flags.Name()), c.flags, err)
	return runs.ExitUsage
}

// Fail tells an error and returns the exit code.
func (c *Call) Fail(err error) int {
	c.Complain(err)
	return runs.ExitFailed
}

// Decisive returns a function for a checksum of the build, the command and all its
// options but those under the headings named: what decides on a result beside the
// score. It is reckoned when it is asked for first.
func (c *Call) Decisive(except ...string) func() string {
	return sync.OnceValue(func() string {
		build := c.program.Version
		if c.program.Build != nil {
			build = c.program.Build()
		}
		text := build + "\n" + c.program.Name + " " + c.flags.Name() + "\n"
		c.flags.VisitAll(func(flag *pflag.Flag) {
			if !flag.Hidden && groupOf(flag) != groupConfig && !slices.Contains(except, groupOf(flag)) {
				text += fmt.Sprintf("%s=%q\n", flag.Name, flag.Value.String())
			}
		})
		return store.Checksum([]byte(text))
	})
}

// command finds a command by its name; nil if there is none.
func (p *Program) command(name string) *Command {
	for i := range p.Commands {
		if p.Commands[i].Name == name {
			return &p.Commands[i]
		}
	}
	return nil
}
