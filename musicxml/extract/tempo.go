package extract

import (
	"regexp"
	"sync"
)

// tempoWord are the words of tempo and its changes, in Italian, French, German and
// English, as stems. Common practice. It is made when it is wanted, as all patterns here
// are: a program should not wait for them when it starts.
var tempoWord = onWish(`(?i)(^|[^\pL])(` +
	// Italian
	`accel|adag|affrett|agitat|alla breve|allarg|alleg|andan|anima|calando|calmato|con (anima|fuoco|moto)|doppio|grave|` +
	`incalz|istesso|l['’]istesso|larg[oh]|largamente|lentando|lent[oi]|mosso|moto|moderat|piacere|più moto|precipit|prest|` +
	`rall|rit\.|rit$|ritard|riten|ritmo di|rubato|slarg|slent|sostenuto|string|tempo|tranquill|vivac|vivo|veloce|` +
	// French
	`anim[ée]|animez|animant|au mouv|1er mouv|mouv|mouvement|c[ée]de[rz]|élargi|élargissez|ralent|retenu|retenez|retenir|retenant|` +
	`press[eé]|pressez|pressant|serr[eé]|serrez|vif|vite|lent|lentement|lenteur|modéré|plus lent|moins|rapide|à l'aise|` +
	// German
	`beleb|beschleun|beweg|breit|drängend|eilen|fließ|fliess|gehend|gemessen|getragen|hauptzeit|langsam|lebhaft|mäßig|mässig|` +
	`nachlassend|rasch|ruhig|schlepp|schnell|tempo|treibend|vorwärts|wie zu anfang|zeit lassen|zeitmaß|zeitmass|zögernd|zurückhalt|` +
	// English
	`broad|fast|faster|hold back|in time|lively|pushing|quick|slow|slower|steady|` +
	// All of them: a rest for everybody, and time that a singer gives
	`g\. ?p\.|general ?pause|generalpause|recit|ad lib)`)

// notTempo are words for one player's instrument beside which "vite" or "lento" is no
// tempo. Common practice.
var notTempo = onWish(`(?i)sourd|sord|mute|dämpfer|arco|pizz|ped(\.|al)|arp[eé]g`)

// isTempo reports whether a printed text is about tempo.
func isTempo(text string) bool {
	return len(text) <= 120 && tempoWord().MatchString(text) && !notTempo().MatchString(text)
}

// onWish is a pattern that is made when it is asked for first.
func onWish(pattern string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(pattern) })
}
