package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"

	"pedalogue/report/plain"
)

// WriteJSON writes the report as one indented JSON document, its keys in the
// order of the contract, with a final newline. Empty lists are written as [];
// parts is absent where the score has an Error. The score is not changed. It
// fails if a number of seconds is not finite, or with w's error.
func WriteJSON(w io.Writer, s *Score) error { return writeJSON(w, s.Path, contractual(s), false) }

// WriteJSONLine is WriteJSON on one line, for JSON Lines: one score a line.
func WriteJSONLine(w io.Writer, s *Score) error { return writeJSON(w, s.Path, contractual(s), true) }

// writeJSON writes a document, indented or on one line; path names its score in errors.
func writeJSON(w io.Writer, path string, document any, oneLine bool) error {
	var line, indented bytes.Buffer
	e := json.NewEncoder(&line)
	e.SetEscapeHTML(false)
	if err := e.Encode(document); err != nil {
		return fmt.Errorf("report on %s: %w", path, err)
	}
	doc := line.Bytes()
	if !oneLine { // by the encoder itself it would be copied twice more
		if err := json.Indent(&indented, doc, "", "  "); err != nil {
			return fmt.Errorf("report on %s: %w", path, err)
		}
		doc = indented.Bytes()
	}
	_, err := w.Write(escapeUnprintable(doc))
	return err
}

// contractual returns a copy in which every list that the contract promises is
// there, if empty.
func contractual(s *Score) *Score {
	c := *s
	c.Warnings = list(s.Warnings)
	if s.Error != "" {
		c.Parts = nil
		return &c
	}
	c.Parts = list(slices.Clone(s.Parts))
	for i := range c.Parts {
		p := &c.Parts[i]
		for _, t := range []*float64{&p.Options.FootTime, &p.Options.MoveTime, &p.Options.SoundingTime} {
			*t = float64(Seconds(*t).rounded())
		}
		p.Proof.Covers = list(p.Proof.Covers)
		p.Choices = list(p.Choices)
		p.Changes = list(p.Changes)
		p.Respelt = list(p.Respelt)
		p.Findings = list(slices.Clone(p.Findings))
		for j := range p.Findings {
			p.Findings[j].Notes = list(p.Findings[j].Notes)
		}
	}
	return &c
}

// list returns s, or an empty list for nil.
func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

// rounded returns the time to the nearest thousandth of a second.
func (s Seconds) rounded() Seconds {
	r := Seconds(math.Round(float64(s)*1000) / 1000)
	if r == 0 {
		return 0 // never -0
	}
	return r
}

// MarshalJSON writes the time as a number with three decimals at most. It fails
// for an infinite time and for one that is no number.
func (s Seconds) MarshalJSON() ([]byte, error) {
	f := float64(s.rounded())
	if math.IsInf(f, 0) || math.IsNaN(f) {
		return nil, fmt.Errorf("%v is not a time", f)
	}
	return strconv.AppendFloat(nil, f, 'f', -1, 64), nil
}

// escapeUnprintable writes the characters that could steer a terminal or turn
// its text around, and that JSON allows bare, as \u escapes. They can only
// stand inside strings, so the document still says the same.
func escapeUnprintable(doc []byte) []byte {
	var out []byte
	done := 0 // so much of doc is in out
	for i := 0; i < len(doc); {
		if doc[i] == '\n' || ' ' <= doc[i] && doc[i] <= '~' {
			i++
			continue
		}
		r, n := utf8.DecodeRune(doc[i:])
		if plain.Steers(r) {
			out = append(out, doc[done:i]...)
			for _, u := range utf16.AppendRune(nil, r) {
				out = fmt.Appendf(out, `\u%04x`, u)
			}
			done = i + n
		}
		i += n
	}
	if done == 0 {
		return doc
	}
	return append(out, doc[done:]...)
}
