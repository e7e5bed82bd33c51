package rows

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"math/big"
	"slices"
	"strings"

	"pedalogue/cmd/pedalogue/internal/staves"
	"pedalogue/musicxml"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/part"
	"pedalogue/pedal/remedy"
	"pedalogue/pedal/spelling"
	"pedalogue/report"
)

// A Judgement is what to report of a plan, and how gravely. The zero value is the
// default of each kind.
type Judgement struct {
	severities map[finding.Kind]finding.Severity
	limits     map[finding.Kind]finding.Limit
}

// Judge reads the values of --findings and --limit, each KIND=VALUE; the last word
// on a kind counts.
func Judge(severities, limits []string) (Judgement, error) {
	var c Judgement
	c.severities, c.limits = map[finding.Kind]finding.Severity{}, map[finding.Kind]finding.Limit{}
	for _, item := range severities {
		name, value, _ := strings.Cut(strings.TrimSpace(item), "=")
		severity, err := finding.ParseSeverity(value)
		if err != nil {
			return c, fmt.Errorf("--findings %s: %w", item, err)
		}
		if name == "all" {
			for _, r := range Rules() {
				c.severities[r.Kind] = severity
			}
			continue
		}
		if _, err := ruleOf(name); err != nil {
			return c, fmt.Errorf("--findings %s: %w", item, err)
		}
		c.severities[finding.Kind(name)] = severity
	}
	for _, item := range limits {
		name, value, _ := strings.Cut(strings.TrimSpace(item), "=")
		r, err := ruleOf(name)
		if err != nil {
			return c, fmt.Errorf("--limit %s: %w", item, err)
		}
		if c.limits[r.Kind], err = r.Unit.Parse(value); err != nil {
			return c, fmt.Errorf("--limit %s: %w", item, err)
		}
	}
	return c, nil
}

// markRules are the kinds of findings that package finding cannot make: they
// are about what is printed in the score.
func markRules() []finding.Rule {
	return []finding.Rule{
		{
			Kind: kindMarkDiffers, Severity: finding.Warning,
			Means:  "a pedal mark that stands in the score already is not what the notes after it need",
			Source: "marks in parts may be wrong [CAMAC] [BLI 9]",
		}, {
			Kind: kindMarkBeside, Severity: finding.Warning,
			Means:  "a pedal mark that stands in the score already stands beside a setting of ours that says otherwise",
			Source: "common practice: two instructions at one place have to agree",
		}, {
			Kind: kindMarkNotKept, Severity: finding.Warning,
			Means: "with --existing obey, a pedal mark that could not be kept",
		}, {
			Kind: kindAccidentalChanged, Severity: finding.Note,
			Means: "with --respell-notes rewrite, a note whose accidental changed because one before it was rewritten",
		},
	}
}

const (
	kindMarkDiffers       finding.Kind = "mark-differs"
	kindMarkBeside        finding.Kind = "mark-beside"
	kindMarkNotKept       finding.Kind = "mark-not-kept"
	kindAccidentalChanged finding.Kind = "accidental-changed"
)

// Rules is the table of all kinds.
func Rules() []finding.Rule { return append(finding.Rules(), markRules()...) }

func ruleOf(name string) (finding.Rule, error) {
	all := Rules()
	i := slices.IndexFunc(all, func(r finding.Rule) bool { return string(r.Kind) == name })
	if i < 0 {
		return finding.Rule{}, fmt.Errorf("%q is no kind of finding; --help-findings lists them", name)
	}
	return all[i], nil
}

// judged gives findings about marks the severity that the user wants, and
// leaves out those that are off.
func (c Judgement) judged(list []report.Finding) []report.Finding {
	var kept []report.Finding
	for _, f := range list {
		switch severity := c.severities[finding.Kind(f.Kind)]; severity {
		case finding.Off:
			continue
		case finding.Unset:
		default:
			f.Severity = reportSeverity(severity)
		}
		kept = append(kept, f)
	}
	return kept
}

func reportSeverity(s finding.Severity) report.Severity {
	switch s {
	case finding.Error:
		return report.SeverityError
	case finding.Warning:
		return report.SeverityWarning
	}
	return report.SeverityNote
}

// WriteRules lists the kinds of findings, as --help-findings does.
func WriteRules(w io.Writer) error {
	var b strings.Builder
	b.WriteString("kinds of findings, with severity and limit; --findings KIND=SEVERITY and --limit KIND=NUMBER change them\n")
	for _, r := range Rules() {
		fmt.Fprintf(&b, "\n%s: %v", r.Kind, r.Severity)
		if r.Unit != finding.NoUnit {
			fmt.Fprintf(&b, ", limit %s (%s)", r.Unit.Format(r.Limit), r.Unit.Describe(r.Limit))
		}
		fmt.Fprintf(&b, "\n    %s\n", r.Means)
		if r.Source != "" {
			fmt.Fprintf(&b, "    source: %s\n", r.Source)
		}
	}
	b.WriteString("\nsources; \"common practice\" is what players do and nobody has published, such as most limits in seconds\n")
	for _, s := range finding.SourcesOf(Rules()) {
		fmt.Fprintf(&b, "    [%s]  %s\n", s.Key, s.Words)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// Judge is how plans are judged.
func (w *Wants) Judge() finding.Options {
	return finding.Options{Plan: w.Plan.Options, Severities: w.Judgement.severities, Limits: w.Judgement.limits}
}

// findings are what there is to say of a plan, in playing order.
func (r *rower) findings(ctx context.Context) ([]report.Finding, error) {
	marked := r.done.Page.AsMarked()
	o := r.wants.Judge()
	found, err := finding.All(&r.part.Music, marked, o)
	if err == nil && !r.wants.Untried {
		_, err = remedy.Try(ctx, &r.part.Music, marked, o, found)
	}
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		return nil, fmt.Errorf("internal error: %w", err)
	}
	r.found = found
	list := make([]report.Finding, len(found))
	for i, f := range found {
		list[i] = report.Finding{
			Kind: string(f.Kind), Severity: reportSeverity(f.Severity),
			Place: r.moment(f.Moment), Pass: r.part.Places.Pass(f.Moment), Staff: f.Staff,
			Notes: r.names(f.Notes), Concerned: r.concerned(f.Notes), Text: f.Text, Remedy: f.Remedy,
		}
	}
	return list, nil
}

// lies is how much of the part lies on the harp.
func (r *rower) lies() *report.Lies {
	v := finding.VerdictOf(r.part.Passage, r.found)
	lies := report.LiesOf(v.Moments, v.ToDecide, v.Cannot)
	for c, parts := range map[finding.Concern]*report.LiesParts{finding.Hands: &lies.Hands, finding.Strings: &lies.Strings, finding.Feet: &lies.Feet} {
		parts.ToDecide, parts.Cannot = report.ShareOf(v.By[c].ToDecide, v.Moments), report.ShareOf(v.By[c].Cannot, v.Moments)
	}
	return &lies
}

// ranked ranks findings: the graver ones first, of equal ones those whose kind stands
// further up in the table, then by place. They come back in playing order.
func (r *rower) ranked(list []report.Finding) []report.Finding {
	r.sortByPlace(list)
	order := map[string]int{}
	for i, rule := range Rules() {
		order[string(rule.Kind)] = i
	}
	severity := map[report.Severity]int{report.SeverityError: 0, report.SeverityWarning: 1, report.SeverityNote: 2}
	byRank := make([]*report.Finding, len(list))
	for i := range list {
		byRank[i] = &list[i]
	}
	slices.SortStableFunc(byRank, func(a, b *report.Finding) int {
		return cmp.Or(severity[a.Severity]-severity[b.Severity], order[a.Kind]-order[b.Kind])
	})
	for i, f := range byRank {
		f.Rank = i + 1
	}
	return list
}

// sortByPlace puts findings in playing order.
func (r *rower) sortByPlace(list []report.Finding) {
	type visit struct{ index, pass int }
	steps := map[visit]int{} // of the playing order
	for step, m := range r.part.Passage.Measures {
		steps[visit{m.Written, r.part.Places.Pass(m.First)}] = step
	}
	slices.SortStableFunc(list, func(a, b report.Finding) int {
		return cmp.Or(cmp.Compare(steps[visit{a.Index, a.Pass}], steps[visit{b.Index, b.Pass}]), compareOffsets(a.Offset, b.Offset))
	})
}

// compareOffsets compares fractions as the report writes them.
func compareOffsets(a, b string) int {
	if a == b {
		return 0
	}
	x, ok := new(big.Rat).SetString(a)
	y, also := new(big.Rat).SetString(b)
	if !ok || !also {
		return 0
	}
	return x.Cmp(y)
}

// names writes the pitches of notes, each once.
func (r *rower) names(notes []int) []string {
	list := []string{}
	for _, n := range notes {
		if name := r.part.Passage.Notes[n].Pitch.String(); !slices.Contains(list, name) {
			list = append(list, name)
		}
	}
	return list
}

// standing tells which marks by others are not what is played: as questions, since
// they may be meant for something that the file does not show.
func (r *rower) standing() []report.Finding {
	var found []report.Finding
	tell := func(kind finding.Kind, list []part.Unheeded, text, remedy string) {
		for _, u := range list {
			marked, has := settingWords(u.Pedals)
			found = append(found, report.Finding{
				Kind: string(kind), Severity: report.SeverityWarning,
				Place: r.moment(u.Moment), Pass: r.part.Places.Pass(u.Moment), Staff: r.part.StaffOf(u.Mark), Notes: []string{},
				Text: fmt.Sprintf(text, marked, has), Remedy: remedy,
			})
		}
	}
	switch {
	case r.wants.Style.Replace:
	case r.wants.Plan.Obey:
		tell(kindMarkNotKept, r.part.NotKept(r.done.Plan), "The mark %s in the score could not be kept: the notes need %s. Is it meant so?",
			"Ask whoever wrote it, and change the notes or the mark.")
	default:
		tell(kindMarkDiffers, r.part.Differing(r.done.Plan), "The score has the mark %s, and the notes after it are played with %s. Does it prepare something that the file does not show?",
			"Ask whoever wrote it. With --existing obey the pedals stand so; with --existing replace all such marks are taken out.")
		tell(kindMarkBeside, r.done.Beside(), "The score has the mark %s, and the setting printed beside it has %s. Which of them is meant?",
			"Ask whoever wrote the mark; no note tells here.")
	}
	return r.wants.Judgement.judged(found)
}

// settingWords write how pedals are marked, and how the plan has them.
func settingWords(list []part.Instead) (marked, has string) {
	var words [2][]string
	for _, p := range list {
		words[0] = append(words[0], p.Marked.String())
		words[1] = append(words[1], spelling.Tuning{Letter: p.Marked.Letter, Position: p.Has}.String())
	}
	return strings.Join(words[0], " "), strings.Join(words[1], " ")
}

// signs tells which other notes have got or lost an accidental.
func (r *rower) signs(signs []musicxml.SignChange) []report.Finding {
	var list []report.Finding
	staff := 0
	for _, p := range r.part.Player.Parts {
		for _, c := range signs {
			if c.Part != p {
				continue
			}
			n := &p.Notes[c.Note]
			f := report.Finding{Kind: string(kindAccidentalChanged), Severity: report.SeverityNote, Pass: 1, Staff: staff + n.Staff,
				Place: PlaceIn(r.part.Score, n.Measure, n.Onset),
				Notes: []string{part.PitchOf(n.Pitch).String()}, Concerned: []int{staves.ID(n)},
			}
			f.Text = fmt.Sprintf("The accidental of %s was taken away: a note before it, which made it necessary, was rewritten.", f.Notes[0])
			if c.Added {
				f.Text = fmt.Sprintf("%s was given a %s sign: a note before it was rewritten.", f.Notes[0], strings.ReplaceAll(c.Sign, "-", " "))
			}
			list = append(list, f)
		}
		staff += p.Staves
	}
	return r.wants.Judgement.judged(list)
}
