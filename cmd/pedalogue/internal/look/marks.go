package look

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pedalogue/musicxml"
	"pedalogue/pedal/part"
	"pedalogue/pedal/spelling"
)

// A seenMark is a pedal mark that stands in a score, and how it fits the notes
// that follow it until the next mark.
type seenMark struct {
	seenPlace
	Staff     int               `json:"staff"`
	Text      string            `json:"text"`    // "" for a harp-pedals element
	Tunings   map[string]string `json:"tunings"` // from step to alter, as for harp_pedals
	Complete  bool              `json:"complete"`
	Language  string            `json:"language,omitempty"`  // of the text: en, fr or de
	Ambiguous bool              `json:"ambiguous,omitempty"` // the text can be read as English and as German
	Own       bool              `json:"own"`                 // we have written it
	Against   []seenAgainst     `json:"against"`             // the first note of each pedal that wants it elsewhere; null for our own

	setting string // as the report writes it
	until   string // number of the measure of the next mark by others; "" for the end
}

// A seenAgainst is a note that a mark does not fit.
type seenAgainst struct {
	seenPlace
	Staff   int    `json:"staff"`
	Marked  string `json:"marked"`  // the pedal as it is marked, "F♯"
	Written string `json:"written"` // the note
}

// addMarks adds the pedal marks of a part. own are the places of ours in the
// text.
func (s *Sight) addMarks(p *musicxml.Part, own [][2]int) {
	var others []part.Standing
	var ours []part.Standing
	for _, m := range part.StandingMarks(p) {
		if standsIn(own, m.Holders[0].Start) {
			ours = append(ours, m)
		} else {
			others = append(others, m)
		}
	}
	against := part.Contradictions(p, others)
	for i := range others {
		seen := seeMark(&others[i])
		seen.Against = []seenAgainst{}
		for _, c := range against[i] {
			seen.Against = append(seen.Against, seenAgainst{
				seenPlace: placeIn(p, c.Note.Measure, c.Note.Onset), Staff: c.Note.Staff,
				Marked: c.Tuning.String(), Written: c.Note.Pitch.String(),
			})
		}
		if i+1 < len(others) {
			seen.until = p.Measures[others[i+1].Measure].Number
		}
		s.Marks = append(s.Marks, seen)
	}
	for i := range ours {
		seen := seeMark(&ours[i])
		seen.Own = true
		s.Marks = append(s.Marks, seen)
	}
}

// standsIn reports whether an offset lies in one of the places, which are in
// order.
func standsIn(places [][2]int, at int) bool {
	i, _ := slices.BinarySearchFunc(places, at, func(p [2]int, at int) int { return p[1] - at })
	return i < len(places) && places[i][0] <= at && at < places[i][1]
}

func seeMark(m *part.Standing) seenMark {
	seen := seenMark{
		seenPlace: placeIn(m.Part, m.Measure, m.Onset), Staff: m.Staff, Text: m.Text,
		Tunings: map[string]string{}, Complete: m.Full, Ambiguous: m.Ambiguous,
	}
	var names []string
	for _, t := range m.Pedals {
		seen.Tunings[t.Letter.String()] = strconv.Itoa(int(t.Position))
		names = append(names, t.String())
	}
	seen.setting = strings.Join(names, " ")
	if m.Full {
		seen.setting = m.Setting().String()
	}
	if m.Text != "" {
		seen.Language = m.Language.String()
	}
	return seen
}

var languageNames = map[string]string{
	spelling.English.String(): "English", spelling.French.String(): "French", spelling.German.String(): "German", spelling.Italian.String(): "Italian",
}

// markFacts tell of the pedal marks in a score.
func (s *Sight) markFacts() []Fact {
	settings, changes, own := 0, 0, 0
	var marks Fact
	for _, m := range s.Marks {
		switch {
		case m.Own:
			own++
			continue
		case m.Complete:
			settings++
		default:
			changes++
		}
		marks.Items = append(marks.Items, fmt.Sprintf("part %s measure %s: %s", m.Part, m.Measure, m.describe()))
	}
	marks.Name = "pedal marks"
	marks.Value = plural(settings, "setting", "settings") + ", " + plural(changes, "list of changes", "lists of changes")
	if own == 0 {
		return []Fact{marks}
	}
	return []Fact{marks, {Name: "marks of ours", Value: strconv.Itoa(own)}}
}

// describe tells what a mark says and whether the notes agree.
func (m *seenMark) describe() string {
	var b strings.Builder
	b.WriteString(m.setting)
	switch {
	case m.Text == "":
		b.WriteString(", a diagram")
	case m.Ambiguous:
		fmt.Fprintf(&b, ", from %q, read as %s, could be German", m.Text, languageNames[m.Language])
	default:
		fmt.Fprintf(&b, ", from %q in %s", m.Text, languageNames[m.Language])
	}
	until := "the end"
	if m.until != "" {
		until = "the next in measure " + m.until
	}
	if len(m.Against) == 0 {
		fmt.Fprintf(&b, "; the notes up to %s agree", until)
		return b.String()
	}
	for i, a := range m.Against {
		lead := ", "
		if i == 0 {
			lead = "; against it "
		}
		fmt.Fprintf(&b, "%s%s in measure %s (marked %s)", lead, a.Written, a.Measure, a.Marked)
	}
	return b.String()
}
