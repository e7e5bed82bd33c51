package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/near"
	"pedalogue/cmd/pedalogue/internal/runs"
)

// groupConfig is the heading of the options about the file of options. They decide on
// nothing by themselves.
const groupConfig = "options from a file"

// configFlags are the options about the file of options.
func (p *Program) configFlags(f *pflag.FlagSet) (take func() error) {
	f.String("config", "", fmt.Sprintf("take options from this `FILE`, one \"option = value\" a line, below [COMMAND] those of one command "+
		"(default .%[1]s in this folder, else $XDG_CONFIG_HOME/%[1]s/config)", p.Name))
	f.Bool("no-config", false, "take no options from a file")
	f.Lookup("config").DefValue = ""
	return func() error {
		if f.Changed("config") && f.Changed("no-config") {
			return errors.New("--config and --no-config exclude each other")
		}
		return nil
	}
}

// A setOption is a line of a file of options.
type setOption struct {
	place, section string // where it stands; "" for every command
	name, value    string
}

// configured sets the options of a command that a file gives and that were not typed,
// and returns what came from it.
func (p *Program) configured(c *Command, f *pflag.FlagSet) (runs.Given, error) {
	if f.Lookup("config") == nil {
		return runs.Given{}, nil
	}
	if no, _ := f.GetBool("no-config"); no {
		return runs.Given{}, nil
	}
	path, data, err := p.configFile(f)
	if err != nil || path == "" {
		return runs.Given{}, err
	}
	list, err := p.readConfig(path, string(data), f)
	if err != nil {
		return runs.Given{}, err
	}
	typed := map[string]bool{}
	f.Visit(func(flag *pflag.Flag) { typed[flag.Name] = true })
	given := runs.Given{File: path}
	for _, section := range []string{c.Name, ""} { // what is for one command goes before what is for all
		set := map[string]bool{}
		for _, o := range list {
			if o.section != section || typed[o.name] || f.Lookup(o.name) == nil {
				continue
			}
			if err := f.Set(o.name, o.value); err != nil {
				return runs.Given{}, fmt.Errorf("%s: %s: %q: %w", o.place, o.name, o.value, reason(err))
			}
			set[o.name] = true
			given.Options = append(given.Options, o.name+" = "+o.value)
		}
		for name := range set {
			typed[name] = true
		}
	}
	return given, nil
}

// reason is why a value was not taken, without the library's words.
func reason(err error) error {
	var invalid *pflag.InvalidValueError
	if errors.As(err, &invalid) {
		return errors.Unwrap(invalid)
	}
	return err
}

// configFile reads the file of options: that of --config, or the first that is there;
// path is "" for none.
func (p *Program) configFile(f *pflag.FlagSet) (path string, data []byte, err error) {
	if f.Changed("config") {
		path, _ = f.GetString("config")
		if data, err = os.ReadFile(path); err != nil {
			return path, nil, fmt.Errorf("--config: %w", err)
		}
		return path, data, nil
	}
	paths := []string{"." + p.Name}
	if home := os.Getenv("XDG_CONFIG_HOME"); filepath.IsAbs(home) {
		paths = append(paths, filepath.Join(home, p.Name, "config"))
	} else if home, err := os.UserHomeDir(); err == nil {
		paths = append(paths, filepath.Join(home, ".config", p.Name, "config"))
	}
	for _, path := range paths {
		info, err := os.Stat(path)
		if errors.Is(err, fs.ErrNotExist) || err == nil && info.IsDir() {
			continue
		}
		if data, err = os.ReadFile(path); err != nil {
			return path, nil, &runs.Advice{Err: err, Hint: "--no-config does without it"}
		}
		return path, data, nil
	}
	return "", nil, nil
}

// readConfig reads a file of options. What no command has is an error, and so is what
// decides where something is written: no file may do that. f are the flags of the
// command that was typed.
func (p *Program) readConfig(path, text string, f *pflag.FlagSet) ([]setOption, error) {
	var list []setOption
	section := ""
	for i, line := range strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n") {
		o := setOption{place: fmt.Sprintf("%s:%d", path, i+1), section: section}
		line = strings.TrimSpace(line)
		switch {
		case line == "" || line[0] == '#':
			continue
		case line[0] == '[' && line[len(line)-1] == ']':
			section = strings.TrimSpace(line[1 : len(line)-1])
			if p.command(section) == nil {
				return nil, &runs.Advice{Err: fmt.Errorf("%s: there is no command %q", o.place, section), Hint: p.nearCommand(section)}
			}
			continue
		}
		name, value, found := strings.Cut(line, "=")
		if !found {
			return nil, &runs.Advice{Err: fmt.Errorf("%s: %q is neither \"option = value\" nor a [command]", o.place, line), Hint: "what is on is set to true"}
		}
		o.name, o.value = strings.TrimLeft(strings.TrimSpace(name), "-"), unquoted(strings.TrimSpace(value))
		if err := p.mayBeGiven(o, f); err != nil {
			return nil, err
		}
		list = append(list, o)
	}
	return list, nil
}

// mayBeGiven checks the name of an option in a file. typed are the flags of the command
// that was typed, which must not be defined again: they hold what was typed.
func (p *Program) mayBeGiven(o setOption, typed *pflag.FlagSet) error {
	if slices.Contains(p.Writes, o.name) {
		return &runs.Advice{Err: fmt.Errorf("%s: %s is not taken from a file", o.place, o.name), Hint: "what is written where is said on the command line alone"}
	}
	var all []string
	for i := range p.Commands {
		c := &p.Commands[i]
		if o.section != "" && c.Name != o.section {
			continue
		}
		f := typed
		if c.Name != typed.Name() {
			f = p.flagsOf(c)
		}
		if f.Lookup(o.name) != nil && o.name != "config" && o.name != "no-config" {
			return nil
		}
		all = append(all, names(f)...)
	}
	hint := ""
	if word := near.Word(o.name, all); word != "" {
		hint = fmt.Sprintf("did you mean %s?", word)
	}
	return &runs.Advice{Err: fmt.Errorf("%s: there is no option %q", o.place, o.name), Hint: hint}
}

// nearCommand is the hint at a command that was perhaps meant; "" for none.
func (p *Program) nearCommand(word string) string {
	var list []string
	for _, c := range p.Commands {
		list = append(list, c.Name)
	}
	if word := near.Word(word, list); word != "" {
		return fmt.Sprintf("did you mean %s?", word)
	}
	return ""
}

// unquoted takes a pair of quotes off.
func unquoted(value string) string {
	if n := len(value); n >= 2 && (value[0] == '"' || value[0] == '\'') && value[n-1] == value[0] {
		return value[1 : n-1]
	}
	return value
}
