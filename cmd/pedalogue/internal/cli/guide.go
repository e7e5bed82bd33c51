package cli

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/runs"
)

// wrong tells what is wrong with a command line; the command is nil where there
// is none yet.
func (p *Program) wrong(s runs.Streams, c *Command, err error) error {
	s.Complain(err)
	if s.Explain(err).Hint != "" {
		return errSaid
	}
	if c == nil {
		fmt.Fprintf(s.Err, "hint: %s --help lists the commands\n", p.Name)
	} else {
		fmt.Fprintf(s.Err, "hint: %s %s --help lists the options\n", p.Name, c.Name)
	}
	return errSaid
}

// noCommand tells that there is no such command.
func (p *Program) noCommand(s runs.Streams, word string) error {
	return p.wrong(s, nil, fmt.Errorf("there is no command %q", word))
}

// flagError tells what is wrong with an option.
func (p *Program) flagError(s runs.Streams, c *Command, err error) error {
	return p.wrong(s, c, err)
}

func (p *Program) isThere(name string) bool {
	_, err := os.Lstat(name)
	return err == nil
}

var (
	_ = errors.New
	_ = strings.ToLower
	_ pflag.Flag
)
