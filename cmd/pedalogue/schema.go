package main

import (
	"errors"
	"fmt"
	"strings"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/near"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/schema"
)

const schemaHelp = `usage: pedalogue schema [COMMAND]

Prints the JSON schema (draft 2020-12) of what a command prints with --json;
without a command, of what mark prints.

example: pedalogue schema keys > keys.schema.json
`

// schemaCommand prints JSON schemas.
func schemaCommand() cli.Command {
	return cli.Command{
		Name: "schema", Short: "print the JSON schema of what a command prints", Help: schemaHelp,
		Run: func(c *cli.Call) int {
			command := "mark"
			switch {
			case len(c.Args) > 1:
				return c.Usage(errors.New("one command at a time"))
			case len(c.Args) == 1:
				command = c.Args[0]
			}
			text, ok := schema.Of(command)
			if !ok {
				list := schema.Commands()
				hint := "there are " + strings.Join(list, ", ")
				if word := near.Word(command, list); word != "" {
					hint = fmt.Sprintf("did you mean %s? %s", word, hint)
				}
				return c.Usage(&runs.Advice{Err: fmt.Errorf("there is no schema for %q", command), Hint: hint})
			}
			if _, err := c.Out.Write(text); err != nil {
				return c.Fail(err)
			}
			return runs.ExitDone
		},
	}
}
