// Package runs goes through many scores: which are to be read, how many at a time
// and with how much memory, which share of them; and what is told of each, in
// their order, until all are done or somebody interrupts. It knows nothing of what
// is done with a score.
//
//	sources, err := batch.Sources(runs.Collector{}, streams)
//	code := runs.Each(&batch, sources, batch.Mine(sources), limit, do, streams, collect)
//
// What is printed and returned does not depend on the number of workers.
package runs
