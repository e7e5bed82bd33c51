package musicxml

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"pedalogue/musicxml/internal/xmltext"
)

// partList reads the part-list: the parts, their instruments, and which of them
// are harps.
func (r *reader) partList(e *xmltext.Element) error {
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "part-group":
			r.groups.take(c)
		case "score-part":
			if err := r.scorePart(c); err != nil {
				return err
			}
		}
	}
	if r.options.Part == "" {
		return nil
	}
	return r.selectParts(e, r.options.Part)
}

func (r *reader) scorePart(e *xmltext.Element) error {
	p := &Part{
		ID: e.Attr("id"), Name: fold(e.ChildText("part-name")), Abbreviation: fold(e.ChildText("part-abbreviation")),
		Staves: 1, Clefs: map[int]string{},
	}
	if display := displayed(e.Child("part-name-display")); display != "" && p.Name == "" {
		p.Name = display
	}
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "score-instrument":
			p.Instruments = append(p.Instruments, Instrument{
				ID: c.Attr("id"), Name: fold(c.ChildText("instrument-name")), Sound: c.ChildText("instrument-sound"),
			})
		case "midi-instrument":
			if i := p.instrument(c.Attr("id"), -1); i >= 0 {
				p.Instruments[i].Program = r.number(c.Child("midi-program"))
			}
		}
	}
	p.Group, p.GroupName = r.groups.innermost()
	p.detectHarp(displayed(e.Child("part-name-display")))
	if r.byID[p.ID] != nil {
		return faultAt(e, "the part-list names part %q twice", p.ID)
	}
	pr := &partReader{part: p, index: len(r.parts), instrument: min(0, len(p.Instruments)-1)}
	r.parts = append(r.parts, pr)
	r.byID[p.ID] = pr
	r.score.Parts = append(r.score.Parts, p)
	return nil
}

// displayed joins the texts of a part-name-display.
func displayed(e *xmltext.Element) string {
	if e == nil {
		return ""
	}
	var words []string
	e.Walk(func(c *xmltext.Element) {
		if c.Name == "display-text" {
			words = append(words, c.Text)
		}
	})
	return fold(strings.Join(words, " "))
}

// A groupReader follows the part-groups of the part-list.
type groupReader struct {
	count int
	open  []partGroup
}

type partGroup struct {
	number, name string
	brace        int // index from 1 if it is braced; 0 if not
}

func (g *groupReader) take(e *xmltext.Element) {
	number := e.Attr("number")
	if number == "" {
		number = "1"
	}
	if e.Attr("type") == "stop" {
		if i := slices.IndexFunc(g.open, func(o partGroup) bool { return o.number == number }); i >= 0 {
			g.open = slices.Delete(g.open, i, i+1)
		}
		return
	}
	o := partGroup{number: number, name: fold(e.ChildText("group-name"))}
	if e.ChildText("group-symbol") == "brace" {
		g.count++
		o.brace = g.count
	}
	g.open = append(g.open, o)
}

// innermost returns the innermost braced group that is open, and its name.
func (g *groupReader) innermost() (brace int, name string) {
	for i := len(g.open) - 1; i >= 0; i-- {
		if g.open[i].brace > 0 {
			return g.open[i].brace, g.open[i].name
		}
	}
	return 0, ""
}

// The word for a harp, in the usual languages and their abbreviations, as a
// whole word; "Harp1" and "Harps" count too. Common practice.
var harpWord = regexp.MustCompile(`(?i)(^|[^\pL\pM])(` +
	`harps?|harpes?|harfen?|arpas?|arpe|harpas?|harpor|harpu|harppu|harput|harfa|harfy|hárfa|hárfák|harpă|arfa|arfos|arp|` +
	`telyn|арфа|арфы|άρπα|άρπες|竖琴|豎琴|하프|hp|hps|hrp|hrf|hf|hfe)` +
	`\.?([^\pL\pM]|$)|ハープ`)

// Words beside it that make it another instrument. Common practice.
var otherHarp = regexp.MustCompile(`(?i)guitar|guitare|gitarre|jaw|jew|mouth|mund|maul|blues|aeolian|äols|aeols|éolienne|` +
	`eolia|auto-?harp|glass|glas|lever|celtic|celtique|keltisch|irish|folk|bell|laser|zither`)

// What offers one instrument beside another: "Piano (or Harp)", "Piano/Harp",
// "Piano (Harp)". Common practice.
var alternative = regexp.MustCompile(`(?i)(^|[^\pL])(or|oder|ou|o|od|eller|of|lub|nebo|или)[^\pL]|/|\((ou |or |oder |o )?(harp|harf|arp)`)

// IsHarpName reports whether a part's or instrument's name is the word for a
// pedal harp.
func IsHarpName(name string) bool {
	return harpWord.MatchString(name) && !otherHarp.MatchString(name)
}

// detectHarp says whether the part is played on the harp and what tells so: an
// instrument-sound decides; without one a name, then the midi-program. A part
// whose name offers the harp beside another instrument is taken as a harp part.
func (p *Part) detectHarp(display string) {
	partNames := []string{p.Name, display}
	if p.Name == "" && display == "" {
		partNames = append(partNames, p.Abbreviation)
	}
	named := slices.ContainsFunc(partNames, IsHarpName)
	for i := range p.Instruments {
		in := &p.Instruments[i]
		in.Harp, p.Clue = in.detect(named && len(p.Instruments) == 1, p.Clue, p.Harp)
		p.Harp = p.Harp || in.Harp
	}
	if len(p.Instruments) == 0 && named {
		p.Harp, p.Clue = true, "its name"
	}
	if !p.Harp && slices.ContainsFunc(partNames, offersHarp) {
		p.Harp, p.Clue = true, "its name offers the harp beside another instrument"
		for i := range p.Instruments {
			p.Instruments[i].Harp = true
		}
	}
	if p.Clue == "" {
		p.Clue = "nothing says so"
	}
}

func offersHarp(name string) bool {
	return alternative.MatchString(name) && IsHarpName(name)
}

// harpSound is the instrument-sound of a harp. Source: MusicXML, sounds.xml.
const harpSound = "pluck.harp"

// detect says whether an instrument is a harp, and keeps the clue of the first
// one that is.
func (in *Instrument) detect(partNamed bool, clue string, known bool) (harp bool, newClue string) {
	switch {
	case in.Sound != "":
		harp, newClue = in.Sound == harpSound, "instrument-sound "+in.Sound
	case IsHarpName(in.Name):
		harp, newClue = true, "the instrument's name"
	case partNamed:
		harp, newClue = true, "its name"
	case in.Program == 47:
		harp, newClue = true, "midi-program 47"
	default:
		harp, newClue = false, "no sound, name or program of a harp"
	}
	if known {
		return harp, clue
	}
	return harp, newClue
}

// selectParts makes the parts that a user names the harp parts, and no others.
// Several parts that one player plays are joined by "+".
func (r *reader) selectParts(e *xmltext.Element, selection string) error {
	r.score.selected, r.score.joined = true, strings.Contains(selection, "+")
	var chosen []*Part
	for _, want := range strings.Split(selection, "+") {
		p := findPart(r.score.Parts, strings.TrimSpace(want))
		if p == nil {
			return &xmltext.Error{Offset: e.Start, Err: fault("the parts are "+PartNames(r.score.Parts), "no part is called %q", want)}
		}
		chosen = append(chosen, p)
	}
	for _, p := range r.score.Parts {
		p.Harp = slices.Contains(chosen, p)
		if !p.Harp {
			continue
		}
		p.Clue = "chosen by the user"
		if !slices.ContainsFunc(p.Instruments, func(i Instrument) bool { return i.Harp }) {
			r.byID[p.ID].asHarp = true
			for i := range p.Instruments {
				p.Instruments[i].Harp = true
			}
		}
	}
	return nil
}

// findPart finds a part by id, by name (in any case) or by its number from 1.
func findPart(parts []*Part, want string) *Part {
	for _, p := range parts {
		if p.ID == want {
			return p
		}
	}
	for _, p := range parts {
		if want != "" && (strings.EqualFold(p.Name, want) || strings.EqualFold(p.Abbreviation, want)) {
			return p
		}
	}
	if n, err := strconv.Atoi(want); err == nil && n >= 1 && n <= len(parts) {
		return parts[n-1]
	}
	return nil
}

// PartNames lists parts as a user can name them: "P1 (Flute), P2 (Piano)".
func PartNames(parts []*Part) string {
	const most = 40
	var names []string
	for i, p := range parts {
		if i == most {
			names = append(names, fmt.Sprintf("and %d more", len(parts)-most))
			break
		}
		name := p.ID
		if p.Name != "" {
			name += " (" + p.Name + ")"
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}

// A Player is one harpist: the part or parts played with one set of pedals.
type Player struct {
	Name  string  // of its group, part or instrument; "" if none has one
	Parts []*Part // in the order of the part-list, at least one
}

// ID names the player's parts, "P1" or "P1+P2".
func (p Player) ID() string {
	ids := make([]string, len(p.Parts))
	for i, part := range p.Parts {
		ids[i] = part.ID
	}
	return strings.Join(ids, "+")
}

// Players puts the harp parts together: each is a player of its own, but parts
// of one staff that stand under one brace, or whose names differ in nothing but
// the hand, belong to one harp.
func (s *Score) Players() []Player {
	var players []Player
	var last *Part
	for _, p := range s.Parts {
		if !p.Harp {
			last = nil
			continue
		}
		joined := s.joined
		if !s.selected && last != nil {
			joined = oneHarp(last, p, len(players[len(players)-1].Parts))
		}
		if joined && len(players) > 0 {
			pl := &players[len(players)-1]
			pl.Parts = append(pl.Parts, p)
		} else {
			players = append(players, Player{Name: p.playerName(), Parts: []*Part{p}})
		}
		last = p
	}
	return players
}

func (p *Part) playerName() string {
	switch {
	case p.Group > 0 && p.GroupName != "" && p.Staves == 1:
		return p.GroupName
	case p.Name != "":
		return p.Name
	}
	for _, in := range p.Instruments {
		if in.Harp && in.Name != "" {
			return in.Name
		}
	}
	return "Harp"
}

// oneHarp reports whether a part of one staff goes on the harp of the part of
// one staff before it.
func oneHarp(a, b *Part, joined int) bool {
	if a.Staves != 1 || b.Staves != 1 || joined > 1 {
		return false
	}
	if a.Group != 0 && a.Group == b.Group {
		return playerNumber(a.Name) == playerNumber(b.Name) || b.Name == ""
	}
	if a.Group != b.Group {
		return false
	}
	// Two staves of one name, treble above bass: how an exporter splits a harp.
	return a.Clefs[1] == "G" && b.Clefs[1] == "F" && (b.Name == "" || handless(a.Name) == handless(b.Name))
}

var handWords = regexp.MustCompile(`(?i)[\s(\[,.-]*\b(r\.?h\.?|l\.?h\.?|right( hand)?|left( hand)?|m\.?d\.?|m\.?g\.?|m\.?s\.?|upper|lower|treble|bass|droite|gauche|rechts|links|destra|sinistra)\b[.)\]]*`)

// handless is a part's name without the words for a hand or staff.
func handless(name string) string {
	return strings.ToLower(strings.TrimSpace(handWords.ReplaceAllString(name, "")))
}

var playerNumerals = map[string]string{"I": "1", "II": "2", "III": "3", "IV": "4"}

// playerNumber is the number at the end of a part's name: "2" for "Harp II".
func playerNumber(name string) string {
	words := strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if len(words) == 0 {
		return ""
	}
	lastWord := words[len(words)-1]
	if n, ok := playerNumerals[strings.ToUpper(lastWord)]; ok {
		return n
	}
	return strings.TrimLeftFunc(lastWord, func(r rune) bool { return !unicode.IsDigit(r) })
}
