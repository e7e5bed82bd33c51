package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"pedalogue/musicxml"
)

const stripHelp = `usage: pedalogue strip [OPTION...] [FILE|FOLDER...]

Takes the marks that pedalogue has put into scores out again: the score is byte
for byte what it was before. Writes NAME.plain.EXT beside each score that has
any. Folders are searched for .musicxml, .xml and .mxl, marked copies among them,
but not NAME.plain.EXT. Without a FILE, or for "-", the score is read from standard input and
written to standard output. Marks by others stay.

example: pedalogue strip --write concerto.musicxml
`

// plainMark stands before the extension of a copy without marks.
const plainMark = ".plain"

// isPlainCopy tells whether the name is one that such copies get.
func isPlainCopy(name string) bool {
	return strings.HasSuffix(strings.TrimSuffix(name, filepath.Ext(name)), plainMark)
}

// runStrip is the command strip.
func runStrip(args []string, s streams) int {
	var set settings
	f := newFlags("strip", stripHelp)
	f.StringVar(&set.placement.out, "out", "", "write all scores into this `FOLDER`, with the tree of folders that was given")
	f.BoolVar(&set.placement.inPlace, "write", false, "take the marks out of the scores themselves")
	f.BoolVar(&set.diff, "diff", false, "show what would be taken out, and write nothing")
	f.BoolVarP(&set.quiet, "quiet", "q", false, "print nothing but errors")
	f.Var(&byteSize{&set.read.Limits.Bytes}, "max-size", "largest decoded size of a score, as `SIZE` in bytes or with K, M or G (default 256M)")
	if done, code := parse(f, args, stripHelp, s); done {
		return code
	}
	set.placement.suffix = plainMark
	inputs := collectBut(f.Args(), set.placement.out, isPlainCopy)
	targets, err := set.placement.targets(inputs)
	if err != nil {
		return usageError(s, f, err)
	}
	code := exitDone
	for i := range inputs {
		if err := stripOne(inputs[i], targets[i], set, s); err != nil {
			complain(s.err, err)
			code = exitFailed
		}
	}
	return code
}

// stripOne takes the marks out of one input.
func stripOne(in input, to target, set settings, s streams) error {
	if to.err != nil {
		return to.err
	}
	read, err := in.read(s.in, readLimit(set.read))
	if err != nil {
		return err
	}
	doc, err := musicxml.Open(in.path, read.data, set.read.Limits)
	if err != nil {
		return err
	}
	edits, err := doc.StripEdits()
	if err != nil {
		return err
	}
	if set.diff {
		return writeDiff(s.out, in.path, to.path, doc, edits)
	}
	plain, err := doc.Stripped()
	if err != nil {
		return err
	}
	if to.path == standardStream {
		if _, err := s.out.Write(plain.Raw); err != nil {
			return fileError(to.path, err, "")
		}
		return nil
	}
	say := func(format string, args ...any) {
		if !set.quiet {
			fmt.Fprintln(s.out, singleLine(fmt.Sprintf(format, args...)))
		}
	}
	if len(edits) == 0 && set.placement.out == "" {
		say("%s: no marks of ours, nothing to take out", in.path)
		return nil
	}
	if err := disk().save(to, plain.Raw, nil, read); err != nil {
		return err
	}
	say("%s: %s taken out, written to %s", in.path, plural(len(edits), "mark", "marks"), to.path)
	return nil
}

// readLimit is the most bytes to read of a file.
func readLimit(o musicxml.Options) int64 {
	if o.Limits.Bytes > 0 {
		return o.Limits.Bytes
	}
	return 256 << 20
}
