package finding

import (
	"cmp"
	"slices"

	"pedalogue/pedal"
)

// A Kind names a sort of finding in trade words, "string-clash".
type Kind string

// A Severity says how much a finding matters. The zero value is no severity:
// in Options it stands for the kind's default.
type Severity uint8

// The severities. Off silences a kind.
const (
	Unset   Severity = iota
	Off              // not reported
	Note             // information
	Warning          // a player should look
	Error            // cannot be played as planned
)

// A Finding is something a player or arranger should know about one place.
type Finding struct {
	Kind     Kind
	Severity Severity // Note, Warning or Error
	Moment   int      // index into Passage.Moments
	Last     int      // the last moment that it is about; Moment if that is all
	Notes    []int    // indexes into Passage.Notes, from low to high; empty where it is about no single note
	Staff    int      // of the notes, from 1; 0 where they stand on several, or there are none
	Text     string   // what is the matter
	Remedy   string   // what to do; "" if nothing is known that works
	Tempo    string   // at which slower tempo the finding goes, "play at 80 % of the tempo"; "" where that is not asked
}

// Options say what to look for. The zero value is the default.
type Options struct {
	Plan       pedal.Options     // those that the plan was made with
	Severities map[Kind]Severity // other severities than the defaults
	Limits     map[Kind]Limit    // other limits than the defaults
	NoTempo    bool              // leave Finding.Tempo out, which takes most of the time where many changes are rushed
}

// All returns the findings of all kinds in playing order; findings of one
// moment are in the order of Rules. It is an error if the plan is not one of the
// music's passage, or if the music speaks of notes or moments that are not there.
func All(music *Music, plan *pedal.Plan, o Options) ([]Finding, error) {
	if err := music.check(plan); err != nil {
		return nil, err
	}
	rules := Rules()
	m := newPlayed(music, plan, o, rules)
	var list []Finding
	for _, r := range rules {
		severity := cmp.Or(o.Severities[r.Kind], r.Severity)
		if severity == Off {
			continue
		}
		s := &sink{m: m, rule: r, severity: severity, given: o.Severities[r.Kind] != Unset}
		r.find(m, s)
		list = append(list, s.list...)
	}
	slices.SortStableFunc(list, func(a, b Finding) int { return cmp.Compare(a.Moment, b.Moment) })
	return list, nil
}

// A sink takes the findings of one rule.
type sink struct {
	m        *played
	rule     Rule
	severity Severity
	given    bool // the severity is the caller's, for every finding of the kind
	list     []Finding
}

// limit is the rule's threshold, the caller's or the default.
func (s *sink) limit() Limit { return s.m.limit(s.rule) }

// as gives the last finding another severity than its kind has, unless the caller
// wants one for all of the kind.
func (s *sink) as(severity Severity) {
	if !s.given {
		s.list[len(s.list)-1].Severity = severity
	}
}

// upTo tells the last moment that the last finding is about.
func (s *sink) upTo(moment int) { s.list[len(s.list)-1].Last = moment }

// add takes a finding; the notes may be in any order and repeat.
func (s *sink) add(moment int, notes []int, text, remedy string) {
	notes = slices.Clone(notes)
	s.m.sortUp(notes)
	notes = slices.Compact(notes)
	staff := 0
	for i, n := range notes {
		if at := s.m.p.Notes[n].Staff; i == 0 {
			staff = at
		} else if at != staff {
			staff = 0
			break
		}
	}
	s.list = append(s.list, Finding{
		Kind: s.rule.Kind, Severity: s.severity, Moment: moment, Last: moment, Notes: notes, Staff: staff, Text: text, Remedy: remedy,
	})
}
