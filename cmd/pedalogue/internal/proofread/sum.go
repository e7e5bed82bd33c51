package proofread

import (
	"io"

	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/cmd/pedalogue/internal/work"
	"pedalogue/pedal"
	"pedalogue/report"
)

// Formats are the forms of reports on checks.
func Formats() []work.Format {
	return append(work.TextAndJSON(), work.Format{Name: "html", Exts: []string{".html"}}, work.Format{Name: "csv", Exts: []string{".csv"}})
}

// A Summary sums checks up: which parts are to be sent back.
type Summary struct {
	list []report.CheckEntry
}

func (s *Summary) Add(r work.Report, page string) {
	if r, ok := r.(*Report); ok {
		s.list = append(s.list, report.CheckEntriesOf(&r.Check, page)...)
	}
}

func (s *Summary) Sort() { report.SortChecks(s.list) }

func (s *Summary) Text(w io.Writer, o report.TextOptions) error {
	return report.WriteCheckBatchText(w, s.list, o)
}

func (s *Summary) Files() []work.SummaryFile {
	return []work.SummaryFile{
		{Format: "csv", Ext: ".csv", Write: func(w io.Writer) error { return report.WriteCheckBatchCSV(w, s.list) }},
		{Format: "html", Ext: ".html", Write: func(w io.Writer) error { return report.WriteCheckIndexHTML(w, s.list) }},
	}
}

// chart fills in what the page draws: the measures as they are played, and the changes
// that the marks make.
func (h *harp) chart(row *report.CheckPart) {
	p, settings := h.part, h.found.Settings
	if len(settings) == 0 {
		return
	}
	row.Start = settings[0]
	for i := 1; i < len(settings); i++ {
		for l := range pedal.Letter(pedal.Letters) {
			if from, to := settings[i-1][l], settings[i][l]; from != to {
				at := rows.Place(p, p.Places.Of(i))
				row.Changes = append(row.Changes, report.Change{Pedal: l, From: from, To: to, Foot: l.Foot(), Pass: p.Places.Pass(i), Marked: at, Needed: at})
			}
		}
	}
	played := p.Passage.Measures
	for step, m := range played {
		if m.First >= len(settings) {
			break
		}
		b := rows.Bar(p, step, settings[m.First])
		if step > 0 && m.Written != played[step-1].Written+1 {
			b.Repeat = "jump"
		}
		row.Bars = append(row.Bars, b)
	}
}
