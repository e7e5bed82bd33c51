package finding

import (
	"strconv"
	"strings"
	"time"

	"pedalogue/pedal"
)

// caution ends every finding about strain.
const caution = " Comfort and safety are for the player and a teacher to judge."

// number writes a count in words up to twelve.
func number(n int) string {
	words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n < 0 || n >= len(words) {
		return strconv.Itoa(n)
	}
	return words[n]
}

// times writes how often: "once", "twice", "three times".
func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return number(n) + " times"
}

// interval names an interval by its number, with its article: "a tenth".
func interval(n int) string {
	words := [...]string{1: "a unison", 2: "a second", 3: "a third", 4: "a fourth", 5: "a fifth", 6: "a sixth",
		7: "a seventh", 8: "an octave", 9: "a ninth", 10: "a tenth", 11: "an eleventh", 12: "a twelfth",
		13: "a thirteenth", 14: "a fourteenth", 15: "two octaves", 22: "three octaves", 29: "four octaves", 36: "five octaves"}
	if n >= 1 && n < len(words) && words[n] != "" {
		return words[n]
	}
	octaves := min(max((n-1)/7, 0), 12)
	return "more than " + number(octaves) + " octaves"
}

// seconds writes a time with two decimals at most: "0.75 s".
func seconds(d time.Duration) string {
	text := strconv.FormatFloat(max(0, d).Seconds(), 'f', 2, 64)
	text = strings.TrimRight(text, "0")
	return strings.TrimSuffix(text, ".") + " s"
}

// shown is a time as seconds writes it: limits are compared as they are printed.
func shown(d time.Duration) time.Duration { return max(0, d).Round(10 * time.Millisecond) }

// below writes a time that is less than another, with as many decimals as tell that.
func below(d, than time.Duration) string {
	for unit := 10 * time.Millisecond; unit > time.Nanosecond; unit /= 10 {
		if d.Round(unit) < than.Round(unit) {
			return strconv.FormatFloat(max(0, d).Round(unit).Seconds(), 'f', -1, 64) + " s"
		}
	}
	return seconds(d)
}

// plural picks the form of a word for a count.
func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// pitchOf is the pitch that a string plays.
func pitchOf(s pedal.String) pedal.Pitch {
	return pedal.Pitch{Letter: s.Letter, Cents: 100 * int(s.Position), Octave: s.Octave}
}

// positioned names a pedal in a position, naturals with their sign: "B♮".
func positioned(l pedal.Letter, p pedal.Position) string { return l.String() + p.Sign() }
