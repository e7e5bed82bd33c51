package finding

import "pedalogue/pedal"

// A Verdict counts how much of a passage lies on the harp.
type Verdict struct {
	Moments  int             // at which something written is attacked
	ToDecide int             // of them those that a warning is about, and no error
	Cannot   int             // those that an error is about
	By       [Concerns]Share // the same by what the findings are about; a moment may count in several
}

// A Share is a part of a verdict.
type Share struct{ ToDecide, Cannot int }

// VerdictOf counts the moments that findings are about, from the first to the last of
// each. The rules are those of the findings' kinds.
func VerdictOf(p *pedal.Passage, found []Finding) Verdict {
	of := map[Kind]Concern{}
	for _, r := range Rules() {
		of[r.Kind] = r.Of
	}
	worst := make([][Concerns]Severity, len(p.Moments))
	for _, f := range found {
		for i := max(f.Moment, 0); i <= f.Last && i < len(worst); i++ {
			w := &worst[i][of[f.Kind]]
			*w = max(*w, f.Severity)
		}
	}
	var v Verdict
	for i, m := range p.Moments {
		if !written(p, m) {
			continue
		}
		v.Moments++
		all := Unset
		for c, s := range worst[i] {
			all = max(all, s)
			v.By[c].count(s)
		}
		var sum Share
		sum.count(all)
		v.ToDecide, v.Cannot = v.ToDecide+sum.ToDecide, v.Cannot+sum.Cannot
	}
	return v
}

// written tells whether something written is attacked at a moment.
func written(p *pedal.Passage, m pedal.Moment) bool {
	for _, s := range m.Strikes {
		if n := p.Notes[s.Note]; !n.Implied && !n.Silent {
			return true
		}
	}
	return false
}

func (s *Share) count(worst Severity) {
	switch worst {
	case Warning:
		s.ToDecide++
	case Error:
		s.Cannot++
	}
}
