package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/report"
)

// A findingChoice is what to report of a plan, and how gravely.
type findingChoice struct {
	severities map[finding.Kind]finding.Severity
	limits     map[finding.Kind]finding.Limit
	list       bool // print the table of kinds and do nothing else
}

// findingFlags are the options of the findings. They return a function that
// checks them and takes them over when they have been read.
func findingFlags(f *pflag.FlagSet, s *settings) (take func() error) {
	severities := f.StringSlice("findings", nil, "report a kind of finding as off, note, warning or error: `KIND=SEVERITY`, more after commas; the kind all stands for every kind")
	limits := f.StringSlice("limit", nil, "report a kind of finding from another limit on: `KIND=NUMBER`, more after commas")
	f.BoolVar(&s.findings.list, "help-findings", false, "list the kinds of findings, with their severities and limits")
	for _, name := range []string{"findings", "limit"} {
		f.Lookup(name).DefValue = ""
	}
	return func() error { return s.findings.take(*severities, *limits) }
}

// take reads the values of --findings and --limit; the last word on a kind
// counts.
func (c *findingChoice) take(severities, limits []string) error {
	c.severities, c.limits = map[finding.Kind]finding.Severity{}, map[finding.Kind]finding.Limit{}
	for _, item := range severities {
		name, value, _ := strings.Cut(strings.TrimSpace(item), "=")
		severity, err := finding.ParseSeverity(value)
		if err != nil {
			return fmt.Errorf("--findings %s: %w", item, err)
		}
		if name == "all" {
			for _, r := range rules() {
				c.severities[r.Kind] = severity
			}
			continue
		}
		if _, err := ruleOf(name); err != nil {
			return fmt.Errorf("--findings %s: %w", item, err)
		}
		c.severities[finding.Kind(name)] = severity
	}
	for _, item := range limits {
		name, value, _ := strings.Cut(strings.TrimSpace(item), "=")
		r, err := ruleOf(name)
		if err != nil {
			return fmt.Errorf("--limit %s: %w", item, err)
		}
		if c.limits[r.Kind], err = r.Unit.Parse(value); err != nil {
			return fmt.Errorf("--limit %s: %w", item, err)
		}
	}
	return nil
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
	kindMarkNotKept       finding.Kind = "mark-not-kept"
	kindAccidentalChanged finding.Kind = "accidental-changed"
)

// rules is the table of all kinds.
func rules() []finding.Rule { return append(finding.Rules(), markRules()...) }

func ruleOf(name string) (finding.Rule, error) {
	all := rules()
	i := slices.IndexFunc(all, func(r finding.Rule) bool { return string(r.Kind) == name })
	if i < 0 {
		return finding.Rule{}, fmt.Errorf("%q is no kind of finding; --help-findings lists them", name)
	}
	return all[i], nil
}

// judged gives findings about marks the severity that the user wants, and
// leaves out those that are off.
func (c findingChoice) judged(list []report.Finding) []report.Finding {
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

// listFindings is --help-findings.
func listFindings(s streams) int {
	if err := writeRules(s.out); err != nil {
		complain(s.err, err)
		return exitFailed
	}
	return exitDone
}

// writeRules lists the kinds of findings, as --help-findings does.
func writeRules(w io.Writer) error {
	var b strings.Builder
	b.WriteString("kinds of findings, with severity and limit; --findings KIND=SEVERITY and --limit KIND=NUMBER change them\n")
	for _, r := range rules() {
		fmt.Fprintf(&b, "\n%s: %v", r.Kind, r.Severity)
		if r.Unit != finding.NoUnit {
			fmt.Fprintf(&b, ", limit %s (%s)", r.Unit.Format(r.Limit), r.Unit.Describe(r.Limit))
		}
		fmt.Fprintf(&b, "\n    %s\n", r.Means)
		if r.Source != "" {
			fmt.Fprintf(&b, "    source: %s\n", r.Source)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// findings are what there is to say of a plan, in playing order.
func (b *bridge) findings(plan *pedal.Plan, set settings) []report.Finding {
	found := finding.All(b.passage, plan, finding.Options{
		Plan: set.plan, Bars: b.stepStarts,
		Severities: set.findings.severities, Limits: set.findings.limits,
	})
	list := make([]report.Finding, len(found))
	for i, f := range found {
		list[i] = report.Finding{
			Kind: string(f.Kind), Severity: reportSeverity(f.Severity),
			Place: b.reported(f.Moment), Pass: b.moments[f.Moment].pass, Staff: f.Staff,
			Notes: b.names(f.Notes), Text: f.Text, Remedy: f.Remedy,
		}
	}
	return list
}

// names writes the pitches of notes, each once.
func (b *bridge) names(notes []int) []string {
	list := []string{}
	for _, n := range notes {
		if name := b.passage.Notes[n].Pitch.String(); !slices.Contains(list, name) {
			list = append(list, name)
		}
	}
	return list
}

// splitList cuts a list at its commas.
func splitList(list string) []string {
	var items []string
	for item := range strings.SplitSeq(list, ",") {
		if item = strings.TrimSpace(item); item != "" {
			items = append(items, item)
		}
	}
	return items
}
