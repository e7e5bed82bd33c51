package rows

import (
	"pedalogue/pedal/gliss"
	"pedalogue/pedal/part"
	"pedalogue/report"
)

// GlissBack are changes as the answer about a glissando in a score has them, in their
// order; never nil.
func GlissBack(p *part.Part, back []gliss.Return) []report.GlissBack {
	list := make([]report.GlissBack, len(back))
	for i, b := range back {
		list[i] = report.GlissBack{
			Pedal: b.Letter, To: b.To, Needed: *GlissPlace(p, b.Needed), Seconds: seconds(b.Within), Rushed: b.Rushed,
		}
	}
	return list
}

// GlissPlace is a moment as the answer names it.
func GlissPlace(p *part.Part, moment int) *report.GlissPlace {
	at := p.Places.Of(moment)
	return &report.GlissPlace{Place: Place(p, at), Pass: p.Places.Pass(moment), Beat: part.CountedBeat(p.Score.Measures[at.Measure].Beat).String()}
}

// GlissSettings are settings as the report has them; only those that are not exact
// tell what is foreign and missing.
func GlissSettings(found []gliss.Setting, near bool) []report.GlissSetting {
	list := make([]report.GlissSetting, len(found))
	for i, s := range found {
		list[i] = report.GlissSetting{Setting: s.Pedals, Moved: s.Moved, Rounds: s.Rounds, Sharps: s.Sharps, Doubled: GlissNames(s.Doubled)}
		if near {
			list[i].Foreign, list[i].Missing = GlissNames(s.Foreign), GlissNames(s.Missing)
		}
	}
	return list
}

// GlissNames writes names with their signs; never nil.
func GlissNames(names []gliss.Name) []string {
	list := make([]string, len(names))
	for i, n := range names {
		list[i] = n.String()
	}
	return list
}
