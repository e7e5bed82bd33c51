package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/report"
)

// copyMark stands before the extension of a marked copy: NAME.pedals.EXT.
const copyMark = ".pedals"

// What report files end in, behind NAME.pedals.
const (
	extJSON     = ".json"
	extHTML     = ".html"
	extChanges  = ".changes.csv"
	extFindings = ".findings.csv"
)

// reportFiles renders the report files of a target, in the order of t.reports.
func reportFiles(r *report.Score, to store.Target) ([][]byte, error) {
	var files [][]byte
	for _, path := range to.Reports {
		var b bytes.Buffer
		if err := writeReport(&b, r, path); err != nil {
			return nil, err
		}
		files = append(files, b.Bytes())
	}
	return files, nil
}

func writeReport(w io.Writer, r *report.Score, path string) error {
	switch {
	case strings.HasSuffix(path, extJSON):
		return report.WriteJSON(w, r)
	case strings.HasSuffix(path, extHTML):
		return report.WriteHTML(w, r)
	case strings.HasSuffix(path, extChanges):
		return report.WriteChangesCSV(w, r)
	case strings.HasSuffix(path, extFindings):
		return report.WriteFindingsCSV(w, r)
	}
	return fmt.Errorf("internal error: no report ends like %q", path)
}

// parseReports reads the list of --report; it is empty for "none".
func parseReports(list string) ([]string, error) {
	if list == "none" {
		return nil, nil
	}
	kinds := splitList(list)
	if len(kinds) == 0 {
		return nil, fmt.Errorf("--report: the list is empty; for no report, say none")
	}
	for _, kind := range kinds {
		if !slices.Contains([]string{"text", "json", "html", "csv"}, kind) {
			return nil, fmt.Errorf("--report: %q is none of text, json, html and csv", kind)
		}
	}
	return kinds, nil
}

// reportExts returns what the files of the reports end in, each once.
func reportExts(kinds []string) []string {
	var exts []string
	for _, kind := range []struct {
		name string
		exts []string
	}{
		{"json", []string{extJSON}},
		{"html", []string{extHTML}},
		{"csv", []string{extChanges, extFindings}},
	} {
		if slices.Contains(kinds, kind.name) {
			exts = append(exts, kind.exts...)
		}
	}
	return exts
}

// splitList cuts a list at its commas.
func splitList(list string) []string {
	var items []string
	for item := range strings.SplitSeq(list, ",") {
		if item = strings.TrimSpace(item); item != "" {
			items = append(items, item)
		}
	}
	return items
}

// isOwnCopy tells whether the name is one that copies get: NAME.pedals.EXT.
func isOwnCopy(name string) bool {
	stem := strings.TrimSuffix(name, filepath.Ext(name))
	return strings.EqualFold(filepath.Ext(stem), copyMark)
}
