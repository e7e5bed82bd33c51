package musicxml

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// A harpPart is one part of a part-list as it says what plays it.
type harpPart struct {
	name, instrument, sound string
	program                 int
}

func (h harpPart) list(id string) string {
	s := `<score-part id="` + id + `"><part-name>` + h.name + `</part-name>`
	if h.instrument != "" || h.sound != "" || h.program != 0 {
		s += `<score-instrument id="` + id + `-I"><instrument-name>` + h.instrument + `</instrument-name>`
		if h.sound != "" {
			s += `<instrument-sound>` + h.sound + `</instrument-sound>`
		}
		s += `</score-instrument>`
	}
	if h.program != 0 {
		s += fmt.Sprintf(`<midi-instrument id="%s-I"><midi-program>%d</midi-program></midi-instrument>`, id, h.program)
	}
	return s + `</score-part>`
}

// The words for a harp, as a whole word and in any case; common practice. Those
// of other instruments with a harp in their name come last.
func TestIsHarpName(t *testing.T) {
	for _, tt := range []struct {
		name string
		want bool
		why  string
	}{
		{"Harp", true, "English"},
		{"HARP", true, "capitals"},
		{"Harps", true, "two of them"},
		{"Harp 1", true, "the first"},
		{"Harp I", true, "in Roman numerals"},
		{"Harp1", true, "without a space"},
		{"2 Harps", true, "a number first"},
		{"Hp.", true, "abbreviated"},
		{"Hrp. 2", true, "abbreviated"},
		{"Concert Harp", true, "the instrument itself"},
		{"Pedal Harp", true, "the instrument itself"},
		{"Harfe", true, "German"},
		{"Harfen", true, "two of them"},
		{"Hf.", true, "abbreviated"},
		{"Hfe.", true, "abbreviated otherwise"},
		{"2 Hfe", true, "two of them"},
		{"Harpe", true, "French"},
		{"Harpe à pédales", true, "French"},
		{"Arpa", true, "Italian and Spanish"},
		{"Arpe", true, "two of them"},
		{"Harpa", true, "Portuguese and Swedish"},
		{"Harpă", true, "Romanian"},
		{"Harfa", true, "Polish and Czech"},
		{"Hárfa", true, "Hungarian"},
		{"Harppu", true, "Finnish"},
		{"Harpu", true, "Finnish, of a harp"},
		{"Telyn", true, "Welsh"},
		{"Арфа", true, "Russian"},
		{"арфы", true, "two of them"},
		{"Άρπα", true, "Greek"},
		{"ハープ", true, "Japanese"},
		{"第1ハープ", true, "without spaces"},
		{"竖琴", true, "Chinese"},
		{"豎琴", true, "Chinese, the old signs"},
		{"하프", true, "Korean"},
		{"Flute and Harp", true, "one of two"},
		{"Harpsichord", false, "a longer word"},
		{"Harmonica", false, "another word"},
		{"Sharp", false, "inside a word"},
		{"Harper's Flute", false, "a name"},
		{"Piano", false, "another instrument"},
		{"Horn", false, "another instrument"},
		{"", false, "no name"},
		{"Harp guitar", false, "a guitar"},
		{"Jaw Harp", false, "no harp"},
		{"Jew's harp", false, "no harp"},
		{"Mouth harp", false, "no harp"},
		{"Mundharfe", false, "no harp"},
		{"Autoharp", false, "a zither"},
		{"Glass Harp", false, "glasses"},
		{"Lever Harp", false, "a harp without pedals"},
		{"Celtic Harp", false, "a harp without pedals"},
		{"Irish Harp", false, "a harp without pedals"},
		{"Aeolian harp", false, "played by the wind"},
		{"Äolsharfe", false, "played by the wind"},
	} {
		if got := IsHarpName(tt.name); got != tt.want {
			t.Errorf("%q: %v, want %v: %s", tt.name, got, tt.want, tt.why)
		}
	}
}

// Rule 12 of the reading cases: the sound decides, then names, then the program;
// the sound ids are those of MusicXML's list of sounds, the program that of
// General MIDI, which MusicXML counts from 1.
func TestDetectHarp(t *testing.T) {
	for _, tt := range []struct {
		name string
		part harpPart
		want bool
		clue string
	}{
		{"sound", harpPart{name: "Instrument 7", instrument: "Strings", sound: "pluck.harp"}, true, "pluck.harp"},
		{"another sound", harpPart{name: "Harp", instrument: "Harp", sound: "keyboard.piano"}, false, "keyboard.piano"},
		{"another sound and program", harpPart{name: "Harp", sound: "pluck.harp.irish", program: 47}, false, "pluck.harp.irish"},
		{"part name", harpPart{name: "Harfe"}, true, "its name"},
		{"part name, other instrument name", harpPart{name: "Arpa", instrument: "Grand Piano", program: 1}, true, "its name"},
		{"instrument name", harpPart{name: "Staff 3", instrument: "Harp"}, true, "instrument's name"},
		{"program", harpPart{name: "Staff 3", instrument: "Track 3", program: 47}, true, "47"},
		{"program beside", harpPart{name: "Staff 3", instrument: "Track 3", program: 46}, false, "no sound"},
		{"nothing", harpPart{name: "Piano"}, false, "nothing"},
		{"piano or harp", harpPart{name: "Piano (or Harp)", instrument: "Piano", sound: "keyboard.piano"}, true, "offers"},
		{"piano slash harp", harpPart{name: "Piano/Harp", instrument: "Piano", sound: "keyboard.piano", program: 1}, true, "offers"},
		{"Klavier oder Harfe", harpPart{name: "Klavier oder Harfe", instrument: "Piano", sound: "keyboard.piano"}, true, "offers"},
		{"flute and harp", harpPart{name: "Flute and Harp", instrument: "Flute", sound: "wind.flutes.flute"}, false, "wind.flutes.flute"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := readText(t, partwise(tt.part.list("P1"), partOf("P1", quarters+plain1("C4"))), Options{}).Parts[0]
			if p.Harp != tt.want || !strings.Contains(p.Clue, tt.clue) {
				t.Errorf("harp %v by %q, want %v by %q", p.Harp, p.Clue, tt.want, tt.clue)
			}
		})
	}
}

// A part that changes to and from the harp has only the harp's notes played.
func TestChangeOfInstrument(t *testing.T) {
	list := `<score-part id="P1"><part-name>Percussion</part-name>` +
		`<score-instrument id="A"><instrument-name>Celesta</instrument-name><instrument-sound>keyboard.celesta</instrument-sound></score-instrument>` +
		`<score-instrument id="B"><instrument-name>Harp</instrument-name><instrument-sound>pluck.harp</instrument-sound></score-instrument></score-part>`
	change := func(id, sound string) string {
		if sound != "" {
			sound = "<instrument-sound>" + sound + "</instrument-sound>"
		}
		return `<sound><instrument-change id="` + id + `">` + sound + `</instrument-change></sound>`
	}
	named := func(pitch, id string) string { return tone(pitch, "1", "", `<instrument id="`+id+`"/>`) }
	const harp, celesta = "pluck.harp", "keyboard.celesta"
	half := `<sound><instrument-change id="B"/><offset>2</offset></sound>`
	for _, tt := range []struct{ name, notes, want, why string }{
		{"in notes", plain1("C4") + named("D4", "B") + plain1("E4"), "D4", "as it has always been"},
		{"by a change", plain1("C4") + change("B", "") + plain1("D4") + named("E4", "A") + plain1("F4") + change("A", "") + plain1("G4"), "D4 F4", "notes that name none follow the change"},
		{"its sound too", plain1("C4") + change("B", harp) + plain1("D4") + change("A", celesta) + plain1("E4"), "D4", "as programs write it"},
		{"another sound", change("B", "") + plain1("C4") + change("B", celesta) + plain1("D4") + named("E4", "B") + change("B", harp) + plain1("F4"), "C4 F4", "the instrument sounds as another"},
		{"a harp by its sound", plain1("C4") + change("A", harp) + plain1("D4") + named("E4", "A") + change("A", celesta) + plain1("F4"), "D4 E4", "and back"},
		{"by time", plain1("C4", "D4") + change("B", "") + plain1("E4", "F4") + turnBack + plain1("C5", "D5", "E5", "F5"), "E4 F4 E5 F5", "the second voice changes at the same time"},
		{"with an offset", half + plain1("C4", "D4", "E4"), "E4", "the sound's own"},
		{"in a direction", `<direction><direction-type><words>harp</words></direction-type><offset>1</offset><sound><instrument-change id="B"/></sound></direction>` + plain1("C4", "D4"), "D4", "at the direction's time"},
		{"offsets of both", `<direction><direction-type><words>harp</words></direction-type><offset>1</offset>` + half + `</direction>` + plain1("C4", "D4", "E4"), "E4", "the sound's own goes first"},
		{"unknown", named("C4", "B") + change("X", harp) + plain1("D4"), "C4", "told, and no change"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := readText(t, partwise(list, partOf("P1", quarters+tt.notes)), Options{})
			p := s.Parts[0]
			var got []string
			for i := range p.Notes {
				if p.HarpNote(&p.Notes[i]) {
					got = append(got, p.Notes[i].Pitch.String())
				}
			}
			if !p.Harp || strings.Join(got, " ") != tt.want {
				t.Errorf("harp %v, its notes %v, want %s: %s", p.Harp, got, tt.want, tt.why)
			}
			if warned := strings.Join(codes(s.Warnings), " "); (warned == "instrument-unknown") != (tt.name == "unknown") {
				t.Errorf("warnings %s", warned)
			}
		})
	}
}

// A part that is no harp by the part-list is one from the change to its sound on;
// the change may stand in another part.
func TestBecomesHarp(t *testing.T) {
	list := `<score-part id="P1"><part-name>Keys</part-name><score-instrument id="A"><instrument-name>Keys</instrument-name><instrument-sound>keyboard.piano</instrument-sound></score-instrument></score-part>` + listed("P2", "Flute")
	change := `<sound><instrument-change id="A"><instrument-sound>pluck.harp</instrument-sound></instrument-change></sound>`
	for name, text := range map[string]string{
		"its own":      partwise(list, partOf("P1", quarters+plain1("C4")+change+plain1("D4")), partOf("P2", quarters+plain1("C5"))),
		"of a flutist": partwise(list, partOf("P1", quarters+plain1("C4", "D4")), partOf("P2", quarters+plain1("C5")+change)),
	} {
		s := readText(t, text, Options{})
		p := s.Parts[0]
		if !p.Harp || s.Parts[1].Harp || p.HarpNote(&p.Notes[0]) || !p.HarpNote(&p.Notes[1]) || !strings.Contains(p.Clue, "change") {
			t.Errorf("%s: %+v by %q", name, p.Instruments, p.Clue)
		}
		if s := readText(t, text, Options{Part: "P1"}); !s.Parts[0].HarpNote(&s.Parts[0].Notes[0]) {
			t.Errorf("%s: what the user takes as a harp is none", name)
		}
		if s := readText(t, text, Options{Part: "P2"}); s.Parts[0].Harp {
			t.Errorf("%s: the user takes another part", name)
		}
	}
}

// Which parts are one harpist's: parts of their own, unless one harp was written
// as two parts of one staff.
func TestPlayers(t *testing.T) {
	clef := func(sign string) string {
		return `<attributes><divisions>1</divisions><clef><sign>` + sign + `</sign></clef></attributes>` + plain1("C4")
	}
	group := func(symbol, name, inside string) string {
		return `<part-group type="start" number="1"><group-name>` + name + `</group-name><group-symbol>` + symbol + `</group-symbol></part-group>` +
			inside + `<part-group type="stop" number="1"/>`
	}
	two := func(a, b string) string { return listed("P1", a) + listed("P2", b) }
	staves := `<attributes><divisions>1</divisions><staves>2</staves></attributes>` + plain1("C4")
	for _, tt := range []struct {
		name, list, first, second, part string
		want, reason                    string
	}{
		{"two harps", two("Harp I", "Harp II"), staves, staves, "", "Harp I: P1; Harp II: P2", "two players"},
		{"two harps in a brace", group("brace", "Harps", two("Harp I", "Harp II")), clef("G"), clef("F"), "", "Harps: P1; Harps: P2", "their numbers tell them apart"},
		{"right and left", two("Harp (right hand)", "Harp (left hand)"), clef("G"), clef("F"), "", "Harp (right hand): P1+P2", "one player"},
		{"R.H. and L.H.", two("Harp R.H.", "Harp L.H."), clef("G"), clef("F"), "", "Harp R.H.: P1+P2", "one player"},
		{"in a brace", group("brace", "Harp", two("Harp", "Harp")), clef("G"), clef("F"), "", "Harp: P1+P2", "one player"},
		{"in a bracket", group("bracket", "Harps", two("Harp", "Harp")), clef("G"), clef("G"), "", "Harp: P1; Harp: P2", "a bracket joins players, not staves"},
		{"one name, two trebles", two("Harp", "Harp"), clef("G"), clef("G"), "", "Harp: P1; Harp: P2", "two players of one staff each"},
		{"one name, treble and bass", two("Harp", "Harp"), clef("G"), clef("F"), "", "Harp: P1+P2", "how a harp is split"},
		{"chosen", two("Flute", "Piano"), clef("G"), clef("F"), "P2", "Piano: P2", "the user says so"},
		{"chosen by name", two("Flute", "Piano"), clef("G"), clef("F"), "piano", "Piano: P2", "in any case"},
		{"chosen by number", two("Flute", "Piano"), clef("G"), clef("F"), "1", "Flute: P1", "from 1"},
		{"chosen together", two("Upper", "Lower"), clef("G"), clef("F"), "P1+P2", "Upper: P1+P2", "joined by the user"},
		{"chosen alone", two("Harp", "Harp"), clef("G"), clef("F"), "P1", "Harp: P1", "the user parts them"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			score := readText(t, partwise(tt.list, partOf("P1", tt.first), partOf("P2", tt.second)), Options{Part: tt.part})
			var got []string
			for _, p := range score.Players() {
				got = append(got, p.Name+": "+p.ID())
			}
			if strings.Join(got, "; ") != tt.want {
				t.Errorf("%s, want %s: %s", strings.Join(got, "; "), tt.want, tt.reason)
			}
			joined := strings.Contains(tt.want, "+") && tt.part == ""
			if warned := strings.Contains(strings.Join(codes(score.Warnings), " "), "harp-split-into-parts"); warned != joined {
				t.Errorf("warnings %v: %s", codes(score.Warnings), tt.reason)
			}
		})
	}
}

// Four staves are more than one harp is written on, so somebody should look.
func TestManyStaves(t *testing.T) {
	for staves, want := range map[string]bool{"2": false, "3": false, "4": true} {
		body := `<attributes><divisions>1</divisions><staves>` + staves + `</staves></attributes>` + plain1("C4")
		score := readText(t, partwise(listed("P1", "Harp"), partOf("P1", body)), Options{})
		if got := slices.Contains(codes(score.Warnings), "many-staves"); got != want {
			t.Errorf("%s staves: warnings %v", staves, codes(score.Warnings))
		}
	}
}

func TestChooseNoPart(t *testing.T) {
	_, err := readScore(partwise(listed("P1", "Flute")+listed("P2", "Piano"), partOf("P1", quarters), partOf("P2", quarters)), Options{Part: "Lute"})
	var e *Error
	if err == nil || !strings.Contains(err.Error(), `no part is called "Lute"`) {
		t.Fatalf("error %v", err)
	}
	if e, _ = err.(*Error); e == nil || !strings.Contains(e.Hint, "P1 (Flute), P2 (Piano)") {
		t.Errorf("the hint does not name the parts: %+v", e)
	}
}
