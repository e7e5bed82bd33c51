package report

import (
	"strings"
	"testing"

	"pedalogue/report/plain"
)

// attack tries every way out at once: a terminal sequence, a line break, text
// turned around, markup, a formula.
const attack = "=1+2\x1b]0;x\x07\r\n\u202e</title><script>alert(1)</script>\"'><img src=x onerror=alert(1)>\u009b31m{{.}}"

// hostile is the demo with every text that can come from a file made an attack.
func hostile() *Score {
	s := demo()
	s.Path, s.Title, s.Output = attack+"p", attack+"t", attack+"o"
	p := &s.Parts[0]
	p.ID, p.Name = attack+"i", attack+"n"
	for i := range p.Findings {
		f := &p.Findings[i]
		f.Kind, f.Text, f.Remedy, f.Measure, f.Notes = attack+"k", attack+"x", attack+"r", attack, []string{attack}
	}
	for i := range p.Changes {
		p.Changes[i].Marked.Measure = attack
	}
	for i := range p.Respelt {
		r := &p.Respelt[i]
		r.Measure, r.Written, r.Played = attack, attack, attack
	}
	for i := range p.Bars {
		b := &p.Bars[i]
		b.Measure, b.Section, b.Sounds = attack, attack, []string{attack}
	}
	s.Warnings[0] = Warning{Code: attack, Part: attack, Measure: attack, Index: 1, Line: 1, Text: attack}
	return s
}

// unread is the report on a score that could not be read.
func unread() *Score {
	return &Score{Head: Head{Format: Format, Tool: "pedalogue", Version: "v0.0.0", Path: "torn.mxl",
		Error: "torn.mxl:1: the archive ends in the middle of an entry"}}
}

func TestTextCannotSteerTheTerminal(t *testing.T) {
	broken := unread()
	broken.Error, broken.Path = attack, attack
	for _, o := range []TextOptions{{}, {ASCII: true}, {Width: 1}} {
		for _, s := range []*Score{hostile(), broken} {
			for line := range strings.Lines(textOf(t, s, o)) {
				if i := strings.IndexFunc(strings.TrimSuffix(line, "\n"), plain.Steers); i >= 0 {
					t.Fatalf("%q reached the terminal", line)
				}
			}
		}
	}
}

func TestColourIsNeverTheOnlySign(t *testing.T) {
	strip := strings.NewReplacer(colourBold, "", colourRed, "", colourYellow, "", colourReset, "")
	if got := strip.Replace(textOf(t, demo(), TextOptions{Colour: true})); got != textOf(t, demo(), TextOptions{}) {
		t.Error("coloured text says something else than plain text")
	}
	if !strings.Contains(textOf(t, demo(), TextOptions{Colour: true}), colourRed+"  error") {
		t.Error("an error is not coloured")
	}
}
