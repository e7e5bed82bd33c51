package spelling

import "testing"

func TestParseWithin(t *testing.T) {
	for _, tt := range []struct {
		text     string
		language Language
		want     string // pedals, "" for no mark
		rest     string
		why      string
	}{
		{"près de la table – F♭", English, "F♭", "près de la table", "behind a dash"},
		{"p. d. l. t. – F♭", English, "F♭", "p. d. l. t.", "abbreviated"},
		{"p.d.l.t. - F#", English, "F♯", "p.d.l.t.", "a hyphen between spaces"},
		{"F♯ (sec)", English, "F♯", "(sec)", "parentheses behind it"},
		{"F♯, sec", English, "F♯", "sec", "a comma behind it"},
		{"gliss. avec Do♯", English, "C♯", "gliss.", "a word that joins"},
		{"Gliss. mit Fis", English, "F♯", "Gliss.", "in German"},
		{"gliss. con Fa diesis", English, "F♯", "gliss.", "in Italian"},
		{"gliss. F♯", English, "F♯", "gliss.", "the other word says how to play"},
		{"C♮ B♭ gliss.", English, "C♮ B♭", "gliss.", "also behind it"},
		{"étouffez Fa♯ Sol♯", English, "F♯ G♯", "étouffez", "two pedals"},
		{"dolce, Bb", English, "B♭", "dolce", "a comma before it"},
		{"dolce\nF♯", English, "F♯", "dolce", "on its own line"},
		{"sec: prepare F♯", English, "F♯", "sec", "prepared"},
		{"E F♯ G A\nD C B♭ - see cond. score", English, "E♮ F♯ G♮ A♮ D♮ C♮ B♭", "see cond. score", "a whole setting"},
		{"étouffez – F♮→F♯", English, "F♯", "étouffez", "from a position to another"},
		{"dolce, e flat", English, "E♭", "dolce", "in lower case"},
		{"gliss., Es-Pedal", English, "E♭", "gliss.", "a compound"},
		{"(quasi chitarra) D♯", English, "D♯", "(quasi chitarra)", "parentheses before it"},
		{"gedämpft – Es", German, "E♭", "gedämpft", "a name alone, in a German part"},
		{"gedämpft – Es", English, "", "", "a word elsewhere"},
		{"gedämpft – B", German, "", "", "a letter alone could be one for rehearsals"},

		{"F♯", English, "", "", "no other words: Parse reads it"},
		{"C♯ minor", English, "", "", "a key"},
		{"f sharp, minor", English, "", "", "a key"},
		{"sub. f natural", English, "", "", "a dynamic and a word"},
		{"modulation: F→F♯", English, "", "", "a change of key"},
		{"gliss. from F♮ to F♯", English, "", "", "where it begins and ends"},
		{"gliss. C♯ → A♭", English, "", "", "from one note to another"},
		{"in C♯, minore", English, "", "", "a key"},
		{"A# minor", English, "", "", "a key"},
		{"Cl. – B♭", English, "", "", "an instrument"},
		{"Clarinet in B♭", English, "", "", "an instrument"},
		{"orig.: F♯", English, "", "", "an edition"},
		{"in original edition, top note of chord is F♯", English, "", "", "an edition"},
		{"ossia – F♯", English, "", "", "another reading"},
		{"2nd time: F♯", English, "", "", "not each time"},
		{"for the repeat: F♯", English, "", "", "told ahead"},
		{"D C♯ B♭", English, "", "", "one line of a setting"},
		{"Mi Fa♯ Sol♯", English, "", "", "part of a setting"},
		{"C♯ – A♭", English, "", "", "two notes"},
		{"gliss. C♯–A♭", English, "", "", "from one note to another"},
		{"gliss. to F♯", English, "", "", "where it goes"},
		{"gliss. sur Sol♯", English, "", "", "on a string"},
		{"C♯ (D♭)", English, "", "", "the string is named"},
		{"C♯ = D♭", English, "", "", "the string is named"},
		{"sec (F♯)", English, "", "", "the string is named"},
		{"play F♯", English, "", "", "words that are not known, and nothing parts them"},
		{"Solo A", English, "", "", "no sign"},
		{"Solo – A", English, "", "", "no sign"},
		{"più lento – Ab hier", English, "", "", "a word"},
		{"Fin. F#m7", English, "", "", "a chord"},
		{"Refrain – F#m7", English, "", "", "a chord"},
		{"Verse 1, Bb7", English, "", "", "a chord"},
		{"con F🎵 – ", English, "", "", "nothing"},
	} {
		m, rest, ok := ParseWithin(tt.text, tt.language)
		got := ""
		for i, p := range m.Pedals {
			if i > 0 {
				got += " "
			}
			got += p.String()
		}
		if !ok {
			got = ""
		}
		if got != tt.want || rest != tt.rest || ok != (tt.want != "") {
			t.Errorf("%q: %q beside %q, %v; want %q beside %q (%s)", tt.text, got, rest, ok, tt.want, tt.rest, tt.why)
		}
		if m.Prepared != (tt.why == "prepared") {
			t.Errorf("%q: prepared %v", tt.text, m.Prepared)
		}
	}
}
