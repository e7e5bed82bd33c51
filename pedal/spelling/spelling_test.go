package spelling

import (
	"strings"
	"testing"

	"pedalogue/pedal"
)

// written gives marks as a setting, or as a list of changes.
func written(m Marks, ok bool) string {
	if !ok {
		return ""
	}
	var words []string
	for _, t := range m.Pedals {
		words = append(words, English.Word(t.Letter, t.Position, false))
	}
	text := strings.Join(words, " ")
	if m.Full {
		text = m.Setting().String()
	}
	if m.Ambiguous {
		text += "?"
	}
	return m.Language.String() + " " + text
}

func TestParse(t *testing.T) {
	const aMajor = "D C♯ B | E F♯ G♯ A"
	for _, tt := range []struct{ text, want, why string }{
		// Full settings.
		{"D C# B E F# G# A", "en " + aMajor + "?", "one line [EIN-notating]; a bare B is B flat in German [EVELIN]"},
		{"E F# G# A\nD C# B", "en " + aMajor + "?", "right foot over left [EIN-notating]"},
		{"D C♯ B♮ | E F♯ G♯ A", "en " + aMajor, "a sign on B leaves no doubt"},
		{"E\u00a0F♯\u00a0G♯\u00a0A♭\nD\u00a0C♯\u00a0B♭", "en D C♯ B♭ | E F♯ G♯ A♭", "no-break spaces between the letters"},
		{"DC#B/EF#G#A", "en " + aMajor, "close together, a slash between the feet; German names are not set so"},
		{"DbCbBb EbFbGbAb", "en D♭ C♭ B♭ | E♭ F♭ G♭ A♭", "close together, b for flat"},
		{"D C B | E F G A", "en D C B | E F G A?", "all bare in foot order is a setting"},
		{"[D C♯ B♮ | E F♯ G♯ A]", "en " + aMajor, "boxed letters [BLI 9]"},
		{"A B C D E F G", "", "an alphabet"},
		{"C D E F G A B", "", "a scale"},
		{"D C♯ B | E F♯ G♯", "", "six letters, some of them bare"},
		{"D C♯ B | E F♯ G♯ G", "", "a letter twice"},
		{"D C E Fb G A Cb B", "", "two values for one pedal [SE-PENT]"},
		{"Mi ♮  Fa ♯  Sol ♮  La ♮  Si ♮  Do ♮  Ré ♮", "fr D C B | E F♯ G A", "French, outward from the middle of each foot; common practice"},
		{"préparez mi ♮ fa ♮ sol ♭ la ♮ si ♭ do ♮ ré ♯", "fr D♯ C B♭ | E F G♭ A", "French with a word before it; common practice"},
		{"accordez La# Sib Do# Ré Mi Fa# Sol", "fr D C♯ B♭ | E F♯ G A♯", "accordez [EIN-notating]"},
		{"Accordez : ré dièse, ut bémol, si bécarre, mi, fa, sol, la.", "fr D♯ C♭ B | E F G A", "signs as words; ut for do; common practice"},
		{"do ré mi fa sol la si", "", "a scale, or a line of a song"},
		{"D Cis B E Fis Gis A", "de D C♯ B♭ | E F♯ G♯ A", "B alone is B flat in German [EVELIN]"},
		{"D Cis H E Fis Gis A", "de " + aMajor, "H is B natural in German [EVELIN]"},
		{"Es F Gis As\nDes C B", "de D♭ C B♭ | E♭ F G♯ A♭", "German, two lines"},
		{"\ue680\ue681\ue682\ue683\ue681\ue682\ue682\ue681", "en D♭ C B♯ | E F♯ G♯ A", "glyphs of a diagram [SMUFL]"},
		{"\ue680\ue681\ue682\ue681\ue683\ue682\ue682\ue681", "", "the divider stands after the third"},
		{"\ue680\ue681\ue682\ue683\ue681", "", "five pedals"},
		// Changes.
		{"C#", "en C♯", "one letter with its sign [EIN-notating]"},
		{"F nat.", "en F♮", "common practice"},
		{"F♮", "en F♮", "a natural is written as such"},
		{"F natural", "en F♮", "a word for the sign"},
		{"A flat", "en A♭", "a word for the sign"},
		{"Bb", "en B♭", "b for flat"},
		{"B♭ E♭", "en B♭ E♭", "two pedals"},
		{"E♭\nB♭", "en E♭ B♭", "right foot over left [EIN-notating]"},
		{"C#F#", "en C♯ F♯", "close together"},
		{"Fn C#", "en F♮ C♯", "n for natural, in a list"},
		{"Fa#", "fr F♯", "French [EIN-notating]"},
		{"Mib", "fr E♭", "French [EIN-notating]"},
		{"Sol#", "fr G♯", "French [EIN-notating]"},
		{"mi♭", "fr E♭", "in lower case"},
		{"si b", "fr B♭", "the sign apart"},
		{"sol ♮  ré ♮", "fr G♮ D♮", "two pedals"},
		{"La bémol", "fr A♭", "a word for the sign"},
		{"Fis", "de F♯", "German [EVELIN]"},
		{"Ges", "de G♭", "German [EVELIN]"},
		{"fis gis", "de F♯ G♯", "in lower case"},
		{"Es As", "de E♭ A♭", "two of them are no words of a sentence"},
		{"Fis H", "de F♯ B♮", "H is B natural [EVELIN]"},
		{"Es B", "de E♭ B♭", "B beside a German name is B flat [EVELIN]"},
		{"H♮", "de B♮", "as we write it"},
		{"préparez mi♭", "fr E♭", "a word before it"},
		{"F sharp", "en F♯", "a word for the sign"},
		{"F-sharp, B-flat", "en F♯ B♭", "with hyphens"},
		{"f♯", "en F♯", "in lower case, with its sign"},
		{"C♯ and F♯", "en C♯ F♯", "a word between them"},
		{"C♯ & F♯", "en C♯ F♯", "a sign between them"},
		{"Fa♯ et Si♭", "fr F♯ B♭", "a word between them"},
		{"Fis und B", "de F♯ B♭", "a word between them"},
		{"Fa diesis", "it F♯", "Italian; common practice"},
		{"Si bemolle, Mi naturale", "it B♭ E♮", "Italian; common practice"},
		{"preparare Do diesis e La bequadro", "it C♯ A♮", "Italian with a word before it"},
		{"Do diesis Re Mi Fa diesis Sol La Si bemolle", "it D C♯ B♭ | E F♯ G A", "an Italian setting, in whatever order"},
		{"fa naturel", "fr F♮", "French for the sign"},
		{"prepare F#", "en F♯", "a word before it"},
		{"Set pedals: F♯, B♭", "en F♯ B♭", "two words before it"},
		{"change to E♭", "en E♭", "two words before it"},
		{"Fis vorbereiten", "de F♯", "a word behind it"},
		{"Fis vorb.", "de F♯", "abbreviated"},
		{"mi bémol", "fr E♭", "in lower case, with a word for the sign"},
		{"Fa dièze", "fr F♯", "an older spelling"},
		{"F-nat.", "en F♮", "with a hyphen"},
		{"D C# B\nE F# G# A", "en " + aMajor + "?", "left foot over right: each letter says which pedal it is"},
		{"[F♯]", "en F♯", "a boxed change [BLI 9]"},
		{"f sharp", "en F♯", "a lower-case letter, its sign a word"},
		{"f-sharp", "en F♯", "with a hyphen"},
		{"b flat, e flat", "en B♭ E♭", "an e with a sign behind it is no Italian and"},
		{"g nat.", "en G♮", "abbreviated"},
		{"a flat, d flat", "en A♭ D♭", "no article in a list"},
		{"pedal: a flat", "en A♭", "a word before it"},
		{"F♮→F♯", "en F♯", "from a position to another"},
		{"F♮ → F♯", "en F♯", "with spaces"},
		{"F♮ -> F♯", "en F♯", "an arrow of ASCII"},
		{"F♮→♯", "en F♯", "the letter once"},
		{"F nat. to F♯", "en F♯", "a word for the arrow"},
		{"F natural to F sharp", "en F♯", "all in words"},
		{"F nat to sharp", "en F♯", "the letter once, in words"},
		{"D♭→D♯, C♮→C♭", "en D♯ C♭", "two pedals"},
		{"D♭→D♮ B♭", "en D♮ B♭", "beside another"},
		{"change F to F♯", "en F♯", "a bare letter after a word that asks for it"},
		{"Fa♮ → Fa♯", "fr F♯", "French"},
		{"Si bémol à Si bécarre", "fr B♮", "French words"},
		{"Fa naturale a Fa diesis", "it F♯", "Italian"},
		{"F → Fis", "de F♯", "German: the name says that it is no key"},
		{"Es zu E", "de E♮", "also where it comes from"},
		{"E♭-Pedal", "en E♭", "a compound"},
		{"E♭ pedal", "en E♭", "the word behind it"},
		{"E-flat pedal", "en E♭", "the sign a word"},
		{"Es-Pedal", "de E♭", "German; the compound shows that it is no word"},
		{"Es- und As-Pedal", "de E♭ A♭", "two pedals"},
		{"pédale mi ♭", "fr E♭", "the word before it"},
		{"pédale de mi♭", "fr E♭", "with a preposition"},
		{"set the F♯", "en F♯", "with an article"},
		{"mi♭ pédale", "fr E♭", "behind it in French"},
		{"E\ue260", "en E♭", "a glyph for the sign [SMUFL]"},
		{"F\ue262 C\ue261", "en F♯ C♮", "glyphs for the signs [SMUFL]"},
		// Not marks.
		{"a flat", "", "an article and a word"},
		{"f sharp minor", "", "a key"},
		{"gnat", "", "a word"},
		{"F→F♯", "", "a change of key, as well"},
		{"E♭→E", "", "a change of key, as well"},
		{"B → H", "", "letters for rehearsals, as well"},
		{"C♯ → A♭", "", "two letters"},
		{"C♯->A♭", "", "two letters"},
		{"F♯ to G", "", "two letters"},
		{"F♯→F♯", "", "no change"},
		{"F♮→F♯→F♮", "", "there and back, which is to be done twice"},
		{"F♮ to", "", "no end"},
		{"F♮–F♯", "", "a dash: two notes"},
		{"D C♮→C♯ B | E F G A", "", "a setting does not move"},
		{"D pedal", "", "a held bass"},
		{"A-Pedal", "", "a held bass"},
		{"as pedal", "", "words of a sentence"},
		{"des pédales", "", "words of a sentence"},
		{"sans pédale", "", "a word"},
		{"", "", "nothing"},
		{"b", "", "a bare letter"},
		{"To Coda", "", "a jump"},
		{"change", "", "a word with nothing after it"},
		{"C♯ and", "", "a word with nothing after it"},
		{"Set", "", "a word with nothing after it"},
		{"Ped", "", "the piano's pedal [MXL]"},
		{"e e♭m", "", "a chord symbol"},
		{"A-flat major", "", "a key"},
		{"B♭ Clarinet", "", "an instrument"},
		{"in F", "", "an instrument's pitch"},
		{"A", "", "a rehearsal letter"},
		{"H", "", "a rehearsal letter"},
		{"B E", "", "bare letters"},
		{"B♭ E", "", "a natural is not written as such"},
		{"Es F", "", "a natural is not written as such"},
		{"D.C.", "", "da capo"},
		{"D. C.", "", "da capo"},
		{"D C", "", "da capo"},
		{"D.S. al Fine", "", "dal segno"},
		{"Am", "", "a chord symbol"},
		{"G7", "", "a chord symbol"},
		{"C#m", "", "a chord symbol"},
		{"F#7", "", "a chord symbol"},
		{"Bbmaj7", "", "a chord symbol"},
		{"C/E", "", "a chord symbol"},
		{"C#/G#", "", "a chord symbol"},
		{"E♭-A♭", "", "from chord to chord, or from key to key"},
		{"Cadd9", "", "a chord symbol"},
		{"(C#)", "", "in parentheses: the string of a written note"},
		{"(D♭ G♭)", "", "in parentheses"},
		{"Ped.", "", "the piano's pedal [MXL]"},
		{"*", "", "the piano's pedal [MXL]"},
		{"p", "", "a dynamic"}, {"f", "", "a dynamic"}, {"ff", "", "a dynamic"}, {"fff", "", "a dynamic"},
		{"1 2 3", "", "fingers"},
		{"F", "", "a bare letter"},
		{"FACE", "", "a word"},
		{"BADGE", "", "a word"},
		{"Flat", "", "a word"},
		{"An", "", "a word"},
		{"En", "", "a word"},
		{"As", "", "a word, if also a German flat"},
		{"Es", "", "a word, if also a German flat"},
		{"Des", "", "a word"},
		{"ab", "", "a word"},
		{"Gestopft", "", "begins like a German flat"},
		{"Fissa", "", "begins like a German sharp"},
		{"Solo", "", "begins with a syllable"},
		{"Fa", "", "a bare syllable"},
		{"la", "", "an article"},
		{"Do not", "", "begins with a syllable"},
		{"mi nore", "", "n is no sign of its own"},
		{"Récit", "", "begins with a syllable"},
		{"sib.", "fr B♭", "with a full stop"},
		{"C##", "", "no pedal is doubly sharp"},
		{"Bbb", "", "no pedal is doubly flat"},
		{"C♯♯", "", "no pedal is doubly sharp"},
		{"C♯ ou D♭ au choix", "", "more than a mark"},
		{"gliss.", "", "a word"},
		{"préparez", "", "a word with nothing after it"},
		{"L.V.", "", "let ring"},
		{"p.d.l.t.", "", "near the soundboard [HARPQUEST]"},
	} {
		t.Run(tt.text, func(t *testing.T) {
			if got := written(Parse(tt.text)); got != tt.want {
				t.Errorf("Parse(%q) = %q, want %q (%s)", tt.text, got, tt.want, tt.why)
			}
		})
	}
}

func TestWord(t *testing.T) {
	for _, tt := range []struct {
		language Language
		want     string // the bare naturals, then flats, naturals and sharps in foot order
	}{
		{English, "D C B E F G A, D♭ C♭ B♭ E♭ F♭ G♭ A♭, D♮ C♮ B♮ E♮ F♮ G♮ A♮, D♯ C♯ B♯ E♯ F♯ G♯ A♯"},
		{French, "Ré Do Si Mi Fa Sol La, Ré♭ Do♭ Si♭ Mi♭ Fa♭ Sol♭ La♭, Ré♮ Do♮ Si♮ Mi♮ Fa♮ Sol♮ La♮, Ré♯ Do♯ Si♯ Mi♯ Fa♯ Sol♯ La♯"},
		{German, "D C H E F G A, Des Ces B Es Fes Ges As, D♮ C♮ H♮ E♮ F♮ G♮ A♮, Dis Cis His Eis Fis Gis Ais"},
	} {
		row := func(p pedal.Position, bare bool) string {
			var words []string
			for l := range pedal.Letter(pedal.Letters) {
				words = append(words, tt.language.Word(l, p, bare))
			}
			return strings.Join(words, " ")
		}
		got := strings.Join([]string{row(pedal.Natural, true), row(pedal.Flat, true), row(pedal.Natural, false), row(pedal.Sharp, false)}, ", ")
		if got != tt.want {
			t.Errorf("%v: %s; want %s", tt.language, got, tt.want)
		}
		if got := row(pedal.Flat, false); got != row(pedal.Flat, true) {
			t.Errorf("%v: flats differ between settings and changes: %s", tt.language, got)
		}
	}
}

// Every setting that Word writes is read back.
func TestSettingWordsAreRead(t *testing.T) {
	for n := range 2187 {
		var s pedal.Setting
		for l, rest := 0, n; l < pedal.Letters; l, rest = l+1, rest/3 {
			s[l] = pedal.Position(rest%3 - 1)
		}
		for _, g := range []Language{English, French, German} {
			var words []string
			for _, l := range []pedal.Letter{pedal.E, pedal.F, pedal.G, pedal.A, pedal.D, pedal.C, pedal.B} {
				words = append(words, g.Word(l, s[l], true))
			}
			text := strings.Join(words[:4], " ") + "\n" + strings.Join(words[4:], " ")
			m, ok := Parse(text)
			switch {
			case g == German && m.Ambiguous: // only a bare B tells the two apart
			case !ok || !m.Full || m.Setting() != s:
				t.Fatalf("%q is read as %q, not as %v", text, written(m, ok), s)
			}
		}
	}
}

// Every German setting and change that Word writes is read back where the language is
// known, and what else stands there is not.
func TestParseIn(t *testing.T) {
	for n := range 2187 {
		s := pedal.Setting{}
		for l, rest := 0, n; l < pedal.Letters; l, rest = l+1, rest/3 {
			s[l] = pedal.Position(rest%3 - 1)
		}
		if m, ok := ParseIn(German.Setting(s), German); !ok || !m.Full || m.Setting() != s {
			t.Fatalf("%q is read as %q, not as %v", German.Setting(s), written(m, ok), s)
		}
	}
	for l := range pedal.Letter(pedal.Letters) {
		for p := pedal.Flat; p <= pedal.Sharp; p++ {
			text := German.Changes(map[pedal.Letter]pedal.Position{l: p})
			if m, ok := ParseIn(text, German); !ok || len(m.Pedals) != 1 || m.Pedals[0] != (Tuning{l, p}) {
				t.Errorf("%q is read as %q", text, written(m, ok))
			}
		}
	}
	for _, tt := range []struct{ text, want, why string }{
		{"H", "de B♮", "H says its position"},
		{"A", "", "a bare letter"},
		{"Es F", "", "a bare letter beside a name"},
		{"Es Es", "", "a pedal twice"},
		{"F♯", "en F♯", "signs are of no language"},
		{"C♯ – F♯", "", "two notes, in whatever language"},
	} {
		if got := written(ParseIn(tt.text, German)); got != tt.want {
			t.Errorf("%q: %q, want %q (%s)", tt.text, got, tt.want, tt.why)
		}
	}
}

// What is told ahead is read as such in every language.
func TestParseAhead(t *testing.T) {
	changes := map[pedal.Letter]pedal.Position{pedal.B: pedal.Flat, pedal.F: pedal.Natural}
	for g := English; g <= German; g++ {
		for _, text := range []string{g.Repeat(changes), g.AtEnd(changes), g.Repeat(map[pedal.Letter]pedal.Position{pedal.B: pedal.Flat})} {
			if m, ok := ParseAhead(text); !ok || len(m.Pedals) == 0 || changes[m.Pedals[len(m.Pedals)-1].Letter] != m.Pedals[len(m.Pedals)-1].Position {
				t.Errorf("%q is read as %q", text, written(m, ok))
			}
		}
	}
	for _, text := range []string{"for the repeat:", "for the repeat: softer", "F♯", "at the end: A"} {
		if m, ok := ParseAhead(text); ok {
			t.Errorf("%q is read as %q", text, written(m, ok))
		}
	}
}

// Words that ask for a pedal ahead of the need are told apart.
func TestPrepared(t *testing.T) {
	for text, want := range map[string]bool{"prepare F♯": true, "préparez fa♯": true, "B vorbereiten": false, "Fis vorbereiten": true, "set F♯": false, "F♯": false} {
		if m, _ := Parse(text); m.Prepared != want {
			t.Errorf("%q: prepared is %v", text, m.Prepared)
		}
	}
}

func TestParseLanguage(t *testing.T) {
	for _, g := range []Language{English, French, German} {
		if got, err := ParseLanguage(g.String()); got != g || err != nil {
			t.Errorf("ParseLanguage(%q) = %v, %v", g.String(), got, err)
		}
	}
	if _, err := ParseLanguage("it"); err == nil || !strings.Contains(err.Error(), "en, fr or de") {
		t.Errorf("ParseLanguage(it): %v", err)
	}
}

// Words that other programs look for in a score must not appear in ours.
func TestSettingIsNoJump(t *testing.T) {
	words := English.Setting(pedal.Setting{})
	if strings.Contains(words, "D C") {
		t.Errorf("%q reads as da capo", words)
	}
	if got := strings.ReplaceAll(words, Between, " "); got != "E F G A\nD C B" {
		t.Errorf("setting %q, want the right foot over the left", got)
	}
}

// Words before changes: on one line or above them, and no marks themselves.
func TestLedChanges(t *testing.T) {
	changes := map[pedal.Letter]pedal.Position{pedal.F: pedal.Flat, pedal.C: pedal.Sharp}
	for _, tt := range []struct{ got, want string }{
		{English.Repeat(changes), "for the repeat:\nF♭ C♯"},
		{French.Repeat(changes), "pour la reprise :\nFa♭ Do♯"},
		{German.AtEnd(changes), "am Schluss: Fes Cis"},
		{English.AtEnd(changes), "at the end: F♭ C♯"},
	} {
		if got := strings.ReplaceAll(tt.got, Between, " "); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
		if _, ok := Parse(tt.got); ok {
			t.Errorf("%q is read as a mark", tt.got)
		}
	}
}

func TestParsePlayed(t *testing.T) {
	for _, tt := range []struct{ text, want, why string }{
		{"=\u00a0D♭", "en D♭", "as it is written"},
		{"= D♭\u00a0F♮", "en D♭ F♮", "two strings"},
		{"(D♭)", "en D♭", "in parentheses; common practice"},
		{"=\u00a0Des", "de D♭", "German"},
		{"= B", "de B♭", "a German name"},
		{"= C♮ B", "de C♮ B♭", "beside a sign"},
		{"D♭", "", "a change"},
		{"= D♭ C B E F G A", "", "a setting"},
		{"(a tempo)", "", "other words"},
		{"(F♮→F♯)", "", "a pedal that moves"},
		{"(F to F♯)", "", "a pedal that moves"},
		{"= 96", "", "a tempo"},
	} {
		if got := written(ParsePlayed(tt.text)); got != tt.want {
			t.Errorf("%q: %q, want %q (%s)", tt.text, got, tt.want, tt.why)
		}
	}
}

// What Played writes is read as names of strings in every language, and never as a
// mark.
func TestPlayedIsNoMark(t *testing.T) {
	for _, g := range []Language{English, French, German} {
		for l := range pedal.Letter(pedal.Letters) {
			for p := pedal.Flat; p <= pedal.Sharp; p++ {
				text := g.Played([]pedal.String{{Letter: l, Position: p, OK: true}})
				if m, ok := Parse(text); ok {
					t.Errorf("%q is read as the mark %v", text, m)
				}
				if m, ok := ParsePlayed(text); !ok || len(m.Pedals) != 1 || m.Pedals[0] != (Tuning{l, p}) {
					t.Errorf("%q is read as %v, %v", text, m, ok)
				}
			}
		}
	}
}
