package spelling

import (
	"slices"
	"strings"
)

// leads are the words that ask a player to set the pedals, in lower case.
// "accordez": [EIN-notating]; the others: common practice.
var leads = []string{
	"accordez", "accorder", "set", "tune", "tuning", "change", "to", "pedal", "pedals", "ped.", "pédale", "pédales", "pedale", "pedali",
	"stimmen", "stimmung", "umstimmen", "stelle", "stellen", "harp", "harpe", "harfe", "arpa", "mettez", "mettre", "accordate", "accordare", "mettere",
}

// preparing are those that ask for it ahead of the need. Common practice.
var preparing = []string{
	"prepare", "prep.", "préparez", "préparer", "preparez", "prép.", "vorbereiten", "vorber.", "vorb.", "preparare", "preparate", "prepara",
}

// inLeads may follow one of them, as in "pédale de mi♭" and "set the F♯". Common practice.
var inLeads = []string{"the", "of", "de", "du", "di", "auf"}

// A lead is what stands before the names of pedals.
type lead struct {
	led, prepared bool
	strings       bool // what follows are names of strings, of which none moves
}

// withoutLeads takes such words off the start of a text, and "vorbereiten" and "pedal" off
// its end.
func withoutLeads(text string) (rest string, l lead) {
	for {
		end := strings.IndexAny(text, " \t\r\n:")
		if end < 0 {
			break
		}
		word := strings.ToLower(text[:end])
		prepare := slices.Contains(preparing, word)
		if !prepare && !slices.Contains(leads, word) && !(l.led && slices.Contains(inLeads, word)) {
			break
		}
		l.led, l.prepared = true, l.prepared || prepare
		text = strings.TrimLeft(text[end:], " \t\r\n:")
	}
	if i := strings.LastIndexAny(text, " \t\n"); i > 0 && slices.Contains(preparing, strings.ToLower(text[i+1:])) {
		l.led, l.prepared = true, true
		text = strings.TrimRight(text[:i], " \t\r\n")
	}
	text, compound := withoutPedal(text)
	l.led = l.led || compound
	return text, l
}

// behind are words that may stand behind the name of a pedal, in lower case.
var behind = []string{"pedal", "pedals", "pédale", "pédales", "pedale", "pedali"}

// withoutPedal takes such a word off the end of a text, "E♭ pedal", "Es-Pedal". Only a
// compound makes a name of what is a word elsewhere: "des pédales" and "as pedal" say
// nothing of D and A.
func withoutPedal(text string) (name string, compound bool) {
	i := strings.LastIndexAny(text, " \t\n-")
	if i <= 0 || !slices.Contains(behind, strings.ToLower(text[i+1:])) {
		return text, false
	}
	return strings.TrimRight(text[:i], " \t\r\n"), text[i] == '-'
}
