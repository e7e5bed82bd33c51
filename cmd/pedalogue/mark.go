package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"pedalogue/musicxml"
	"pedalogue/report"
)

const markHelp = `usage: pedalogue mark [OPTION...] [FILE|FOLDER...]

Plans the pedals of every harp in the scores and writes marked copies:
NAME.pedals.EXT beside each score, and NAME.pedals.json with the report. Folders
are searched for .musicxml, .xml and .mxl. Without a FILE, or for "-", the score
is read from standard input and its copy written to standard output. Nothing is
overwritten unless you ask with --write.

example: pedalogue mark --out marked concerto.musicxml
`

// runMark is the command mark.
func runMark(args []string, s streams) int {
	var set settings
	f := newFlags("mark", markHelp)
	take := findingFlags(f, &set, planFlags(f, &set))
	takeMarks := markFlags(f, &set)
	f.StringVar(&set.placement.out, "out", "", "write the copies into this `FOLDER`, with the tree of folders that was given")
	f.BoolVar(&set.placement.inPlace, "write", false, "replace each score by its marked copy")
	f.BoolVar(&set.diff, "diff", false, "show what would be put in, and write nothing")
	reports := f.String("report", "text,json", "reports to make: `LIST` of text and json; none for no report")
	f.BoolVar(&set.json, "json", false, "print the JSON reports on standard output, one a line, instead of the text; write no report files")
	f.BoolVarP(&set.quiet, "quiet", "q", false, "print nothing but errors")
	f.BoolVar(&set.ascii, "ascii", false, "print b, # and n instead of signs")
	readFlags(f, &set.read)
	if done, code := parse(f, args, markHelp, s); done {
		return code
	}
	if set.findings.list {
		return listFindings(s)
	}
	if err := take(); err != nil {
		return usageError(s, f, err)
	}
	if err := takeMarks(); err != nil {
		return usageError(s, f, err)
	}
	if err := set.takeOutput(*reports); err != nil {
		return usageError(s, f, err)
	}
	inputs := collect(f.Args(), set.placement.out)
	if standardOnly(inputs) {
		set.placement.reports = nil // there is no name for a file
	}
	targets, err := set.placement.targets(inputs)
	if err != nil {
		return usageError(s, f, err)
	}
	code := exitDone
	for i := range inputs {
		code = max(code, markOne(inputs[i], targets[i], set, s))
	}
	return code
}

// takeOutput checks the options of the output.
func (set *settings) takeOutput(reports string) error {
	text, files, err := parseReports(reports)
	if err != nil {
		return err
	}
	set.quiet = set.quiet || !text && !set.json
	if !set.json && !set.diff {
		set.placement.reports = files
	}
	return nil
}

func standardOnly(inputs []input) bool {
	return len(inputs) == 1 && inputs[0].path == standardStream
}

// A marked is what comes of one score.
type marked struct {
	doc    *musicxml.Document
	edits  []musicxml.Edit
	report *report.Score
}

// markScore takes a score from its bytes to its marks and report.
func markScore(name string, data []byte, set settings) (*marked, error) {
	doc, err := musicxml.Open(name, data, set.read.Limits)
	if err != nil {
		return nil, err
	}
	// Marks of an earlier run make way for the new ones.
	if doc, err = doc.Stripped(); err != nil {
		return nil, err
	}
	score, err := musicxml.Read(doc, set.read)
	if err != nil {
		return nil, err
	}
	players := score.Players()
	if len(players) == 0 {
		return nil, noHarp(name, score)
	}
	m := &marked{doc: doc, report: newReport(name, score)}
	for _, player := range players {
		done, err := planPlayer(score, player, set)
		if err != nil {
			return nil, named(name, err)
		}
		edits, err := done.edits(score, doc)
		if err != nil {
			return nil, err
		}
		m.report.Parts = append(m.report.Parts, done.part)
		m.edits = append(m.edits, edits...)
	}
	return m, nil
}

// noHarp is the error for a score without a harp.
func noHarp(name string, score *musicxml.Score) error {
	return &musicxml.Error{
		File: name,
		Err:  fmt.Errorf("there is no harp in it; its parts are %s", musicxml.PartNames(score.Parts)),
		Hint: "--part takes one of them as the harp, by id, name or number: --part " + score.Parts[len(score.Parts)-1].ID,
	}
}

// named gives an error its file.
func named(name string, err error) error {
	var placed *musicxml.Error
	if errors.As(err, &placed) {
		if placed.File == "" {
			placed.File = name
		}
		return err
	}
	return &musicxml.Error{File: name, Err: err}
}

// newReport begins the report of a score.
func newReport(name string, score *musicxml.Score) *report.Score {
	r := &report.Score{
		Format: report.Format, Tool: "pedalogue", Version: version(), Path: name, Title: score.Title,
		PlayingOrder: &report.PlayingOrder{Written: len(score.Measures), Played: len(score.Order)},
	}
	for _, w := range score.Warnings {
		r.Warnings = append(r.Warnings, report.Warning(w))
	}
	return r
}

// failedReport is the report of a score that could not be read or written.
func failedReport(name string, err error) *report.Score {
	return &report.Score{Format: report.Format, Tool: "pedalogue", Version: version(), Path: name, Error: err.Error()}
}

// markOne marks one input and says what came of it.
func markOne(in input, to target, set settings, s streams) int {
	r, err := markAndSave(in, to, set, s)
	if err != nil {
		complain(s.err, err)
		if set.json {
			report.WriteJSONLine(s.out, failedReport(in.path, err))
		}
		return exitFailed
	}
	if hasErrors(r) {
		return exitConflict
	}
	return exitDone
}

func hasErrors(r *report.Score) bool {
	for _, p := range r.Parts {
		for _, f := range p.Findings {
			if f.Severity == report.SeverityError {
				return true
			}
		}
	}
	return false
}

func markAndSave(in input, to target, set settings, s streams) (*report.Score, error) {
	if to.err != nil {
		return nil, to.err
	}
	limit := set.read.Limits.Bytes
	if limit <= 0 {
		limit = 256 << 20
	}
	read, err := in.read(s.in, limit)
	if err != nil {
		return nil, err
	}
	m, err := markScore(in.path, read.data, set)
	if err != nil {
		return nil, err
	}
	if set.diff {
		return m.report, writeDiff(s.out, in.path, to.path, m.doc, m.edits)
	}
	copied, err := m.doc.Splice(m.edits)
	if err != nil {
		return nil, err
	}
	if to.path == standardStream {
		if _, err := s.out.Write(copied); err != nil {
			return nil, fileError(to.path, err, "")
		}
		return m.report, set.print(s.err, m.report)
	}
	m.report.Output = to.path
	files, err := reportFiles(m.report, to)
	if err != nil {
		return nil, err
	}
	if err := disk().save(to, copied, files, read); err != nil {
		return nil, err
	}
	return m.report, set.print(s.out, m.report)
}

// print writes the report for people, or for programs with --json.
func (set settings) print(w io.Writer, r *report.Score) error {
	switch {
	case set.json:
		return report.WriteJSONLine(w, r)
	case set.quiet:
		return nil
	}
	return report.WriteText(w, r, report.TextOptions{ASCII: set.ascii})
}

// reportFiles renders the report files of a target.
func reportFiles(r *report.Score, to target) ([][]byte, error) {
	var files [][]byte
	for range to.reports {
		var b bytes.Buffer
		if err := report.WriteJSON(&b, r); err != nil {
			return nil, err
		}
		files = append(files, b.Bytes())
	}
	return files, nil
}

// parseReports reads the list of --report.
func parseReports(list string) (text bool, files []string, err error) {
	if list == "none" {
		return false, nil, nil
	}
	for _, name := range splitList(list) {
		switch name {
		case "text":
			text = true
		case "json":
			files = append(files, ".json")
		default:
			return false, nil, fmt.Errorf("--report: %q is none of text and json", name)
		}
	}
	return text, files, nil
}
