package spelling

import (
	"slices"
	"strings"
)

// ParseWithin reads a pedal mark that stands in one text with other words, in a part in a
// language (English where none is known), and returns those words as rest. It is strict,
// since a letter with a sign has many meanings among words. The mark is the longest run of
// words that [ParseIn] reads, if
//
//   - it is parted from the other words, on each side on which there are any: by a dash,
//     a comma, a colon, a semicolon, a line end or parentheses around them ("près de la
//     table – F♭", "F♯ (sec)"), by a word such as "avec" ("gliss. avec Do♯"), or since they
//     say how to play and nothing else ("gliss. F♯");
//   - no other word speaks of keys, chords, notes, instruments, editions, or of another
//     time ("C♯ minor", "Cl. – B♭", "orig.: F♯", "2nd time: F♯");
//   - the rest names no note ("C♯ – A♭", "D C♯ B").
//
// Names in parentheses name strings, and a text with an equals sign does, see
// [ParsePlayed]; what is told ahead is read by [ParseAhead]. ok is false for these.
// Source: common practice.
func ParseWithin(text string, g Language) (m Marks, rest string, ok bool) {
	text = plainSigns(text)
	if strings.Contains(text, "=") || !hintsAtPedals(text) {
		return m, "", false
	}
	if _, ahead := ParseAhead(text); ahead {
		return m, "", false
	}
	words := wordsOf(text)
	if len(words) > mostWords {
		return m, "", false
	}
	for n := len(words) - 1; n > 0; n-- {
		for i := 0; i+n <= len(words); i++ {
			if m, rest, ok = within(text, words[i].from, words[i+n-1].to, g); ok {
				return m, rest, true
			}
		}
	}
	return m, "", false
}

// mostWords is how long a text with a mark in it may be.
const mostWords = 16

// A wordAt is a word by where it stands in a text.
type wordAt struct{ from, to int }

// wordsOf are the words of a text, dashes apart.
func wordsOf(text string) (list []wordAt) {
	for at := 0; at < len(text); {
		rest := strings.TrimLeft(text[at:], spaces)
		from := len(text) - len(rest)
		if rest == "" {
			break
		}
		end := strings.IndexAny(rest, spaces)
		if end < 0 {
			end = len(rest)
		}
		list = append(list, wordAt{from, from + end})
		at = from + end
	}
	return list
}

const spaces = " \t\r\n"

// within reads a part of a text as a mark, the rest as other words.
func within(text string, from, to int, g Language) (m Marks, rest string, ok bool) {
	span := strings.Trim(text[from:to], spaces+",;:")
	if m, ok = ParseIn(span, g); !ok || meansElse(span, len(m.Pedals)) {
		return m, "", false
	}
	before, after := strings.Trim(text[:from], spaces), strings.Trim(text[to:], spaces)
	if !mayStandBeside(before) || !mayStandBeside(after) {
		return m, "", false
	}
	endsApart := strings.HasSuffix(text[from:to], ",") || strings.HasSuffix(text[from:to], ";") || strings.HasSuffix(text[from:to], ":")
	line := func(between string) bool { return strings.Contains(between, "\n") }
	gap := text[:from][len(strings.TrimRight(text[:from], spaces)):]
	if before != "" && !line(gap) && !endsWithPart(before) && !onlyPlaying(before) {
		return m, "", false
	}
	gap = text[to:][:len(text[to:])-len(strings.TrimLeft(text[to:], spaces))]
	if after != "" && !line(gap) && !endsApart && !beginsWithPart(after) && !onlyPlaying(after) {
		return m, "", false
	}
	before = strings.TrimRight(before, spaces+partings)
	if word := lastWord(before); slices.Contains(joining, word) {
		before = strings.TrimRight(before[:len(before)-len(word)], spaces+partings)
	}
	return m, strings.Trim(before+" "+strings.TrimLeft(after, spaces+partings), spaces), true
}

// meansElse tells of a mark of so many pedals that it is no mark among words: "ab" and
// "to E♭" are parts of a sentence, "f natural" may be a dynamic and a word.
func meansElse(span string, pedals int) bool {
	return span == "Ab" || strings.HasPrefix(span, "to ") || strings.HasPrefix(span, "[") || strings.HasPrefix(span, "f ") && pedals == 1
}

// partings are what parts a mark from words.
const partings = ",;:–—-"

// endsWithPart tells whether words before a mark end so that it stands apart.
func endsWithPart(before string) bool {
	if strings.ContainsAny(before[len(before)-1:], ",;:)]-") || strings.HasSuffix(before, "–") || strings.HasSuffix(before, "—") {
		return true
	}
	return slices.Contains(joining, lastWord(before))
}

// beginsWithPart tells whether words behind a mark stand apart.
func beginsWithPart(after string) bool {
	return strings.ContainsAny(after[:1], ",;:([") || strings.HasPrefix(after, "– ") || strings.HasPrefix(after, "— ") || strings.HasPrefix(after, "- ")
}

// joining are words that join a mark to what is said of it, in lower case.
var joining = []string{"avec", "with", "mit", "con"}

func lastWord(text string) string {
	words := strings.Fields(strings.ToLower(text))
	if len(words) == 0 {
		return ""
	}
	return words[len(words)-1]
}

// mayStandBeside tells whether words may stand beside a mark in one text.
func mayStandBeside(words string) bool {
	for _, w := range bareWords(words) {
		if slices.Contains(speakOfOthers, w) {
			return false
		}
	}
	for _, w := range strings.Fields(words) {
		w = strings.Trim(w, "()[]."+partings)
		if len(w) == 1 && w[0] >= 'A' && w[0] <= 'H' || slices.Contains(bareNames, w) {
			return false
		}
		if m, ok := Parse(w); ok && len(m.Pedals) > 0 || startsWithSign(w) {
			return false
		}
	}
	return true
}

// bareNames are notes without a sign that a list of pedals may hold.
var bareNames = []string{"Do", "Ré", "Re", "Mi", "Fa", "Sol", "La", "Si"}

// onlyPlaying tells whether words say how to play, and nothing else.
func onlyPlaying(words string) bool {
	for _, w := range bareWords(words) {
		if !slices.Contains(playing, w) {
			return false
		}
	}
	return true
}

// bareWords are the words of a text in lower case, without what stands around and between
// them: "p.d.l.t." is four.
func bareWords(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(spaces+partings+".()[]!?*'’", r) })
}

// playing are words that say how to play, in lower case, beside which a letter with a sign
// is a pedal. Source: [EIN-general], [HARPQUEST]; abbreviations: common practice.
var playing = strings.Fields(`gliss glissando glissandi glissez sec secco étouffé étouffée étouffés étouffez etouffez p d l t pdlt près de la table
	v lv laissez vibrer let ring bisb bisbigl bisbigliando ord ordinario dolce espr espress espressivo sim simile solo sub subito sempre
	f mf mp pp ppp ff fff sf sfz fp cresc dim xyl damp muffle ongles nails m g r h dr s gedämpft abdämpfen klingen lassen vibrare
	lasciar arpeggio arpegg arpégé arpeggiato non attacca ped péd pedal pedals pédale pédales`)

// speakOfOthers are words beside which a letter with a sign is a key, a chord, a note, a
// string, an instrument, or for another time, in lower case.
var speakOfOthers = strings.Fields(`major minor maj min dur moll majeur mineur maggiore minore key tonality ton tonart orig original originally
	ed edition édition ausgabe ms mss autograph autographe sic note notes nota noten ossia read lire lies statt instead not nicht pas chord chords
	accord akkord accordo string strings corde cordes saite saiten corda trill tr trille triller harm harmonic harmonics flageolet sons
	cl clar clarinet clarinette klarinette horn horns hn cor cors corno tpt trp trumpet trompette trompete sax fl flute ob oboe fg bn vln vl viola
	timp timpani in en aus to from until jusqu bis von top bottom upper lower
	time fois mal volta repeat reprise wiederholung ritornello 1st 2nd 3rd 1 2 3 1re 2e capo coda segno d.c d.s`)

// hintsAtPedals tells cheaply whether a text may name a pedal among other words.
func hintsAtPedals(text string) bool {
	if strings.ContainsAny(text, "♭♮♯#\ue680\ue681\ue682") {
		return true
	}
	for _, w := range bareWords(text) {
		switch {
		case len(w) == 2 && w[1] == 'b' && w[0] >= 'a' && w[0] <= 'g', slices.Contains(hints, w):
			return true
		}
	}
	return false
}

// hints are words that say in which position a pedal is, and names that do, in lower case.
var hints = strings.Fields(`flat sharp natural nat bémol bemol dièse diese bécarre becarre naturel diesis bemolle bequadro naturale
	cis dis eis fis gis ais his ces des es fes ges as`)
