package report

import (
	"html/template"
	"io"
	"strings"

	"pedalogue/report/plain"
)

// A checkPage is what the template shows of a check.
type checkPage struct {
	Style            template.CSS
	Drawn            template.HTML // what all music in the page refers to; "" if there is none
	Letters          []chartText
	Index            template.URL // the page of all scores; "" for none
	Name, Path, Made string
	Output, Verdict  string
	Grave, ManyHarps bool
	Harps            []checkHarp
	Warnings         []string
	KindFilter       []int
}

type checkHarp struct {
	harp
	Verdict string
	Marks   []checkMarkRow
	Mended  []string
}

type checkMarkRow struct{ Measure, Text, As, Pedals string }

// WriteCheckHTML writes the report as one page that needs nothing else: for each part
// the pedals as its marks have them over the measures, the faults there and in a list,
// and the marks as they were read.
func WriteCheckHTML(w io.Writer, k *Check) error {
	s := Score{Head: Head{Path: k.Path, Title: k.Title}}
	p := &checkPage{
		Style: style(), Name: s.name(), Path: plain.Line(k.Path), Output: plain.Line(k.Output),
		Made: plain.Line(strings.TrimSpace(k.Tool + " " + k.Version)), Letters: chartLetters(), Verdict: plain.Line(k.Error), Grave: k.Error != "",
		Index: link(k.Index), ManyHarps: len(k.Parts) > 1,
	}
	most := 0
	for i := range k.Parts {
		h := checkHarpOf(&k.Parts[i], i+1)
		if p.Verdict == "" || k.Parts[i].Verdict == VerdictFaults && !p.Grave {
			p.Verdict, p.Grave = plain.Line(h.Title+": "+h.Verdict), k.Parts[i].Verdict == VerdictFaults
		}
		h.Verdict = sentenceCase(h.Verdict) // where it stands below the title
		if k.Parts[i].Music != nil {
			most = max(most, len(k.Parts[i].Bars))
			p.Drawn = defs(most)
		}
		if len(k.Parts) > 1 {
			h.Of = " · " + h.Title
		}
		for len(p.KindFilter) < len(h.Kinds) {
			p.KindFilter = append(p.KindFilter, len(p.KindFilter))
		}
		p.Harps = append(p.Harps, h)
	}
	for _, x := range k.Warnings {
		p.Warnings = append(p.Warnings, plain.Line(x.sentence()))
	}
	return render(w, "check.html", p)
}

// checkHarpOf is a part as the page shows it: its chart is that of a plan whose changes
// are those that the marks make.
func checkHarpOf(k *CheckPart, id int) checkHarp {
	p := Part{ID: k.ID, Name: k.Name, Changes: k.Changes, Bars: k.Bars, Music: k.Music, AsPrinted: true}
	if len(k.Bars) > 0 {
		p.Start = k.Bars[0].Setting
		if len(k.Changes) > 0 {
			p.Start = k.Start
		}
	}
	for _, f := range k.Faults {
		p.Findings = append(p.Findings, Finding{
			Kind: f.Kind, Severity: f.Severity, Place: f.Place, Pass: f.Pass, Staff: f.Staff, Notes: f.Notes, Text: f.Text, Remedy: f.Remedy,
			Concerned: f.Concerned, Beside: f.Beside,
		})
	}
	when := timelineOf(&p)
	h := checkHarp{harp: harp{ID: id, Title: plain.Line(p.title()), Unit: when.unit()}, Verdict: verdictWords(k)}
	h.addFindings(&p, when)
	if len(k.Bars) > 0 {
		h.chart(&p, when)
		h.addRows(&p, when)
	}
	for _, m := range k.Marks {
		if m.As != "not a pedal mark" {
			h.Marks = append(h.Marks, checkMarkRow{m.label(), plain.Line(m.Text), m.As, pedalWords(m.Pedals)})
		}
	}
	for _, a := range k.Alters {
		h.Mended = append(h.Mended, plain.Line(a.sentence()))
	}
	return h
}

// WriteCheckCSV writes a line for each fault of the scores, laid out as WriteChangesCSV
// does.
func WriteCheckCSV(w io.Writer, scores ...*Check) error {
	t := newSheetWriter(w, "score", "part", "name", "severity", "kind", "measure", "index", "pass", "offset", "staff", "pedal", "stands", "needed",
		"notes", "mark_measure", "mark_index", "mark_offset", "planned", "text", "remedy")
	for _, s := range scores {
		for i := range s.Parts {
			p := &s.Parts[i]
			for _, f := range p.Faults {
				stands, needed := "", ""
				if f.Stands != nil && f.Needed != nil {
					stands, needed = positionWord(*f.Stands), positionWord(*f.Needed)
				}
				var measure, index, offset any = "", "", ""
				if f.Mark != nil {
					measure, index, offset = labelCell(f.Mark.Measure), f.Mark.Index, mixed(f.Mark.Offset)
				}
				t.row(s.Path, p.ID, p.Name, string(f.Severity), f.Kind, labelCell(f.Measure), f.Index, f.Pass, mixed(f.Offset), positive(f.Staff),
					f.Pedal, stands, needed, strings.Join(f.Notes, " "), measure, index, offset, yes(f.Planned), f.Text, f.Remedy)
			}
		}
	}
	return t.flush()
}
