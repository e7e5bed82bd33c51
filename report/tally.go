package report

// A Tally counts what matters about a score at a glance, over all its harps.
type Tally struct {
	Errors        int  `json:"errors"` // findings
	Warnings      int  `json:"warnings"`
	Notes         int  `json:"notes"`
	ErrorPlaces   int  `json:"error_places"`   // printed places with an error, however often they are played
	WarningPlaces int  `json:"warning_places"` // the same of warnings
	Reading       int  `json:"reading"`        // warnings about reading the file
	Cost          Cost `json:"cost"`
	Harps         int  `json:"harps"`
	Proved        bool `json:"proved"` // every harp's plan is proved minimal
}

func tallyOf(s *Score) Tally {
	t := Tally{Reading: len(s.Warnings), Harps: len(s.Parts), Proved: s.Error == "" && len(s.Parts) > 0}
	for i := range s.Parts {
		p := &s.Parts[i]
		t.Cost = t.Cost.plus(p.Cost)
		t.Proved = t.Proved && p.Proof.Minimal
		t.ErrorPlaces += places(p.Findings, SeverityError)
		t.WarningPlaces += places(p.Findings, SeverityWarning)
		for _, f := range p.Findings {
			switch f.Severity {
			case SeverityError:
				t.Errors++
			case SeverityWarning:
				t.Warnings++
			default:
				t.Notes++
			}
		}
	}
	return t
}

func (c Cost) plus(d Cost) Cost {
	return Cost{
		Unsounded: c.Unsounded + d.Unsounded,
		Held:      c.Held + d.Held,
		Rushed:    c.Rushed + d.Rushed,
		Respelt:   c.Respelt + d.Respelt,
		Switches:  c.Switches + d.Switches,
		Changes:   c.Changes + d.Changes,
		Notches:   c.Notches + d.Notches,
	}
}

// phrases writes the tally for a summary line, most wanted first.
func (t Tally) phrases() []string {
	phrases := []string{
		count(t.Cost.Changes, "change"),
		count(t.Cost.Respelt, "respelt note"),
	}
	if t.Cost.Unsounded > 0 {
		phrases = append(phrases, count(t.Cost.Unsounded, "unplayable note"))
	}
	if t.Cost.Held > 0 {
		phrases = append(phrases, grouped(t.Cost.Held)+" under held notes")
	}
	phrases = append(phrases, grouped(t.Cost.Rushed)+" rushed", count(t.Errors, "error"), count(t.Warnings, "warning"), t.proof())
	if t.Reading > 0 {
		phrases = append(phrases, count(t.Reading, "reading warning"))
	}
	return phrases
}

// grave reports whether something cannot be played as planned.
func (t Tally) grave() bool { return t.Errors > 0 || t.Cost.Unsounded > 0 }

func (t Tally) proof() string {
	if t.Proved {
		return "proved minimal"
	}
	return "not proved minimal"
}

// places counts the printed places with findings of a severity.
func places(findings []Finding, s Severity) int {
	seen := make(map[Place]bool)
	for _, f := range findings {
		if f.Severity == s {
			seen[f.Place] = true
		}
	}
	return len(seen)
}
