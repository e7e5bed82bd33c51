// Package cli is the command line of a program that has several commands: their
// options in groups, help, completion, and what to say to a line that is wrong. It
// knows nothing of what the commands do.
//
//	code := cli.Program{Name: "pedalogue", Commands: []cli.Command{mark, look}}.Run(args, streams)
//
// A [Command] is a value: its name, what its help says, its options under headings,
// and a function. Options that several commands share are one function of type
// [Options], which each of these commands lists among its own.
package cli
