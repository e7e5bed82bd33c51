// Package store puts the results of a run into files, whole or not at all, and
// replaces nothing that is not its own. It knows files, and nothing of what is in
// them.
//
//	targets, err := store.Placement{Out: "marked", Suffix: ".pedals", Mark: ".pedals"}.Targets(sources)
//	read, err := sources[i].Read(stdin, limit)
//	err = store.Disk().Save(targets[i], copied, reports, read)
//
// A [Source] is a file that is read, a [Target] where its results go, and a
// [Placement] the rule that leads from one to the other. [System.Save] writes
// everything to temporary files first and then gives each its name in one step;
// if one cannot take its name, those that have are taken back. A [Seal] says what
// results were made of, so that a later run can tell its own from a person's.
package store
