package main

import (
	"fmt"
	"strings"

	"pedalogue/pedal"
	"pedalogue/report"
)

// findings tells what of a plan cannot be played, in playing order.
func (b *bridge) findings(plan *pedal.Plan, set settings) []report.Finding {
	var list []report.Finding
	for _, d := range plan.Unsounded {
		strike := b.passage.Moments[d.Moment].Strikes[d.Strike]
		n := b.passage.Notes[strike.Note]
		f := b.finding("string-clash", report.SeverityError, d.Moment, n.Staff)
		f.Notes = []string{pitchName(n.Pitch)}
		f.Text = fmt.Sprintf("no string is left for %s: the %v pedal stands at %s here",
			pitchName(n.Pitch), n.Pitch.Letter, positionName(plan.Settings[d.Moment][n.Pitch.Letter]))
		if n.Pitch.Cents%100 != 0 {
			f.Kind = "microtone"
			f.Text = fmt.Sprintf("%s lies between the notches: no pedal gives it", pitchName(n.Pitch))
		}
		list = append(list, f)
	}
	for _, h := range plan.Held {
		f := b.finding("held-string", report.SeverityError, h.Moment, 0)
		f.Notes = []string{}
		f.Text = fmt.Sprintf("the %v pedal must move while a note on its strings is still held", h.Letter)
		list = append(list, f)
	}
	return list
}

// finding begins a finding at a moment.
func (b *bridge) finding(kind string, severity report.Severity, moment, staff int) report.Finding {
	return report.Finding{Kind: kind, Severity: severity, Place: b.reported(moment), Pass: b.moments[moment].pass, Staff: staff}
}

func positionName(p pedal.Position) string {
	return [3]string{"flat", "natural", "sharp"}[p+1]
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
