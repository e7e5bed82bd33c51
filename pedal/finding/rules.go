package finding

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"pedalogue/pedal"
)

// A Rule is one kind of finding: what it is called, how it is judged and where
// that comes from. Sources are named as in the doc comments of package pedal;
// "common practice" stands where there is none.
type Rule struct {
	Kind     Kind
	Severity Severity // the default
	Limit    Limit    // the default threshold; 0 if Unit is NoUnit
	Unit     Unit
	Means    string // what a finding of this kind says
	Source   string
	Of       Concern // what the player has to find a way with
	find     func(m *played, s *sink)
}

// Rules returns the table of kinds, family by family. Of one severity, those further up
// matter more.
func Rules() []Rule {
	return slices.Concat(of(Strings, clashRules()), of(Feet, pedalRules()), of(Strings, stringRules()), of(Hands, handRules()), of(Hands, moveRules()),
		of(Hands, repetitionRules()), of(Hands, harmonicRules()), of(Strings, glissandoRules()), of(Strings, ringingRules()), of(Feet, measureRules()))
}

// of are the rules of a family that are about one thing.
func of(c Concern, rules []Rule) []Rule {
	for i := range rules {
		rules[i].Of = c
	}
	return rules
}

// A Concern is what a player has to find a way with.
type Concern uint8

// The concerns.
const (
	Hands Concern = iota
	Strings
	Feet
)

// Concerns is how many there are.
const Concerns = 3

// A Limit is a threshold in its rule's unit: a count; milliseconds; the number
// of an interval, 10 for a tenth; or the number of a string.
type Limit int64

// A Unit says what a limit counts.
type Unit uint8

// The units. The zero value is for a rule without a limit.
const (
	NoUnit   Unit = iota
	Count         // how many
	Seconds       // in thousandths
	Interval      // the interval's number: 8 for an octave, 10 for a tenth
	String        // a string, counted upwards from C0, which is 0
)

// Parse reads a limit of the unit: "6", "0.25", "10" or "C3".
func (u Unit) Parse(text string) (Limit, error) {
	switch u {
	case Count, Interval:
		n, err := strconv.ParseInt(text, 10, 32)
		if err != nil || n < 1 {
			return 0, fmt.Errorf("%q is not a whole number from 1", text)
		}
		return Limit(n), nil
	case Seconds:
		d, err := time.ParseDuration(text + "s")
		if err != nil || d < 0 || d > time.Hour || strings.ContainsAny(text, "hmsnu") {
			return 0, fmt.Errorf("%q is not a number of seconds", text)
		}
		return Limit(d.Milliseconds()), nil
	case String:
		if len(text) == 2 && text[1] >= '0' && text[1] <= '9' {
			if l, ok := pedal.ParseLetter(text[:1]); ok {
				return Limit(rank(l, int(text[1]-'0'))), nil
			}
		}
		return 0, fmt.Errorf("%q is not a string such as C3", text)
	}
	return 0, fmt.Errorf("this kind has no limit")
}

// Format writes a limit as Parse reads it; "" for NoUnit.
func (u Unit) Format(l Limit) string {
	switch u {
	case Count, Interval:
		return strconv.FormatInt(int64(l), 10)
	case Seconds:
		return strconv.FormatFloat(float64(l)/1000, 'f', -1, 64)
	case String:
		return pedal.StringAt(int(l)).String()
	}
	return ""
}

// Describe writes a limit for reading: "6", "0.25 s", "a tenth", "C3".
func (u Unit) Describe(l Limit) string {
	switch u {
	case Seconds:
		return u.Format(l) + " s"
	case Interval:
		return interval(int(l))
	}
	return u.Format(l)
}

// duration is a limit in Seconds as a duration.
func (l Limit) duration() time.Duration { return time.Duration(l) * time.Millisecond }

var severityNames = [...]string{Unset: "", Off: "off", Note: "note", Warning: "warning", Error: "error"}

// String returns "off", "note", "warning" or "error", and "" for Unset and for what
// is no severity.
func (s Severity) String() string {
	if int(s) >= len(severityNames) {
		return ""
	}
	return severityNames[s]
}

// ParseSeverity reads what String writes, Unset excepted.
func ParseSeverity(name string) (Severity, error) {
	for s, n := range severityNames {
		if n == name && n != "" {
			return Severity(s), nil
		}
	}
	return Unset, fmt.Errorf("%q is not a severity: off, note, warning or error", name)
}
