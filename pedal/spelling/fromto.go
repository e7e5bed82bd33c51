package spelling

import (
	"strings"

	"pedalogue/pedal"
)

// arrows writes all arrows as one. One of ASCII would be taken for a dash.
var arrows = strings.NewReplacer("-->", "→", "->", "→", "–>", "→", "—>", "→", "⟶", "→", "➔", "→", "➝", "→", "➞", "→", "⇒", "→")

// tos are words that say where a pedal goes, in lower case.
var tos = []string{"to ", "à ", "zu ", "nach ", "auf ", "a "}

// moved reads where a pedal goes that was read, "F♮→F♯", "F nat. to F♯", "F♮→♯", and makes
// w that. Nothing is read if what follows is of another letter ("C♯ → A♭"). ok is false if
// the pedal stays where it is, or if an end says no position and no word says that pedals
// are meant: "F→F♯" is also a change of key. In German one name is enough, "F → Fis".
// Source: common practice.
func (r *pedalReader) moved(w *pedalWord) (ok bool) {
	rest, found := behindTo(r.rest)
	if !found || r.lead.strings {
		return true
	}
	before := r.rest
	r.rest = rest
	target, read := r.target(w.Letter)
	if !read || target.Letter != w.Letter {
		r.rest = before
		return true
	}
	named := r.language == German && (w.named || target.named)
	if target.Position == w.Position || (w.bare || target.bare) && !named && !r.lead.led {
		return false
	}
	target.bare, target.moved = false, true
	*w = target
	return true
}

// target reads the end of a change: a pedal, or the sign alone.
func (r *pedalReader) target(l pedal.Letter) (w pedalWord, ok bool) {
	if r.rest == "" {
		return w, false
	}
	if startsWithSign(r.rest) || startsWithSignWord(r.rest) {
		p, _, ok := r.sign()
		return pedalWord{Tuning: Tuning{l, p}}, ok
	}
	return r.pedal()
}

// behindTo is what follows an arrow or a word such as "to".
func behindTo(text string) (rest string, found bool) {
	trimmed := strings.TrimLeft(text, " \t")
	if rest, found = strings.CutPrefix(trimmed, "→"); found {
		return strings.TrimLeft(rest, " \t"), true
	}
	for _, to := range tos {
		if len(trimmed) >= len(to) && len(trimmed) < len(text) && strings.EqualFold(trimmed[:len(to)], to) {
			return strings.TrimLeft(trimmed[len(to):], " \t"), true
		}
	}
	return "", false
}

// startsWithSignWord reports whether a text begins with an English word for a sign.
func startsWithSignWord(text string) bool {
	for _, word := range [...]string{"flat", "sharp", "natural", "nat.", "nat"} {
		if len(text) >= len(word) && strings.EqualFold(text[:len(word)], word) && startsApart(text[len(word):]) {
			return true
		}
	}
	return false
}
