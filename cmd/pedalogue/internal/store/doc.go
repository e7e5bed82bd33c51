// Package store puts the results of a run into files, whole or not at all, and
// replaces nothing that is not its own. It knows files, and nothing of what is in
// them.
//
//	targets, err := store.Placement{Out: "marked", Suffix: ".pedals", Mark: ".pedals"}.Targets(sources)
//	read, err := sources[i].Read(ctx, stdin, limit)
//	err = store.Disk().Deliver(targets.At(i), store.Delivery{Copy: copied, Source: read}, store.EarlierAt(targets.At(i)))
//
// A [Source] is a file that is read, a [Target] where its results go, and a
// [Placement] the rule that leads from one to the other. [System.Deliver] writes
// everything to temporary files first and then gives each its name in one step;
// if one cannot take its name, those that have are taken back. A [Seal] says what
// results were made of, so that a later run can tell its own from a person's.
package store
