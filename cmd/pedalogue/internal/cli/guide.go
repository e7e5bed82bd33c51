package cli

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/near"
	"pedalogue/cmd/pedalogue/internal/runs"
)

// wrong tells what is wrong with a command line; the command and its flags are nil
// where there are none yet. The hint is what the error brings with it, what is near
// to what was typed, or where the options are listed.
func (p *Program) wrong(s runs.Streams, c *Command, f *pflag.FlagSet, err error) error {
	hint := s.Explained(err).Hint
	if hint == "" && f != nil {
		hint = nearValue(f, err)
	}
	switch {
	case hint != "":
	case c == nil:
		hint = p.Name + " --help lists the commands"
	case c.First != nil:
		hint = p.Name + " " + c.Name + " --help-all lists the options"
	default:
		hint = p.Name + " " + c.Name + " --help lists the options"
	}
	s.Complain(&runs.Advice{Err: err, Hint: hint})
	return errSaid
}

// noCommand tells that there is no such command.
func (p *Program) noCommand(s runs.Streams, args []string) error {
	word := args[0]
	var names []string
	for _, c := range p.Commands {
		names = append(names, c.Name)
	}
	hint := ""
	switch close := near.Word(word, append(names, "help", "version", "completion")); {
	case p.Default != "" && (isThere(word) || p.IsInput != nil && p.IsInput(word)):
		hint = fmt.Sprintf("the command comes first: %s %s %s", p.Name, p.Default, strings.Join(quoted(args), " "))
	case close != "":
		hint = fmt.Sprintf("did you mean %s?", close)
	}
	return p.wrong(s, nil, nil, &runs.Advice{Err: fmt.Errorf("there is no command %q", word), Hint: hint})
}

// quoted are arguments as they can be typed.
func quoted(args []string) []string {
	list := slices.Clone(args)
	for i, arg := range list {
		if strings.ContainsAny(arg, " '\"*?[]()&;|<>$`\\") {
			list[i] = "'" + strings.ReplaceAll(arg, "'", `'\''`) + "'"
		}
	}
	return list
}

// flagError tells what is wrong with an option, in words of ours.
func (p *Program) flagError(s runs.Streams, c *Command, f *pflag.FlagSet, err error) error {
	var unknown *pflag.NotExistError
	var missing *pflag.ValueRequiredError
	var invalid *pflag.InvalidValueError
	var syntax *pflag.InvalidSyntaxError
	switch {
	case errors.As(err, &unknown):
		err = p.noOption(c, f, unknown)
	case errors.As(err, &missing):
		name, text := described(missing.GetFlag())
		err = &runs.Advice{Err: fmt.Errorf("--%s needs a value", missing.GetFlag().Name), Hint: strings.TrimSpace(name) + ": " + text}
	case errors.As(err, &invalid):
		flag := invalid.GetFlag()
		why := errors.Unwrap(invalid)
		if flag.Value.Type() == "int" {
			why = errors.New("a whole number is wanted")
		}
		err = fmt.Errorf("--%s: %q: %w", flag.Name, invalid.GetValue(), why)
	case errors.As(err, &syntax):
		err = fmt.Errorf("%q is no option", syntax.GetSpecifiedFlag())
	}
	return p.wrong(s, c, f, err)
}

// noOption is the error for an option that the command does not have.
func (p *Program) noOption(c *Command, f *pflag.FlagSet, e *pflag.NotExistError) error {
	name, letters := e.GetSpecifiedName(), e.GetSpecifiedShortnames()
	if letters != "" {
		return p.noLetter(f, letters, name)
	}
	advice := &runs.Advice{Err: fmt.Errorf("there is no option --%s", name)}
	var owners []string
	for i := range p.Commands {
		other := &p.Commands[i]
		if c != nil && other.Name == c.Name {
			continue
		}
		if p.flagsOf(other).Lookup(name) != nil {
			owners = append(owners, other.Name)
		}
	}
	close := ""
	if f != nil {
		close = near.Word(name, names(f))
	}
	switch instead := p.Instead[name]; {
	case instead != "":
		advice.Hint = "that is " + instead
	case len(owners) > 0 && c == nil:
		if slices.Contains(owners, p.Default) {
			owners[0] = p.Default
		}
		advice.Hint = fmt.Sprintf("options stand behind the command: %s %s --%s", p.Name, owners[0], name)
	case close != "" && (len(owners) == 0 || near.Distance(name, close) < 2):
		advice.Hint = fmt.Sprintf("did you mean --%s?", close)
	case len(owners) > 0:
		advice.Hint = "it is an option of " + listed(owners)
	}
	return advice
}

// dashed looks for long options behind one dash, which would be read as letters, and
// for files whose names would be: the error for the first, with the command that it
// stands behind.
func (p *Program) dashed(args []string) (*Command, *pflag.FlagSet, error) {
	if len(args) == 0 {
		return nil, nil, nil
	}
	c := p.command(args[0])
	if c == nil {
		return nil, nil, nil
	}
	var f *pflag.FlagSet
	for _, arg := range args[1:] {
		if arg == "--" {
			break
		}
		word, one := strings.CutPrefix(arg, "-")
		word, _, _ = strings.Cut(word, "=")
		if !one || len(word) < 2 || strings.HasPrefix(word, "-") {
			continue
		}
		if f == nil {
			f = p.flagsOf(c)
		}
		if isThere(arg) { // though the letter is an option
			return c, f, &runs.Advice{Err: fmt.Errorf("%s is read as options", arg), Hint: fmt.Sprintf("a file of that name is ./%s", arg)}
		}
		if f.Lookup(word) != nil || word == "help" || word == "version" {
			return c, f, &runs.Advice{Err: fmt.Errorf("there is no option -%s", word), Hint: fmt.Sprintf("did you mean --%s?", word)}
		}
	}
	return nil, nil, nil
}

// noLetter is the error for a letter that is no option. letters are all that were
// typed behind one dash.
func (p *Program) noLetter(f *pflag.FlagSet, letters, letter string) error {
	advice := &runs.Advice{Err: fmt.Errorf("there is no option -%s", letter)}
	arg := "-" + letters
	for _, typed := range p.typed { // as a whole: the library has cut letters off
		if strings.HasPrefix(typed, "-") && !strings.HasPrefix(typed, "--") && strings.HasSuffix(typed, letters) {
			arg = typed
		}
	}
	word, _, _ := strings.Cut(strings.TrimPrefix(arg, "-"), "=")
	switch {
	case isThere(arg) || p.IsInput != nil && p.IsInput(arg):
		advice.Hint = fmt.Sprintf("a file of that name is ./%s", arg)
	case f != nil && len(word) > 1 && near.Word(word, names(f)) != "":
		advice.Hint = fmt.Sprintf("did you mean --%s?", near.Word(word, names(f)))
	}
	return advice
}

// names are the long names of all options.
func names(f *pflag.FlagSet) []string {
	var list []string
	f.VisitAll(func(flag *pflag.Flag) { list = append(list, flag.Name) })
	return list
}

// valuesKey annotates a flag with the values that it takes.
const valuesKey = "values"

// Values says which values an option takes: shells complete them, and one that is
// not among them is told with the nearest. An option that takes a list takes several,
// and where it takes WORD=SOMETHING, they are words.
func Values(f *pflag.FlagSet, name string, values ...string) {
	if err := f.SetAnnotation(name, valuesKey, values); err != nil {
		panic(err) // there is no such option, which the first test tells
	}
}

// nearValue is the hint for an error about the value of an option, which the error
// begins with: the nearest value that it takes; "" for none.
func nearValue(f *pflag.FlagSet, err error) string {
	rest, found := strings.CutPrefix(err.Error(), "--")
	if !found {
		return ""
	}
	end := strings.IndexFunc(rest, func(r rune) bool { return r != '-' && (r < 'a' || r > 'z') })
	if end < 0 {
		return ""
	}
	flag := f.Lookup(rest[:end])
	if flag == nil {
		return ""
	}
	values := flag.Annotations[valuesKey]
	for value := range strings.SplitSeq(strings.Trim(flag.Value.String(), "[]"), ",") {
		word, _, _ := strings.Cut(strings.TrimSpace(value), "=")
		if slices.Contains(values, word) {
			continue
		}
		if close := near.Word(word, values); close != "" {
			return fmt.Sprintf("did you mean %s?", close)
		}
	}
	return ""
}

// listed writes words as a list in a sentence.
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

func isThere(name string) bool {
	_, err := os.Lstat(name)
	return err == nil
}
