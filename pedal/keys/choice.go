package keys

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pedalogue/pedal"
)

// A Choice is a key that somebody chooses. The zero value is the one that suits the
// harp best.
type Choice struct {
	name      string // of a major key; "" where it is chosen otherwise
	direction string // "up", "down", or "" for either
	exact     bool   // by interval
	semitones int
	steps     int
}

// ParseChoice reads "auto", the name of a row, such as "E♭", "Eb", "E flat" or "G♭
// up", or an interval as SEMITONES,STEPS.
func ParseChoice(text string) (Choice, error) {
	text = strings.TrimSpace(text)
	if text == "auto" {
		return Choice{}, nil
	}
	if semitones, steps, found := strings.Cut(text, ","); found {
		n, err := strconv.Atoi(strings.TrimSpace(semitones))
		k, errSteps := strconv.Atoi(strings.TrimSpace(steps))
		if err = errors.Join(err, errSteps); err != nil {
			return Choice{}, fmt.Errorf("%q is no interval: that is SEMITONES,STEPS, such as 3,2 for a minor third up", text)
		}
		return Choice{exact: true, semitones: n, steps: k}, nil
	}
	words := strings.Fields(strings.NewReplacer("-", " ", "flat", " ♭", "sharp", " ♯").Replace(text))
	var c Choice
	if n := len(words) - 1; n > 0 && (words[n] == "up" || words[n] == "down") {
		c.direction, words = words[n], words[:n]
	}
	if n := len(words) - 1; n > 0 && words[n] == "major" {
		words = words[:n]
	}
	name := strings.Join(words, "")
	if name != "" {
		c.name = strings.ToUpper(name[:1]) + strings.NewReplacer("b", "♭", "#", "♯").Replace(name[1:])
	}
	if !slices.Contains(majors[:], c.name) {
		return Choice{}, fmt.Errorf("%q is no key from seven flats to seven sharps: %s", text, strings.Join(majors[:], " "))
	}
	return c, nil
}

// Names are those of all keys, from seven flats to seven sharps.
func Names() []string { return majors[:] }

// Of finds the chosen one among rows in the order of [Sort]. The error says what
// there is instead.
func (c Choice) Of(rows []Row) (Row, error) {
	var found []Row
	for _, r := range rows {
		fits := c == Choice{}
		switch {
		case c.exact:
			fits = r.Semitones == c.semitones && r.Steps == c.steps
		case c.name != "":
			fits = majors[r.Fifths+mostFifths] == c.name && (c.direction == "" || " "+c.direction == direction(r.Shift))
		}
		if fits {
			found = append(found, r)
		}
	}
	switch {
	case len(found) == 1, len(found) > 1 && c == Choice{}:
		return found[0], nil
	case len(found) == 0:
		return Row{}, fmt.Errorf("none of the keys within reach is %v; there are %s", c, nameList(rows))
	}
	return Row{}, fmt.Errorf("%v can be reached in %d ways: %s", c, len(found), nameList(found))
}

// String is the choice as it can be typed.
func (c Choice) String() string {
	switch {
	case c.exact:
		return fmt.Sprintf("%d,%d", c.semitones, c.steps)
	case c.name == "":
		return "auto"
	}
	return strings.TrimSpace(c.name + " " + c.direction)
}

func nameList(rows []Row) string {
	var names []string
	for _, r := range rows {
		names = append(names, r.Name)
	}
	slices.Sort(names)
	return strings.Join(names, ", ")
}

// Together are the rows of several harps as one: those that all of them have, their
// counts added up, in the order of [Sort].
func Together(harps [][]Row, o pedal.Options) []Row {
	if len(harps) == 0 {
		return nil
	}
	all := slices.Clone(harps[0])
	for _, rows := range harps[1:] {
		all = slices.DeleteFunc(all, func(r Row) bool { return r.at(rows) < 0 })
		for i := range all {
			all[i].add(&rows[all[i].at(rows)])
		}
	}
	Sort(all, o)
	return all
}

// at is the index of the row for the same interval; -1 if there is none.
func (r *Row) at(rows []Row) int {
	return slices.IndexFunc(rows, func(o Row) bool { return o.Semitones == r.Semitones && o.Steps == r.Steps })
}

func (r *Row) add(o *Row) {
	c := &r.Cost
	c.Unsounded += o.Cost.Unsounded
	c.Held += o.Cost.Held
	c.Rushed += o.Cost.Rushed
	c.Respelt += o.Cost.Respelt
	c.Switches += o.Cost.Switches
	c.Changes += o.Cost.Changes
	c.Notches += o.Cost.Notches
	r.Outside += o.Outside
	r.Errors += o.Errors
	r.Warnings += o.Warnings
	r.Notes += o.Notes
}
