package musicxml

import (
	"fmt"
	"strings"
	"testing"
)

// signs turns the signs of one measure, parted by spaces, into MusicXML:
//
//	|:  :|  :|3  :|yes  :|no   repeats; times, after-jump
//	[1,2  ]                    an ending and its stop
//	segno=a  coda=a            targets
//	DC  DS=a  tocoda=a  Fine   jumps; DC@2 counts in the second pass only
//	"D.C._al_Fine"             words
//	§ ø                        printed signs
func signs(t *testing.T, measure string) string {
	t.Helper()
	left, right := "", ""
	var after strings.Builder
	sound := func(attributes string) { after.WriteString("<sound " + attributes + "/>") }
	direction := func(kind string) {
		after.WriteString("<direction><direction-type>" + kind + "</direction-type></direction>")
	}
	for _, sign := range strings.Fields(measure) {
		sign, passes, limited := strings.Cut(sign, "@")
		only := ""
		if limited {
			only = fmt.Sprintf(` time-only="%s"`, passes)
		}
		name, value, _ := strings.Cut(sign, "=")
		switch {
		case sign == "|:":
			left += `<repeat direction="forward"/>`
		case sign == ":|yes", sign == ":|no":
			right += fmt.Sprintf(`<repeat direction="backward" after-jump="%s"/>`, sign[2:])
		case strings.HasPrefix(sign, ":|") && len(sign) > 2:
			right += fmt.Sprintf(`<repeat direction="backward" times="%s"/>`, sign[2:])
		case sign == ":|":
			right += `<repeat direction="backward"/>`
		case sign[0] == '[':
			left += fmt.Sprintf(`<ending number="%s" type="start"/>`, sign[1:])
		case sign == "]":
			right = `<ending number="1" type="stop"/>` + right
		case name == "segno", name == "coda", name == "tocoda":
			sound(fmt.Sprintf(`%s="%s"%s`, name, value, only))
		case name == "DS":
			sound(fmt.Sprintf(`dalsegno="%s"%s`, value, only))
		case name == "DC":
			sound(`dacapo="yes"` + only)
		case name == "Fine":
			sound(`fine="yes"` + only)
		case sign == "§":
			direction("<segno/>")
		case sign == "ø":
			direction("<coda/>")
		case sign[0] == '"':
			direction("<words>" + strings.ReplaceAll(strings.Trim(sign, `"`), "_", " ") + "</words>")
		default:
			t.Fatalf("no sign %q", sign)
		}
	}
	s := plain1("C4") + after.String()
	if left != "" {
		s = `<barline location="left">` + left + `</barline>` + s
	}
	if right != "" {
		s += `<barline location="right">` + right + `</barline>`
	}
	return s
}

// road turns measures parted by "/" into the contents of measures.
func road(t *testing.T, text string) []string {
	t.Helper()
	measures := strings.Split(text, "/")
	for i := range measures {
		measures[i] = signs(t, measures[i])
	}
	measures[0] = quarters + measures[0]
	return measures
}

func orderText(order []int) string {
	var list []string
	for _, k := range order {
		list = append(list, itoa(k+1))
	}
	return strings.Join(list, " ")
}

// The order in which measures are played. Rules 10 and 11 of the reading cases,
// which follow the MusicXML 4.0 reference for repeat, ending and sound; what
// these leave open is common practice, and a warning says so.
var orderTable = []struct {
	name, road, want, warnings, reason string
}{
	{"straight", "//", "1 2 3", "", "nothing to repeat"},
	{"from the start", "/ :| /", "1 2 1 2 3", "", "no forward repeat: to the start"},
	{"one measure", " |: :| /", "1 1 2", "", "it begins and ends in one"},
	{"in the middle", "/ |: / :| /", "1 2 3 2 3 4", "", "to the nearest forward repeat"},
	{"two sections", " |: / :| / |: / :| ", "1 2 1 2 3 4 3 4", "", "one after the other"},
	{"second without forward", " / :| / / :| ", "1 2 1 2 3 4 3 4", "", "to the measure after the section before"},
	{"at the end", "/ |: / :|", "1 2 3 2 3", "", "nothing follows"},
	{"forward without backward", "/ |: / /", "1 2 3 4", "repeat-without-end", "nothing sends back"},
	{"three times", " |: / :|3 / ", "1 2 1 2 1 2 3", "", "times is how often it is played"},
	{"once", " |: / :|1 / ", "1 2 3", "repeat-times", "times says so, which is no repeat"},
	{"nested", " |: / |: / :| / :| ", "1 2 3 2 3 4 1 2 3 2 3 4", "", "the inner one anew each time"},
	{"nested at the end", " |: / |: :| / :| / ", "1 2 2 3 1 2 2 3 4", "", "the inner one of one measure"},
	{"two endings", " |: / [1 ] :| / [2 ] / ", "1 2 1 3 4", "", "the plain case"},
	{"endings from the start", " / [1 ] :| / [2 ] / ", "1 2 1 3 4", "", "no forward repeat"},
	{"ending of two measures", " |: / [1 / ] :| / [2 / ] / ", "1 2 3 1 4 5 6", "", "up to its stop"},
	{"ending for two passes", " |: / [1,2 ] :| / [3 ] / ", "1 2 1 2 1 3 4", "", "the highest number counts the passes"},
	{"ending as a range", " |: / [1-3 ] :| / [4 ]", "1 2 1 2 1 2 1 3", "", "numbers may be a range"},
	{"three endings", " |: / [1 ] :| / [2 ] :| / [3 ] / ", "1 2 1 3 1 4 5", "", "a repeat in each"},
	{"last ending repeats", " |: / [1 ] :| / [2 ] :| / ", "1 2 1 3 4", "ending-missing", "two endings, two passes, and a sign that asks for more"},
	{"first ending alone", " |: / [1 ] :| / ", "1 2 1 3", "ending-missing", "it is left out the second time"},
	{"first ending alone, no stop", " |: / [1 :| / / ", "1 2 1 3 4", "ending-missing", "it ends with its repeat"},
	{"first ending alone, from the start", " / [1 / ] :| / / :| ", "1 2 3 1 4 5 4 5", "ending-missing", "and the next section is not"},
	{"ending for two passes alone", " |: / [1,2 ] :| / ", "1 2 1 2 3", "ending-missing", "the sign asks for a third pass"},
	{"no ending for a pass", " |: / [1 ] :| / [3 ] / ", "1 2 1 4", "ending-missing never-played", "no way leads to the third"},
	{"endings for one pass", " |: / [1,2 ] :| / [2 ] / ", "1 2 1 2 3 4", "endings-overlap", "both say so"},
	{"fewer times than endings", " |: / [1 ] :|2 / [2 ] :| / [3 ] / ", "1 2 1 3 5", "never-played", "the third is for a pass that is not made"},
	{"endings without a repeat", " / [1 ] / [2 ] / ", "1 2 3 4", "ending-without-repeat ending-without-repeat", "nothing sends back"},
	{"an ending after its section", " |: / [1 ] :| / / [2 ] / ", "1 2 1 3 4 5", "ending-missing ending-without-repeat", "music stands in between"},
	{"open second ending, then a section", " |: / [1 ] :| / [2 / |: / :| / ", "1 2 1 3 4 5 4 5 6", "", "no stop: a forward repeat ends it"},
	{"a section in an ending", " |: / [1 / |: :| / ] :| / [2 ] ", "1 2 3 3 4 1 5", "", "its stop ends it, not the repeat inside"},
	{"open second ending", " |: / [1 ] :| / [2 / / ", "1 2 1 3 4 5", "", "no stop: it goes on"},
	{"endings, two sections", " |: / [1 ] :| / [2 ] / |: / [1 ] :| / [2 ]", "1 2 1 3 4 5 4 6", "", "each its own"},
	{"ending far from its repeat", " |: / [1 ] / / :| / [2 ] ", "1 2 3 4 1 3 4 5", "", "it is left out in the second pass; what is not under it is played"},
	{"da capo", " / DC", "1 2 1 2", "", "once"},
	{"da capo al fine", " / Fine / DC ", "1 2 3 1 2", "", "fine counts after the jump"},
	{"fine without a jump", " Fine / ", "1 2", "", "it does not count"},
	{"da capo with repeat", " |: / Fine :| / DC ", "1 2 1 2 3 1 2", "repeat-after-jump", "no repeats after a jump; said to be uncertain"},
	{"after-jump no", " |: / Fine :|no / DC ", "1 2 1 2 3 1 2", "", "the sign says so"},
	{"after-jump yes", " |: / :|yes / DC ", "1 2 1 2 3 1 2 1 2 3", "", "the sign says so"},
	{"da capo after a repeat", " / |: / DC :| / ", "1 2 3 2 3 1 2 3 4", "repeat-after-jump", "the jump follows the repeats of its measure"},
	{"dal segno", " / segno=a / / DS=a ", "1 2 3 4 2 3 4", "", "to the sign"},
	{"two segnos", " segno=a / segno=b / / DS=b ", "1 2 3 4 2 3 4", "", "by its label"},
	{"the same segno twice", " segno=a / / segno=a / DS=a ", "1 2 3 4 3 4", "jump-target-twice", "the nearer one: each movement has its own"},
	{"a coda in each movement", " segno=a / tocoda=c / DS=a / coda=c / segno=a / tocoda=c / DS=a / coda=c ", "1 2 3 1 2 4 5 6 7 5 6 8", "jump-target-twice jump-target-twice", "likewise"},
	{"two dal segnos", " segno=a / DS=a / segno=b / DS=b / ", "1 2 1 2 3 4 3 4 5", "", "each once"},
	{"dal segno al coda", " / segno=a / tocoda=c / DS=a / coda=c / ", "1 2 3 4 2 3 5 6", "", "to the coda after the jump"},
	{"da capo al coda", " / tocoda=c / DC / coda=c / ", "1 2 3 1 2 4 5", "", "the same from the start"},
	{"to coda without a jump", " tocoda=c / / coda=c ", "1 2 3", "", "it does not count"},
	{"time-only", " |: DC@2 / :| / ", "1 2 1 1 2 3", "repeat-after-jump", "a jump of the second pass"},
	{"words D.C.", ` / "Fine" / "D.C._al_Fine" `, "1 2 3 1 2", "jump-from-words", "only words say so"},
	{"words D.S.", ` / § / / "D.S." `, "1 2 3 4 2 3 4", "jump-from-words", "a printed sign is the target"},
	{"words D.S. al Coda", ` § / "To_Coda" / "D.S._al_Coda" / ø / `, "1 2 3 1 2 4 5", "jump-from-words", "all printed"},
	{"words and sound", ` / DC "Da_capo" `, "1 2 1 2", "", "sound says the same"},
	{"words that are none", ` / "dolce" / "Discord" / "Coda" `, "1 2 3 4", "", "no jump in them"},
	{"dal segno without one", " / DS=a / ", "1 2 3", "jump-without-target", "it is played on"},
	{"dal segno, another label", " segno=a / DS=b / ", "1 2 1 2 3", "jump-without-target", "the only one there is, with a warning"},
	{"to coda without one", " / tocoda=x / DC / ", "1 2 3 1 2 3 4", "jump-without-target", "it is played on"},
}

func TestPlayingOrder(t *testing.T) {
	for _, tt := range orderTable {
		t.Run(tt.name, func(t *testing.T) {
			score := readText(t, harpScore(road(t, tt.road)...), Options{})
			if got := orderText(score.Order); got != tt.want {
				t.Errorf("%s: %s, want %s: %s", tt.road, got, tt.want, tt.reason)
			}
			if got := strings.Join(codes(score.Warnings), " "); got != tt.warnings {
				t.Errorf("%s: warnings %q, want %q: %s", tt.road, got, tt.warnings, tt.reason)
			}
		})
	}
}

// The signs hold for the whole score, whatever part they stand in, and the order
// is the same in a timewise score.
func TestPlayingOrderOfAnotherPart(t *testing.T) {
	for _, tt := range orderTable {
		t.Run(tt.name, func(t *testing.T) {
			measures := road(t, tt.road)
			bare := make([]string, len(measures))
			for i := range bare {
				bare[i] = quarters + plain1("C4")
			}
			list := listed("P1", "Harp") + listed("P2", "Flute")
			for name, text := range map[string]string{
				"below": partwise(list, partOf("P1", bare...), partOf("P2", measures...)),
				"above": partwise(listed("P2", "Flute")+listed("P1", "Harp"), partOf("P2", measures...), partOf("P1", bare...)),
				"time":  timewiseScore(list, bare, measures),
			} {
				if got := orderText(readText(t, text, Options{}).Order); got != tt.want {
					t.Errorf("%s: %s, want %s: %s", name, got, tt.want, tt.reason)
				}
			}
		})
	}
}

// timewiseScore writes a score with the parts P1 and P2.
func timewiseScore(list string, first, second []string) string {
	var b strings.Builder
	b.WriteString("<score-timewise><part-list>" + list + "</part-list>")
	for i := range first {
		fmt.Fprintf(&b, `<measure number="%d"><part id="P1">%s</part><part id="P2">%s</part></measure>`, i+1, first[i], second[i])
	}
	b.WriteString("</score-timewise>")
	return b.String()
}

// The literal order leaves out jumps that only words ask for.
func TestLiteralOrder(t *testing.T) {
	score := readText(t, harpScore(road(t, ` / "D.C." / `)...), Options{})
	if got := orderText(score.Order); got != "1 2 1 2 3" {
		t.Errorf("order %s", got)
	}
	if got := orderText(score.Literal); got != "1 2 3" {
		t.Errorf("literal order %s", got)
	}
	if score = readText(t, harpScore(road(t, " / DC / ")...), Options{}); score.Literal != nil {
		t.Errorf("a jump in sound is literal: %v", score.Literal)
	}
}

// The place of a barline is its location, not its place in the file.
func TestBarlineLocation(t *testing.T) {
	backward := `<barline location="right"><repeat direction="backward"/></barline>`
	for _, tt := range []struct {
		name     string
		measures []string
		want     string
		reason   string
	}{
		{"right first", []string{quarters + plain1("C4"), backward + plain1("C4"), plain1("C4")}, "1 2 1 2 3", "it stands at the end all the same"},
		{"backward on the left", []string{quarters + plain1("C4"), plain1("C4"), `<barline location="left"><repeat direction="backward"/></barline>` + plain1("C4")}, "1 2 1 2 3", "it closes the measure before"},
		{"forward on the right", []string{quarters + plain1("C4") + `<barline location="right"><repeat direction="forward"/></barline>`, plain1("C4") + backward, plain1("C4")}, "1 2 2 3", "it opens the measure after"},
		{"no location", []string{quarters + plain1("C4"), plain1("C4") + `<barline><repeat direction="backward"/></barline>`, plain1("C4")}, "1 2 1 2 3", "right is the default"},
		{"sound", []string{quarters + plain1("C4"), `<sound forward-repeat="yes"/>` + plain1("C4"), plain1("C4") + backward}, "1 2 3 2 3", "a forward repeat that is not printed"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := orderText(readText(t, harpScore(tt.measures...), Options{}).Order); got != tt.want {
				t.Errorf("%s, want %s: %s", got, tt.want, tt.reason)
			}
		})
	}
}

// A da capo in a second movement is told: it leads to the start of the score.
func TestDaCapoOfMovement(t *testing.T) {
	text := harpScore(road(t, " / / / DC / ")...)
	if s := readText(t, text, Options{}); len(s.Warnings) != 0 || orderText(s.Order) != "1 2 3 4 1 2 3 4 5" {
		t.Errorf("%+v, %s", s.Warnings, orderText(s.Order))
	}
	s := readText(t, strings.Replace(text, `number="3"`, `number="1"`, 1), Options{})
	if got := strings.Join(codes(s.Warnings), " "); got != "da-capo-unclear" || s.Warnings[0].Index != 3 {
		t.Errorf("%+v", s.Warnings)
	}
}

// Where measure numbers begin again.
func TestRestarts(t *testing.T) {
	for numbers, want := range map[string]string{
		"1 2 3": "[]", "0 1 2": "[]", "1 2 1 2": "[2]", "1 2 0 1": "[2]", "1 2 X1 3": "[]", "1 1 2": "[]", "5 6 1 2 1 2": "[2 4]", "1 2 2 3": "[]",
	} {
		var measures []Measure
		for _, n := range strings.Fields(numbers) {
			measures = append(measures, Measure{Number: n})
		}
		if got := fmt.Sprint(restarts(measures)); got != want {
			t.Errorf("%s: %s, want %s", numbers, got, want)
		}
	}
}

// Where parts say different things the first one is heard, and it is told.
func TestPartsDisagree(t *testing.T) {
	list := listed("P1", "Harp") + listed("P2", "Flute")
	for _, tt := range []struct{ first, second, want, warnings string }{
		{" |: / :|3 / ", " |: / :|2 / ", "1 2 1 2 1 2 3", "parts-disagree"},
		{" |: / :|3 / ", " |: / :| / ", "1 2 1 2 1 2 3", ""},
		{" |: / :| / ", " |: / :|3 / ", "1 2 1 2 1 2 3", ""},
		{" |: / [1 ] :| / [2 ] / ", " |: / [1 ] :| / [3 ] / ", "1 2 1 3 4", "parts-disagree"},
		{" |: / [1 ] :| / [2 ] / ", " |: / [1 ] :| / [2 ] / ", "1 2 1 3 4", ""},
	} {
		s := readText(t, partwise(list, partOf("P1", road(t, tt.first)...), partOf("P2", road(t, tt.second)...)), Options{})
		if got := strings.Join(codes(s.Warnings), " "); got != tt.warnings || orderText(s.Order) != tt.want {
			t.Errorf("%s against %s: %s, %q; want %s, %q", tt.first, tt.second, orderText(s.Order), got, tt.want, tt.warnings)
		}
	}
}
