package spelling

import (
	"slices"
	"strings"

	"pedalogue/pedal"
)

// Between parts the pedals of one line: a no-break space, since programs that
// look for printed jumps take "D C" for da capo.
const Between = "\u00a0"

// Setting writes a full setting as letters on two lines, the right foot over the
// left, a bare letter being natural [EIN-notating].
func (g Language) Setting(s pedal.Setting) string {
	var feet [2][]string
	for l := range pedal.Letter(pedal.Letters) {
		feet[l.Foot()] = append(feet[l.Foot()], g.Word(l, s[l], true))
	}
	return footLines(feet)
}

// Changes writes changes with their new signs, the right foot over the left
// [EIN-notating]; "" for none.
func (g Language) Changes(changes map[pedal.Letter]pedal.Position) string {
	var feet [2][]string
	for l := range pedal.Letter(pedal.Letters) {
		if position, ok := changes[l]; ok {
			feet[l.Foot()] = append(feet[l.Foot()], g.Word(l, position, false))
		}
	}
	return footLines(feet)
}

// footLines writes the right foot's words over the left foot's; a foot without
// any has no line.
func footLines(feet [2][]string) string {
	var lines []string
	for _, f := range []pedal.Foot{pedal.Right, pedal.Left} {
		if len(feet[f]) > 0 {
			lines = append(lines, strings.Join(feet[f], Between))
		}
	}
	return strings.Join(lines, "\n")
}

// The words that stand before changes which a jump back needs, and before those
// for when all is played.
var (
	repeatWords = [...]string{English: "for the repeat:", French: "pour la reprise :", German: "für die Wiederholung:"}
	endWords    = [...]string{English: "at the end:", French: "à la fin :", German: "am Schluss:"}
)

// Repeat writes changes that a jump back needs, for the measure before the jump: on a
// line below the words, so that the text is narrow enough for that measure.
func (g Language) Repeat(changes map[pedal.Letter]pedal.Position) string {
	return strings.Replace(g.led(repeatWords[g], changes), repeatWords[g]+" ", repeatWords[g]+"\n", 1)
}

// AtEnd writes changes for when all is played, on one line, for a last place that
// is played before as well.
func (g Language) AtEnd(changes map[pedal.Letter]pedal.Position) string {
	return g.led(endWords[g], changes)
}

// led writes changes after words, on one line.
func (g Language) led(words string, changes map[pedal.Letter]pedal.Position) string {
	return words + " " + strings.ReplaceAll(g.Changes(changes), "\n", Between)
}

// equals stands before the strings of respelt notes.
const equals = "= "

// Played writes on which strings notes are played, each name once: "= D♭". With the
// equals sign, which no pedal mark has, nobody takes them for changes of pedals.
func (g Language) Played(list []pedal.String) string {
	var words []string
	for _, s := range list {
		if word := g.Word(s.Letter, s.Position, false); !slices.Contains(words, word) {
			words = append(words, word)
		}
	}
	return strings.ReplaceAll(equals+strings.Join(words, Between), " ", Between)
}

// String writes a pedal in a position in English, "F♯", a natural with its sign.
func (t Tuning) String() string { return English.Word(t.Letter, t.Position, false) }
