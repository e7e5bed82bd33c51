package report

import (
	"fmt"
	"io"
	"slices"
)

// PartFiles is the report on the parts that were made of one score. Its fields, in
// their order, are the keys of its JSON document.
type PartFiles struct {
	Head                // its Output is "" where there are several parts
	Files    []PartFile `json:"files,omitzero"` // absent if Error is set
	Warnings []Warning  `json:"warnings"`
}

// A PartFile is one player's part.
type PartFile struct {
	Path          string   `json:"path"` // "" if it was not written
	Player        string   `json:"player"`
	Parts         []string `json:"parts"` // ids of the parts of the score that it is made of
	Measures      int      `json:"measures"`
	MultipleRests int      `json:"multiple_rests"` // rests of several measures that were put together
	Cues          int      `json:"cues"`           // entrances before which cues were put in
	// PageTurns counts the page ends that were put in.
	PageTurns int `json:"page_turns"`
	// Findings are those on the pedals; nil where no marks were asked for.
	Findings *KeyCounts `json:"findings,omitempty"`
}

// WritePartFilesJSON writes the report as JSON, indented or on one line.
func WritePartFilesJSON(w io.Writer, p *PartFiles, oneLine bool) error {
	c := *p
	c.Warnings = list(p.Warnings)
	if p.Error == "" {
		c.Files = list(slices.Clone(p.Files))
	}
	return writeJSON(w, p.Path, &c, oneLine)
}

// WritePartFilesText writes the report for reading in a terminal: a line or two for
// each part.
func WritePartFilesText(w io.Writer, p *PartFiles, o TextOptions) error {
	t := newText(o)
	t.line(p.Path)
	for i := range p.Files {
		f := &p.Files[i]
		said := fmt.Sprintf("%s: %s, %s, %s", f.Player, count(f.Measures, "measure"),
			count(f.MultipleRests, "multi-measure rest"), count(f.Cues, "cue"))
		if f.PageTurns > 0 {
			said += ", " + count(f.PageTurns, "page turn")
		}
		if f.Path != "" {
			said += ", written to " + f.Path
		}
		t.wrapped("  ", said)
		if n := f.Findings; n != nil && n.Error+n.Warning > 0 {
			t.wrapped("    ", fmt.Sprintf("of the pedals %s; the command mark tells of them", trouble(n)))
		}
	}
	t.readingWarnings(p.Warnings)
	return t.writeTo(w)
}

// trouble says how many findings there are that a player should look at.
func trouble(n *KeyCounts) string {
	switch {
	case n.Error == 0:
		return count(n.Warning, "warning")
	case n.Warning == 0:
		return count(n.Error, "error")
	}
	return count(n.Error, "error") + " and " + count(n.Warning, "warning")
}
