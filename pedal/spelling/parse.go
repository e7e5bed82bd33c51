package spelling

import (
	"slices"
	"strings"

	"pedalogue/pedal"
)

// Marks are the pedals that a printed text names.
type Marks struct {
	Pedals   []Tuning // in the order of the text, each letter once
	Full     bool     // all seven are named
	Language Language // of the text; English for signs alone
	// Ambiguous: the letters could also be German ones, in which a bare B is B
	// flat; they were read as English.
	Ambiguous bool
	Prepared  bool // a word such as "prepare" says that they are set ahead of the need
}

// A Tuning is a pedal in a position.
type Tuning struct {
	Letter   pedal.Letter   // which pedal
	Position pedal.Position // and where it stands
}

// Setting returns the setting of full marks; a letter that is not named stands
// at natural.
func (m Marks) Setting() pedal.Setting {
	var s pedal.Setting
	for _, t := range m.Pedals {
		s[t.Letter] = t.Position
	}
	return s
}

// Parse reads a printed text as a pedal mark: a full setting of seven
// letters, on one line or two, the feet parted or not; or changes, each letter
// with its sign, or from one sign to another ("F♮→F♯", "F nat. to F♯"). Names are English, German, French or Italian; words such as "accordez"
// or "prepare" may stand before them, and "pedal" behind. So may the glyphs of a pedal diagram
// (SMuFL U+E680 to U+E683). Marks that are to be prepared are Prepared.
//
// ok is false for everything else. It is strict where a text could mean
// something else: a bare letter is read in a full setting only, seven bare
// letters only in the order of the pedals, and a text in parentheses or with an equals sign, which
// tells what a written note is played as, is no mark.
//
// Sources: [EIN-notating], [EVELIN]; abbreviations: common practice.
func Parse(text string) (m Marks, ok bool) {
	text = plainSigns(text)
	if m, ok := parseDiagram(text); ok {
		return m, true
	}
	text, l := withoutLeads(text)
	m, ok = parseNames(text, l)
	m.Prepared = l.prepared && ok
	return m, ok
}

// ParseIn is Parse for a text that is known to be in a language: a bare B of a German
// text is B flat, and one name alone is a change, such as "B" and "Es", which are
// words or other letters elsewhere.
func ParseIn(text string, g Language) (m Marks, ok bool) {
	m, ok = Parse(text)
	if g != German || ok && !m.Ambiguous {
		return m, ok
	}
	text, _ = withoutLeads(plainSigns(text))
	if german, ok := parseLetters(text, German, lead{led: true}); ok {
		return german, true
	}
	if german, ok := germanPedals(text, lead{led: true}); ok && !strings.ContainsAny(text, "/|-–") {
		return german, true
	}
	return m, ok
}

// germanPedals reads names beside signs and a bare H or B, "C♮ B".
func germanPedals(text string, l lead) (m Marks, ok bool) {
	list, ok := readPedals(text, German, l)
	if !ok || len(list) == pedal.Letters || !onlyHAndB(list) {
		return m, false
	}
	m.Language = German
	for _, w := range list {
		if slices.ContainsFunc(m.Pedals, func(t Tuning) bool { return t.Letter == w.Letter }) {
			return Marks{}, false
		}
		m.Pedals = append(m.Pedals, w.Tuning)
	}
	return m, true
}

// plainSigns writes the glyphs of signs as the signs, and "F-sharp" in two words.
func plainSigns(text string) string { return strings.Trim(plain.Replace(text), " \t\r\n") }

var plain = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\ue260", "♭", "\ue261", "♮", "\ue262", "♯", "\ufe0e", "",
	"-sharp", " sharp", "-flat", " flat", "-natural", " natural", "-nat.", " nat.")

// parseNames reads names in whatever language.
func parseNames(text string, l lead) (m Marks, ok bool) {
	if bracketed := len(text) > 1 && text[0] == '[' && text[len(text)-1] == ']'; bracketed {
		text = text[1 : len(text)-1]
	}
	english, ok := parseLetters(text, English, l)
	if ok {
		german, also := parseLetters(text, German, l)
		english.Ambiguous = also && german.Setting() != english.Setting()
		return english, true
	}
	for _, g := range []Language{German, French, Italian} {
		if m, ok := parseLetters(text, g, l); ok {
			return m, true
		}
	}
	return Marks{}, false
}

// parseDiagram reads seven glyphs of pedals, with or without the divider.
// Source: SMuFL, harp techniques U+E680 to U+E683.
func parseDiagram(text string) (m Marks, ok bool) {
	for _, r := range text {
		switch {
		case r == '\ue683' && len(m.Pedals) == int(pedal.E), r == ' ', r == '\n':
		case r >= '\ue680' && r <= '\ue682' && len(m.Pedals) < pedal.Letters:
			m.Pedals = append(m.Pedals, Tuning{pedal.Letter(len(m.Pedals)), pedal.Position(r-'\ue680') + pedal.Flat})
		default:
			return Marks{}, false
		}
	}
	m.Full = len(m.Pedals) == pedal.Letters
	return m, m.Full
}

// parseLetters reads a text as pedals in one language.
func parseLetters(text string, g Language, l lead) (m Marks, ok bool) {
	list, ok := readPedals(text, g, l)
	if !ok {
		return m, false
	}
	m.Language = g
	var seen [pedal.Letters]bool
	bare, named, moved := 0, 0, false
	for _, w := range list {
		if seen[w.Letter] {
			return m, false
		}
		seen[w.Letter] = true
		m.Pedals = append(m.Pedals, w.Tuning)
		if w.bare {
			bare++
		}
		if w.named {
			named++
		}
		moved = moved || w.moved
	}
	m.Full = len(list) == pedal.Letters
	switch {
	case m.Full:
		return m, !moved && (bare < pedal.Letters || l.led || inFootOrder(m.Pedals))
	case g == German && named > 0 && named == len(list)-bare && onlyHAndB(list):
		return m, len(list) > 1 || l.led || moved || !isWord(text)
	case bare > 0 || strings.ContainsAny(arrows.Replace(text), "/|-–"):
		return m, false // only the feet of a full setting are parted so
	}
	return m, !slices.ContainsFunc(list, func(w pedalWord) bool { return w.word }) || len(list) > 1 || l.led
}

// inFootOrder tells the order of the pedals, or that of the two lines, from an
// alphabet or a scale.
func inFootOrder(list []Tuning) bool {
	var order []byte
	for _, t := range list {
		order = append(order, t.Letter.String()[0])
	}
	return string(order) == "DCBEFGA" || string(order) == "EFGADCB"
}

// onlyHAndB reports that every bare letter of a German text is H or B, which
// say their position by themselves.
func onlyHAndB(list []pedalWord) bool {
	for _, w := range list {
		if w.bare && w.Letter != pedal.B {
			return false
		}
	}
	return true
}

// isWord reports whether a single German name is also an everyday word of some
// language.
func isWord(name string) bool {
	name = strings.ToLower(strings.Trim(name, " ."))
	return !slices.Contains([]string{"cis", "fis", "gis", "ais", "ges", "fes"}, name)
}

// A pedalWord is one pedal as it is printed.
type pedalWord struct {
	Tuning
	bare  bool // without a sign
	named bool // its name says its position, "Fis"
	word  bool // it may be words as well, as "An" and "a flat"
	moved bool // it goes there from another position, "F♮→F♯"
}

// A pedalReader reads the pedals of a text from left to right.
type pedalReader struct {
	rest     string
	language Language
	lead     lead // what stands before the text
}

// readPedals reads all pedals of a text; ok is false if anything else is in it.
func readPedals(text string, g Language, l lead) (list []pedalWord, ok bool) {
	r := pedalReader{arrows.Replace(text), g, l}
	for {
		parted := r.skip()
		if r.rest == "" {
			return list, len(list) > 0
		}
		if len(list) == pedal.Letters || len(list) > 0 && !parted && g != English {
			return nil, false
		}
		w, ok := r.pedal()
		if ok {
			ok = r.moved(&w)
		}
		if !ok {
			return nil, false
		}
		list = append(list, w)
	}
}

// between is what may stand between two pedals, and ands the words that may.
const between = " \t\r\n,;|/–-·"

var ands = []string{"and", "et", "und", "&", "+", "e"}

// skip passes what may stand between two pedals, and a full stop at the end.
func (r *pedalReader) skip() (parted bool) {
	before := len(r.rest)
	r.rest = strings.TrimLeft(r.rest, between)
	for _, word := range ands {
		after, found := strings.CutPrefix(r.rest, word)
		if trimmed := strings.TrimLeft(after, between); found && len(r.rest) < before && len(trimmed) < len(after) && trimmed != "" && !startsWithSignWord(trimmed) {
			r.rest = trimmed
		}
	}
	if r.rest == "." {
		r.rest = ""
	}
	return len(r.rest) < before
}

// pedal reads one pedal: its name and its sign.
func (r *pedalReader) pedal() (w pedalWord, ok bool) {
	switch r.language {
	case English:
		w, ok = r.oneLetter("DCBEFGA")
	case German:
		if w, ok = r.germanName(); ok {
			return w, r.ends()
		}
		w, ok = r.oneLetter("DCHEFGA")
	case French, Italian:
		w, ok = r.solfege()
	}
	if !ok {
		return w, false
	}
	before := r.rest
	p, letter, signed := r.sign()
	if !signed {
		r.rest = before
		w.bare = true
		// Letters may stand close together, a syllable may not run on.
		return w, r.ends() || r.language == English && strings.ContainsAny(r.rest[:1], "ABCDEFG")
	}
	w.Position, w.word = p, letter || w.word
	return w, true
}

// oneLetter reads a letter in upper case.
func (r *pedalReader) oneLetter(names string) (w pedalWord, ok bool) {
	i := strings.IndexByte(names, r.rest[0])
	after := r.rest[1:]
	inWords := r.language == English && strings.HasPrefix(after, " ") && startsWithSignWord(strings.TrimLeft(after, " "))
	if lower := r.rest[0] - 'a' + 'A'; i < 0 && (startsWithSign(after) || inWords) {
		i = strings.IndexByte(names, lower) // a lower-case letter has its sign behind it
	}
	if i < 0 {
		return w, false
	}
	w = pedalWord{Tuning: Tuning{Letter: pedal.Letter(i)}, word: inWords && r.rest[0] == 'a'}
	r.rest = after
	return w, true
}

// germanName reads a name that says its position: one in -is or -es, "As", "Es"
// and "B".
func (r *pedalReader) germanName() (w pedalWord, ok bool) {
	for _, row := range []struct {
		names [pedal.Letters]string
		p     pedal.Position
	}{{germanFlats, pedal.Flat}, {germanSharp, pedal.Sharp}} {
		for l, name := range row.names {
			rest, found := strings.CutPrefix(r.rest, name)
			if !found && name != "B" {
				rest, found = strings.CutPrefix(r.rest, strings.ToLower(name))
			}
			if found && startsApart(rest) {
				r.rest = strings.TrimPrefix(rest, "♭")
				if r.rest != rest && name != "B" {
					return w, false
				}
				return pedalWord{Tuning: Tuning{pedal.Letter(l), row.p}, bare: name == "B", named: name != "B"}, true
			}
		}
	}
	return w, false
}

// solfege reads a French syllable, in whatever case. Do is also ut.
func (r *pedalReader) solfege() (w pedalWord, ok bool) {
	for i, name := range [...]string{"ré", "do", "si", "mi", "fa", "sol", "la", "re", "ut"} {
		if len(r.rest) < len(name) || !strings.EqualFold(r.rest[:len(name)], name) {
			continue
		}
		r.rest = r.rest[len(name):]
		l := pedal.Letter(i % pedal.Letters) // "re" is D, "ut" is C
		return pedalWord{Tuning: Tuning{Letter: l}}, true
	}
	return w, false
}

// The signs that are words, with the language that they belong to; longer ones come
// first.
var signWords = []struct {
	word string
	p    pedal.Position
	g    Language // Italian where the word is not read in French; English for any
}{
	{"bemolle", pedal.Flat, Italian}, {"bequadro", pedal.Natural, Italian}, {"naturale", pedal.Natural, Italian}, {"diesis", pedal.Sharp, Italian},
	{"bem.", pedal.Flat, Italian}, {"beq.", pedal.Natural, Italian}, {"dies.", pedal.Sharp, Italian},
	{"bémol", pedal.Flat, English}, {"bemol", pedal.Flat, English}, {"bécarre", pedal.Natural, English}, {"becarre", pedal.Natural, English},
	{"naturel", pedal.Natural, English}, {"dièse", pedal.Sharp, English}, {"diese", pedal.Sharp, English}, {"dièze", pedal.Sharp, English}, {"bém.", pedal.Flat, English},
	{"béc.", pedal.Natural, English}, {"flat", pedal.Flat, English}, {"natural", pedal.Natural, English}, {"nat.", pedal.Natural, English},
	{"nat", pedal.Natural, English}, {"sharp", pedal.Sharp, English}, {"b.", pedal.Flat, English}, {"n.", pedal.Natural, English},
}

// sign reads the sign of a pedal, which may stand apart. letter tells that it is
// a bare n.
func (r *pedalReader) sign() (p pedal.Position, letter, ok bool) {
	rest := strings.TrimLeft(r.rest, " \t")
	for i, sign := range []string{"♭", "♮", "♯", "#"} {
		if after, found := strings.CutPrefix(rest, sign); found {
			// A second sign would make a double one, which no pedal has.
			r.rest = after
			return min(pedal.Position(i)-1, pedal.Sharp), false, !startsWithSign(after)
		}
	}
	for _, s := range signWords {
		if s.g == Italian && r.language != Italian {
			continue
		}
		if len(rest) >= len(s.word) && strings.EqualFold(rest[:len(s.word)], s.word) && startsApart(rest[len(s.word):]) {
			r.rest = rest[len(s.word):]
			return s.p, false, true
		}
	}
	apart := len(rest) < len(r.rest)
	for i, sign := range []string{"b", "n"} {
		after, found := strings.CutPrefix(rest, sign)
		if !found || apart && r.language != French && r.language != Italian || !startsApart(after) && !(r.language == English && strings.ContainsAny(after[:1], "ABCDEFG")) {
			continue
		}
		r.rest = after
		return pedal.Position(i) - 1, sign == "n", true
	}
	return 0, false, false
}

// ends reports whether a name ends here.
func (r *pedalReader) ends() bool { return startsApart(r.rest) }

// startsApart reports whether what follows is parted from what was before.
func startsApart(rest string) bool {
	if rest == "" || rest == "." {
		return true
	}
	return strings.ContainsRune(" \t\r\n,;|/–-·♭→", []rune(rest)[0])
}

func startsWithSign(rest string) bool {
	return strings.HasPrefix(rest, "♭") || strings.HasPrefix(rest, "♮") || strings.HasPrefix(rest, "♯") ||
		strings.HasPrefix(rest, "#")
}

// ParseAhead reads changes that are told before they are made, as Repeat and AtEnd
// write them. ok is false for everything else.
func ParseAhead(text string) (m Marks, ok bool) {
	text = plainSigns(text)
	for g, list := range [][2]string{{repeatWords[English], endWords[English]}, {repeatWords[French], endWords[French]}, {repeatWords[German], endWords[German]}} {
		for _, words := range list {
			rest, found := strings.CutPrefix(text, words)
			if !found {
				continue
			}
			if m, ok = ParseIn(strings.TrimSpace(rest), Language(g)); ok {
				return m, true
			}
		}
	}
	return Marks{}, false
}

// ParsePlayed reads the names of strings that play respelt notes, as Played writes
// them, "= D♭", or in parentheses, "(D♭)", as others do. ok is false for everything
// else.
func ParsePlayed(text string) (m Marks, ok bool) {
	text = strings.Trim(strings.ReplaceAll(text, Between, " "), " \t\r\n")
	inner, equal := strings.CutPrefix(text, "=")
	if !equal {
		if len(text) < 2 || text[0] != '(' || text[len(text)-1] != ')' {
			return Marks{}, false
		}
		inner = text[1 : len(text)-1]
	}
	inner = strings.TrimSpace(inner)
	l := lead{led: true, strings: true}
	if m, ok := parseNames(inner, l); ok {
		return m, !m.Full
	}
	return germanPedals(inner, l) // B, which is no change by itself, since it may be a letter of any kind
}
