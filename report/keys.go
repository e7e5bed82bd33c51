package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"pedalogue/report/plain"
)

// Keys is the report on one score in all keys. Its fields, in their order, are the
// keys of its JSON document.
type Keys struct {
	Head
	Parts    []KeysPart `json:"parts,omitzero"` // absent if Error is set
	Chosen   *ChosenKey `json:"chosen,omitempty"`
	Warnings []Warning  `json:"warnings"`
}

// A KeysPart is one harp in all keys.
type KeysPart struct {
	ID      string  `json:"id"`
	Name    string  `json:"name"`
	Options Options `json:"options"`
	Keys    []Key   `json:"keys"` // those first that suit the harp best
}

// A Key is what a part comes to in one key.
type Key struct {
	Name      string    `json:"name"`      // that of the major key, "E♭", "G♭ up"
	Semitones int       `json:"semitones"` // up from the original; negative is down
	Steps     int       `json:"steps"`     // letters up from the original
	Fifths    int       `json:"fifths"`    // sharps of the first key signature; flats where negative
	Original  bool      `json:"original"`
	Cost      Cost      `json:"cost"`
	Proof     Proof     `json:"proof"`
	Outside   int       `json:"outside"` // notes beyond the strings, or on undisced strings that want a second tuning
	Findings  KeyCounts `json:"findings"`
	// Sections counts the later key signatures that a copy writes as the same key
	// spelt otherwise, since they would have more than seven signs.
	Sections int `json:"respelt_sections"`
}

// KeyCounts counts findings by their severity.
type KeyCounts struct {
	Error   int `json:"error"`
	Warning int `json:"warning"`
	Note    int `json:"note"`
}

// A ChosenKey is the key in which a copy is written.
type ChosenKey struct {
	Name      string `json:"name"`
	Semitones int    `json:"semitones"`
	Steps     int    `json:"steps"`
	Marked    bool   `json:"marked"`    // with the pedals
	OnlyHarp  bool   `json:"only_harp"` // the other parts have stayed
	// Struck are the pedal marks by others, which cannot move with the music: they are
	// not in the copy.
	Struck []StruckMark `json:"struck"`
	// Respelt are the key signatures, of all parts, that are written as the same key
	// spelt otherwise.
	Respelt []RespeltKey `json:"respelt_keys"`
	// Left is what could not be moved and has to be mended by hand, each kind once a part.
	Left []Warning `json:"left"`
}

// A StruckMark is a pedal mark that stood in the score.
type StruckMark struct {
	Part string `json:"part"`
	Place
	Staff int    `json:"staff"`
	Text  string `json:"text"` // as printed, or what a harp-pedals element says
}

// A RespeltKey is a key signature that is spelt otherwise in the copy.
type RespeltKey struct {
	Part    string `json:"part"`
	Measure string `json:"measure"`
	Index   int    `json:"index"`
	Fifths  int    `json:"fifths"` // as it is written in the copy
}

// WriteKeysJSON writes the report as JSON, indented or on one line.
func WriteKeysJSON(w io.Writer, k *Keys, oneLine bool) error {
	c := *k
	c.Warnings = list(k.Warnings)
	if k.Error == "" {
		c.Parts = list(slices.Clone(k.Parts))
	}
	for i := range c.Parts {
		p := &c.Parts[i]
		p.Keys = list(slices.Clone(p.Keys))
		for j := range p.Keys {
			p.Keys[j].Proof.Covers = list(p.Keys[j].Proof.Covers)
		}
	}
	if k.Chosen != nil {
		chosen := *k.Chosen
		chosen.Struck, chosen.Respelt, chosen.Left = list(chosen.Struck), list(chosen.Respelt), list(chosen.Left)
		c.Chosen = &chosen
	}
	return writeJSON(w, k.Path, &c, oneLine)
}

// WriteKeysText writes the report for reading in a terminal: for each harp a table
// of keys, those first that suit the harp best.
func WriteKeysText(w io.Writer, k *Keys, o TextOptions) error {
	t := newText(o)
	t.line(k.Path)
	for i := range k.Parts {
		p := &k.Parts[i]
		t.blank()
		t.wrapped("", fmt.Sprintf("%s %s in %s, those first that suit the harp best:", p.ID, p.Name, count(len(p.Keys), "key")))
		t.keysTable(p.Keys)
		t.blank()
		t.wrapped("", keysVerdict(p.Keys))
	}
	if k.Chosen != nil {
		t.chosenKey(k)
	}
	t.readingWarnings(k.Warnings)
	return t.writeTo(w)
}

// chosenKey says what was written in another key, and what could not be.
func (t *text) chosenKey(k *Keys) {
	head, more := k.chosenWords()
	t.blank()
	t.wrapped("", head)
	for _, line := range more {
		t.wrapped("  ", line)
	}
}

// chosenWords say the same in a sentence, and in lines.
func (k *Keys) chosenWords() (head string, more []string) {
	c := k.Chosen
	head = "Written in " + c.Name + movedWords(c.Semitones)
	if c.Marked {
		head += ", with the pedals marked"
	} else {
		head += ", without marks"
	}
	if c.OnlyHarp {
		head += ", the harp alone"
	}
	if k.Output != "" {
		head += ": " + k.Output
	}
	if n := len(c.Respelt); n > 0 {
		more = append(more, fmt.Sprintf("spelt otherwise, as it would have more than seven signs: %s, with the notes up to the next (%s)",
			count(n, "key signature"), placesOfKeys(c.Respelt)))
	}
	if n := len(c.Struck); n > 0 {
		more = append(more, fmt.Sprintf("struck out, as pedals do not move with the music: %s by others", count(n, "pedal mark")))
	}
	for _, m := range c.Struck {
		more = append(more, fmt.Sprintf("- %s measure %s: %s", m.Part, m.Measure, m.Text))
	}
	for _, w := range c.Left {
		more = append(more, "to be mended by hand: "+w.sentence())
	}
	return head, more
}

// movedWords says how far music has moved: ", 3 semitones up".
func movedWords(semitones int) string {
	switch {
	case semitones > 0:
		return ", " + count(semitones, "semitone") + " up"
	case semitones < 0:
		return ", " + count(-semitones, "semitone") + " down"
	}
	return ""
}

func placesOfKeys(keys []RespeltKey) string {
	var words []string
	for _, k := range keys {
		words = append(words, fmt.Sprintf("%s measure %s", k.Part, k.Measure))
	}
	return strings.Join(words, ", ")
}

// keysHeads are the columns of the table, the first to the left.
var keysHeads = []string{"key", "moved", "changes", "switches", "respelt", "rushed", "held", "unsounded", "outside", "errors", "warnings", ""}

// keysTable writes the keys in columns.
func (t *text) keysTable(keys []Key) {
	table := [][]string{keysHeads}
	for _, k := range keys {
		last := ""
		switch {
		case k.Original:
			last = "as written"
		case !k.Proof.Minimal:
			last = "not proved"
		}
		table = append(table, []string{t.spell(k.Name), moveWords(k), strconv.Itoa(k.Cost.Changes), strconv.Itoa(k.Cost.Switches),
			strconv.Itoa(k.Cost.Respelt), strconv.Itoa(k.Cost.Rushed), strconv.Itoa(k.Cost.Held), strconv.Itoa(k.Cost.Unsounded),
			strconv.Itoa(k.Outside), strconv.Itoa(k.Findings.Error), strconv.Itoa(k.Findings.Warning), last})
	}
	widths := make([]int, len(keysHeads))
	for _, row := range table {
		for i, cell := range row {
			widths[i] = max(widths[i], plain.Columns(cell))
		}
	}
	for _, row := range table {
		line := " "
		for i, cell := range row {
			switch {
			case i < 2 || i == len(row)-1:
				line += " " + plain.Pad(cell, widths[i])
			default:
				line += " " + plain.Pad("", widths[i]-plain.Columns(cell)) + cell
			}
		}
		t.line(line)
	}
}

// moveWords says how far a key is from the original: "up 3", "down 1".
func moveWords(k Key) string {
	switch {
	case k.Semitones > 0:
		return "up " + strconv.Itoa(k.Semitones)
	case k.Semitones < 0:
		return "down " + strconv.Itoa(-k.Semitones)
	case k.Original:
		return ""
	}
	return "respelt"
}

// keysVerdict says in a sentence what the table comes to.
func keysVerdict(keys []Key) string {
	i := slices.IndexFunc(keys, func(k Key) bool { return k.Original })
	switch {
	case i < 0:
		return "Semitones up or down are counted from the key as it is written."
	case i == 0:
		return "It lies best in the key in which it is written."
	}
	best, own := keys[0], keys[i]
	return fmt.Sprintf("It lies best in %s: %s. As it is written, %s further down, it has %s.",
		best.Name, changesWords(best.Cost), count(i, "place"), changesWords(own.Cost))
}

// changesWords counts changes, and those of them that are rushed.
func changesWords(c Cost) string {
	if c.Rushed == 0 {
		return count(c.Changes, "change")
	}
	return fmt.Sprintf("%s, %d of them rushed", count(c.Changes, "change"), c.Rushed)
}

// WriteKeysCSV writes a line for each key of each harp of the scores, laid out as
// WriteChangesCSV does.
func WriteKeysCSV(w io.Writer, scores ...*Keys) error {
	t := newSheetWriter(w, "score", "part", "name", "rank", "key", "semitones", "steps", "fifths", "original", "unsounded", "outside", "held",
		"rushed", "respelt", "switches", "changes", "notches", "errors", "warnings", "notes", "respelt_sections", "proved")
	for _, s := range scores {
		for _, p := range s.Parts {
			for i, k := range p.Keys {
				t.row(s.Path, p.ID, p.Name, i+1, k.Name, k.Semitones, k.Steps, k.Fifths, yes(k.Original), k.Cost.Unsounded, k.Outside, k.Cost.Held,
					k.Cost.Rushed, k.Cost.Respelt, k.Cost.Switches, k.Cost.Changes, k.Cost.Notches,
					k.Findings.Error, k.Findings.Warning, k.Findings.Note, k.Sections, yes(k.Proof.Minimal))
			}
		}
	}
	return t.flush()
}
