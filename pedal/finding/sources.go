package finding

import (
	"regexp"
	"slices"
	"strings"
)

// A Source is a text that rules rest on.
type Source struct {
	Key   string // as it stands in brackets, without what follows a hyphen or a blank: "EIN"
	Words string // who says it, and where
}

// sources are the texts that the rules name. The part behind the hyphen is a page, the
// number behind a blank a point of the text.
var sources = []Source{
	{"BAL", "Amy Balcomb, instrumentation notes on the harp, 2016"},
	{"BLI", "Elizabeth Volpé Bligh, principal harp of the Vancouver Symphony, \"Writing for the Pedal Harp\"; the number is the point"},
	{"C&O", "Sabien Canton and Miriam Overlach, sheets for composers on pedals (PED) and muffling (MUF)"},
	{"CAMAC", "a harp maker's article on pedals that composers print, 2015"},
	{"EIN", "Gunnhildur Einarsdóttir, manual of harp notation, a doctoral project of the Sibelius Academy; the word is the page"},
	{"GOSS", "Thomas Goss, 100 Orchestration Tips, part 4, Harp; the number is the tip, TAG and STOMP are articles"},
	{"GROVE", "Grove's Dictionary of Music and Musicians, article \"Harp\""},
	{"HARPITECT", "a harpist's film of her feet, 2015"},
	{"HC", "a harp magazine: \"Together We Create\" (CREATE), \"Can I Borrow That\" (BRUCH)"},
	{"HIO", "harpinsideout.com, \"Composing for the Harp: a Guide to the Pedals\""},
	{"HLP", "The Harp Legacy Project, \"Typical Compositional Issues\""},
	{"HOLDEN", "Ruth Holden, harpist, text of an introductory film on the harp"},
	{"JOH", "Kristina S. Johnson, introduction to composing for the concert harp"},
	{"KUNTZ", "Danielle Kuntz, harpist, on enharmonics (ENH)"},
	{"MILLS", "Carolyn Mills, principal harp of the New Zealand Symphony, \"Writing for the Harp\""},
	{"MXL", "the MusicXML 4.0 standard"},
	{"PHI", "Philharmonia Orchestra, The Sound Exchange, harp: \"Tips and tricks\" (tips), \"Notation\" (notation)"},
	{"RK", "N. Rimsky-Korsakov, Principles of Orchestration, on the harp"},
	{"UBC", "\"More on Harp Writing\", notes of a composers' project, 2013"},
	{"WEEKS", "Christopher Weeks, composer, on writing for the harp"},
	{"WIKI", "an encyclopedia's article on the pedal harp"},
}

var sourceKey = regexp.MustCompile(`\[([A-Z&]+)(?:[- ][A-Za-z0-9]+)?\]`)

// SourcesOf explains the keys in the sources of rules, each once, in the order of the
// alphabet. What nobody has written down is "common practice", and needs no explanation.
func SourcesOf(rules []Rule) []Source {
	named := map[string]bool{}
	for _, r := range rules {
		for _, m := range sourceKey.FindAllStringSubmatch(r.Source, -1) {
			named[m[1]] = true
		}
	}
	list := slices.Clone(sources)
	list = slices.DeleteFunc(list, func(s Source) bool { return !named[s.Key] })
	slices.SortFunc(list, func(a, b Source) int { return strings.Compare(a.Key, b.Key) })
	return list
}
