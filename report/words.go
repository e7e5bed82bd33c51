package report

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"pedalogue/pedal"
	"pedalogue/pedal/beat"
	"pedalogue/report/plain"
)

// count writes a number with its noun: "1 change", "2 changes", "no changes".
func count(n int, noun string) string {
	switch n {
	case 0:
		return "no " + noun + "s"
	case 1:
		return "1 " + noun
	}
	return grouped(n) + " " + noun + "s"
}

// grouped writes a number with its thousands set off: "12,345".
func grouped(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

func (p *Part) changeCount() string { return sentenceCase(count(p.Cost.Changes, "change")) }

// respeltCount tells how many printed notes are respelt, and how many that is as
// costs are counted.
func (p *Part) respeltCount() string {
	head := count(len(p.Respelt), "respelt note")
	switch n := p.Cost.Respelt; {
	case n > len(p.Respelt):
		head += ", " + grouped(n) + " as played"
	case n < len(p.Respelt):
		head += ", " + grouped(n) + " with unisons counted once"
	}
	return head
}

// ordinal writes 1 as "1st".
func ordinal(n int) string {
	suffix := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			suffix = "st"
		case 2:
			suffix = "nd"
		case 3:
			suffix = "rd"
		}
	}
	return strconv.Itoa(n) + suffix
}

// joined writes a list as a sentence does: "a, b and c".
func joined(items []string, last string) string {
	switch n := len(items); n {
	case 0:
		return ""
	case 1:
		return items[0]
	default:
		return strings.Join(items[:n-1], ", ") + " " + last + " " + items[n-1]
	}
}

// seconds writes a time with two decimals at most: "0.75 s".
func seconds(s Seconds) string {
	text := strings.TrimRight(strconv.FormatFloat(max(0, float64(s)), 'f', 2, 64), "0")
	return strings.TrimSuffix(text, ".") + " s"
}

// label is the measure's printed number, or "#13" for the 13th measure of the
// part if nothing is printed.
func (p Place) label() string {
	if m := strings.TrimSpace(plain.Line(p.Measure)); m != "" {
		return m
	}
	return "#" + strconv.Itoa(p.Index+1)
}

// Quarters writes a length in quarter notes, which is how it is given: "2½ quarter notes".
func Quarters(length string) string {
	l, ok := new(big.Rat).SetString(length)
	switch {
	case !ok:
		return plain.Line(length)
	case l.Cmp(big.NewRat(1, 1)) <= 0:
		return beat.Text(l) + " quarter note"
	}
	return beat.Text(l) + " quarter notes"
}

// beatNumber writes a place in a measure as a musician counts it, from 1: "2½", "1⁴⁄₇".
// The offset and the unit are in quarter notes. It gives back an offset that is
// no fraction as it is.
func beatNumber(offset, unit string) string {
	o, ok := new(big.Rat).SetString(offset)
	u, okUnit := new(big.Rat).SetString(unit)
	if !ok || !okUnit || u.Sign() <= 0 {
		return plain.Line(offset)
	}
	return beat.Text(o.Quo(o, u).Add(o, big.NewRat(1, 1)))
}

// sign writes a pedal with the position it goes to: "F♯", "B♮".
func (c Change) sign() string { return c.Pedal.String() + positionSign(c.To) }

func positionSign(p pedal.Position) string {
	if p < pedal.Flat || p > pedal.Sharp {
		return "?"
	}
	return p.Sign()
}

func positionWord(p pedal.Position) string {
	switch p {
	case pedal.Flat:
		return "flat"
	case pedal.Natural:
		return "natural"
	case pedal.Sharp:
		return "sharp"
	}
	return "?"
}

// spare is how much later than it can a change can start.
func (c Change) spare() Seconds { return max(0, c.Window[1]-c.Window[0]) }

// whyRushed says what a rushed change lacks: time, or a foot that has nothing else
// to do. moveTime is in seconds.
func (c Change) whyRushed(moveTime float64) string {
	const rounding = 0.001 // of both times
	if c.Window[0] <= c.Window[1]+rounding {
		return "rushed: the foot has another change to make then"
	}
	free := max(0, c.Window[1]-c.Window[0]+Seconds(moveTime))
	if seconds(free) == seconds(0) {
		return "rushed: there is no time, and a move takes " + seconds(Seconds(moveTime))
	}
	return "rushed: there is " + seconds(free) + ", and a move takes " + seconds(Seconds(moveTime))
}

// costWords are the costs in plain words, for the proof.
var costWords = map[string]string{
	"unsounded": "notes that no string can play",
	"held":      "changes under a note still held",
	"rushed":    "rushed changes",
	"respelt":   "respelt notes",
	"switches":  "switches of a name to another string",
	"changes":   "pedal changes",
	"notches":   "notches travelled",
}

// proofSentence says in one sentence what is proved, and claims no more. Costs
// are compared in order, so no single one is called minimal by itself.
func (p *Part) proofSentence() string {
	if !p.Proof.Minimal {
		return "Not proved: a better plan may exist. No plan can do better than " + p.Proof.Bound.sentence() + "."
	}
	words := p.provedCosts()
	if len(words) == 0 {
		return "Proved: no better plan exists."
	}
	how := ". What counts, the most important first: "
	if len(words) == 1 {
		how = ". What counts: "
	}
	return "Proved: no plan is better" + how + strings.Join(words, ", ") + "."
}

// unlikeSentence says how much of the same music is played in another way; "" where
// none is.
func (p *Part) unlikeSentence() string {
	switch {
	case p.Unlike == 0:
		return ""
	case p.Unlike == 1:
		return "1 measure has the notes of an earlier one and is played on other strings."
	}
	return grouped(p.Unlike) + " measures have the notes of earlier ones and are played on other strings."
}

// pinsSentence says which strings are held, and what the player has decided and what that
// costs; "" where nothing is.
func (p *Part) pinsSentence() string {
	held := ""
	if n := p.Options.Held; n > 0 {
		held = "The reduced score holds " + count(n, "note") + " to the strings that were chosen."
	}
	if len(p.Options.Pins) == 0 {
		return held
	}
	if held != "" {
		held += " "
	}
	s := held + "Pinned: " + strings.Join(p.Options.Pins, "; ") + "."
	if p.PinsCost == nil {
		return s
	}
	c := p.PinsCost
	var words []string
	for _, n := range []struct {
		n         int
		one, many string
	}{
		{c.Held, "change under a held note", "changes under held notes"}, {c.Rushed, "rushed change", "rushed changes"},
		{c.Respelt, "respelt note", "respelt notes"}, {c.Switches, "switch", "switches"}, {c.Changes, "change", "changes"},
	} {
		way := " more"
		if n.n < 0 {
			n.n, way = -n.n, " fewer"
		}
		switch n.n {
		case 0:
		case 1:
			words = append(words, "1 "+n.one+way)
		default:
			words = append(words, grouped(n.n)+" "+n.many+way)
		}
	}
	if len(words) == 0 {
		return s + " That costs nothing."
	}
	return s + " With that there are " + joined(words, "and") + "."
}

// curveWords explain the table of prices.
const curveWords = "Each line is the balanced plan where a change is worth so many respelt notes, or fewer down to the next line."

// provedCosts names what the proof covers, most important first. The mode
// "balanced" weighs changes, switches and respelt notes in one sum, so they are one
// item.
func (p *Part) provedCosts() []string {
	balanced := p.Options.Respell == "balanced" && slices.Contains(p.Proof.Covers, "changes") && slices.Contains(p.Proof.Covers, "respelt")
	var words []string
	for _, name := range p.Proof.Covers {
		switch {
		case balanced && name == "changes":
			words = append(words, fmt.Sprintf("pedal changes, switches of a name to another string and respelt notes together (one change counts as %d, one switch as %d)", p.Options.ChangePrice, p.Options.SwitchPrice))
		case balanced && (name == "respelt" || name == "switches"):
		case costWords[name] != "":
			words = append(words, costWords[name])
		default:
			words = append(words, plain.Line(name))
		}
	}
	return words
}

// sentence writes all costs that are not zero, in plain words.
func (c Cost) sentence() string {
	var words []string
	add := func(n int, one, many string) {
		switch {
		case n == 1:
			words = append(words, "1 "+one)
		case n > 1:
			words = append(words, grouped(n)+" "+many)
		}
	}
	add(c.Unsounded, "unplayable note", "unplayable notes")
	add(c.Held, "change under a held note", "changes under held notes")
	add(c.Rushed, "rushed change", "rushed changes")
	add(c.Respelt, "respelt note", "respelt notes")
	add(c.Switches, "switch", "switches")
	add(c.Changes, "change in all", "changes in all")
	add(c.Notches, "notch", "notches")
	if len(words) == 0 {
		return "no change at all"
	}
	return joined(words, "and")
}
