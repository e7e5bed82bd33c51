package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/musicxml"
)

const stripHelp = `usage: pedalogue strip [OPTION...] [FILE|FOLDER|PATTERN...]

Takes the marks that pedalogue has put into scores out again: the score is byte
for byte what it was before; an .mxl is packed anew around it. Writes
NAME.plain.EXT beside each score that has any. Folders are searched for
.musicxml, .xml and .mxl, marked copies among them, but not NAME.plain.EXT.
Without a FILE, or for "-", the score is read from standard input and written to
standard output. Marks by others stay.

example: pedalogue strip --write concerto.musicxml
`

// plainMark stands before the extension of a copy without marks.
const plainMark = ".plain"

// isPlainCopy tells whether the name is one that such copies get.
func isPlainCopy(name string) bool {
	return strings.HasSuffix(strings.TrimSuffix(name, filepath.Ext(name)), plainMark)
}

// runStrip is the command strip.
func runStrip(args []string, s runs.Streams) int {
	r := scoreRun{leaveOut: isPlainCopy, changedOnly: true, say: stripped}
	r.placement.Suffix = plainMark
	var take func() error
	f := newFlags("strip", stripHelp)
	inGroup(f, groupResults, func() { r.addPlaceFlags(f) })
	inGroup(f, groupReading, func() { sizeFlag(f, &r.read.Limits) })
	inGroup(f, groupMany, func() { take = r.Batch.AddFlags(f) })
	if done, code := parse(f, args, stripHelp, s); done {
		return code
	}
	if err := take(); err != nil {
		return usageError(s, f, err)
	}
	r.edit = func(ctx context.Context, in store.Source, data []byte) (*marked, error) {
		doc, err := musicxml.Open(ctx, in.Path, data, r.read.Limits)
		if err != nil {
			return nil, err
		}
		edits, err := doc.StripEdits(ctx)
		if err != nil {
			return nil, err
		}
		plain, err := doc.Stripped(ctx)
		if err != nil {
			return nil, err
		}
		return &marked{doc: doc, edits: edits, copied: plain.Raw}, nil
	}
	return r.run(f, s)
}

// stripped says what was taken out of a score.
func stripped(path string, m *marked, output string) string {
	if output == "" {
		return fmt.Sprintf("%s: no marks of ours, nothing to take out", path)
	}
	return fmt.Sprintf("%s: %s taken out, written to %s", path, plural(len(m.edits), "mark", "marks"), output)
}
