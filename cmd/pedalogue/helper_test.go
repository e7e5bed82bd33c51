package main

import (
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/cmd/pedalogue/internal/storetest"
	"pedalogue/cmd/pedalogue/internal/testfolder"
)

// Short names for what most tests of commands use.
var (
	disk      = store.Disk
	folder    = testfolder.Enter
	writeFile = testfolder.Write
	link      = testfolder.Link
	tree      = testfolder.Tree
	wantError = storetest.Want
)

const (
	exitDone        = runs.ExitDone
	exitConflict    = runs.ExitConflict
	exitUsage       = runs.ExitUsage
	exitFailed      = runs.ExitFailed
	exitInterrupted = runs.ExitInterrupted
)
