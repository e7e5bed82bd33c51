// Package work is what commands over scores have in common: to find the scores, do
// something with each, many at a time, print what came of it, put copies and
// reports in their places, sum up, and return the exit code.
//
//	w := work.Work{Kind: work.Kind{Report: ".check", Formats: formats}, Do: check}
//	code := w.Run(call.Args, call.Decisive(cli.Results, cli.ManyScores), call.Streams)
//
// A command says in its [Kind] how its results are named and what forms its reports
// have, and in Do what is done with one score. What Do returns is printed and
// stored; Do itself prints and writes nothing. It knows documents and that reports
// can be written, but nothing of what stands in either.
package work
