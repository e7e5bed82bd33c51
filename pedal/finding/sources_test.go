package finding

import (
	"slices"
	"testing"
)

// Every key that a rule names is explained, and none that no rule names is kept.
func TestSourcesAreExplained(t *testing.T) {
	rules := Rules()
	known := SourcesOf(rules)
	for _, r := range rules {
		for _, m := range sourceKey.FindAllStringSubmatch(r.Source, -1) {
			if !slices.ContainsFunc(known, func(s Source) bool { return s.Key == m[1] && s.Words != "" }) {
				t.Errorf("%s names %s, which nobody explains", r.Kind, m[0])
			}
		}
	}
	// CAMAC is named by the rules about printed marks, which are not of this package.
	for _, s := range sources {
		if s.Key != "CAMAC" && !slices.Contains(known, s) {
			t.Errorf("no rule names %s", s.Key)
		}
	}
}

// Moments count by the worst that is said of them, and by what it is about.
func TestVerdict(t *testing.T) {
	m := piece{notes: "C5 D5 - E5 F5"}.music(t)
	found := []Finding{
		{Kind: "repeated-string", Severity: Warning, Moment: 0, Last: 2},
		{Kind: "one-foot", Severity: Warning, Moment: 1, Last: 1},
		{Kind: "string-clash", Severity: Error, Moment: 1, Last: 1},
		{Kind: "no-tempo", Severity: Note, Moment: 4, Last: 4},
	}
	want := Verdict{Moments: 4, ToDecide: 1, Cannot: 1, By: [Concerns]Share{Hands: {2, 0}, Strings: {0, 1}, Feet: {1, 0}}}
	if got := VerdictOf(m.Passage, found); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	if got := VerdictOf(m.Passage, nil); got != (Verdict{Moments: 4}) {
		t.Errorf("without findings %+v", got)
	}
}
