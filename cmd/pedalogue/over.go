package main

import (
	"slices"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/work"
)

// over runs a command over scores. All options decide what comes of a score but those of
// where results go and of many scores.
func over(w *work.Work) func(*cli.Call) int {
	return func(c *cli.Call) int {
		return w.Run(c.Args, c.Decisive(options.GroupResults, options.GroupMany), c.Streams)
	}
}

// planning are the groups of options of a command that plans pedals, in the order of its
// help, with those that not every such command has behind the others of their group.
func planning(w *work.Work, set *options.Settings, more map[string][]cli.Options) []cli.Group {
	groups := []cli.Group{
		{Title: options.GroupPlan, Options: []cli.Options{options.With(options.Plan, &set.Wants)}},
		{Title: options.GroupMarks, Options: []cli.Options{options.With(options.Marks, &set.Wants)}},
		{Title: options.GroupFindings, Options: []cli.Options{options.With(options.Findings, &set.Wants)}},
		{Title: options.GroupReading, Options: []cli.Options{options.With(options.Read, &set.Read)}},
		{Title: options.GroupMany, Options: []cli.Options{w.ManyFlags}},
	}
	for i := range groups {
		groups[i].Options = slices.Concat(groups[i].Options, more[groups[i].Title])
	}
	return groups
}
