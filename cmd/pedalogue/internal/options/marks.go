package options

import (
	"fmt"
	"slices"

	"github.com/spf13/pflag"

	"pedalogue/cmd/pedalogue/internal/cli"
	"pedalogue/cmd/pedalogue/internal/rows"
	"pedalogue/pedal/part"
	"pedalogue/pedal/spelling"
)

// Marks defines the options of how marks are written. It returns a function
// that checks them and takes them over when they have been read.
func Marks(f *pflag.FlagSet, w *rows.Wants) (take func() error) {
	where := f.String("side", "below", "where changes are written: `WHERE` is below or above the staves, or between them")
	places := f.String("settings", "sections", "where full settings stand: `PLACES` is start, sections or every=N measures")
	form := f.String("setting-as", "both", "how full settings are written: `FORM` is letters, diagram (the harp-pedals element) or both")
	cli.Values(f, "side", "below", "above", "between")
	cli.Values(f, "settings", "sections", "start", "every=")
	cli.Values(f, "setting-as", "both", "letters", "diagram")
	takeNotes := noteFlags(f, w)
	return func() error {
		var err error
		style := &w.Style
		if style.Side, err = part.ParseSide(*where); err != nil {
			return fmt.Errorf("--side: %w", err)
		}
		if w.Plan.Sections, err = part.ParseSections(*places); err != nil {
			return fmt.Errorf("--settings: %w", err)
		}
		if style.Form, err = part.ParseForm(*form); err != nil {
			return fmt.Errorf("--setting-as: %w", err)
		}
		return takeNotes()
	}
}

// Existing defines the option of what becomes of marks by others.
func Existing(f *pflag.FlagSet, w *rows.Wants) (take func() error) {
	existing := f.String("existing", "keep", "pedal marks by others: `WHAT` is keep, obey (the plan makes the pedals stand so) or replace")
	cli.Values(f, "existing", "keep", "obey", "replace")
	return func() error {
		w.Plan.Obey, w.Style.Replace = *existing == "obey", *existing == "replace"
		if !slices.Contains([]string{"keep", "obey", "replace"}, *existing) {
			return fmt.Errorf("--existing: %q is none of keep, obey and replace", *existing)
		}
		return nil
	}
}

// Advice is what somebody should know who has asked for such marks, if a copy with them
// is written; "" for nothing.
func Advice(w *rows.Wants, written bool) string {
	if !written || w.Style.Form != part.Diagram {
		return ""
	}
	return "settings are written as harp-pedals elements alone, which most programs do not draw: where you do not see them, take --setting-as both or letters"
}

// noteFlags are the options of respelt notes and of the language. It returns a
// function that checks them and takes them over when they have been read.
func noteFlags(f *pflag.FlagSet, w *rows.Wants) (take func() error) {
	notes := f.String("respell-notes", "text", "notes played on another string: `WHAT` is text (its name above the note), rewrite (the note itself) or none")
	language := f.String("language", spelling.English.String(), "the letters of marks: `CODE` is en, fr or de")
	cli.Values(f, "respell-notes", "text", "rewrite", "none")
	cli.Values(f, "language", "en", "fr", "de")
	return func() error {
		var err error
		if w.Style.Respelt, err = part.ParseRespeltForm(*notes); err != nil {
			return fmt.Errorf("--respell-notes: %w", err)
		}
		if w.Style.Language, err = spelling.ParseLanguage(*language); err != nil {
			return fmt.Errorf("--language: %w", err)
		}
		return nil
	}
}

// Findings defines the options of the findings. It returns a function that
// checks them and takes them over when they have been read.
func Findings(f *pflag.FlagSet, w *rows.Wants) (take func() error) {
	severities := f.StringSlice("findings", nil, "report a kind of finding as off, note, warning or error: `KIND=SEVERITY`, more after commas; the kind all stands for every kind")
	limits := f.StringSlice("limit", nil, "report a kind of finding from another limit on: `KIND=NUMBER`, more after commas")
	for _, name := range []string{"findings", "limit"} {
		f.Lookup(name).DefValue = ""
	}
	kinds := []string{"all"}
	for _, r := range rows.Rules() {
		kinds = append(kinds, string(r.Kind))
	}
	cli.Values(f, "findings", kinds...)
	cli.Values(f, "limit", kinds[1:]...)
	return func() (err error) {
		w.Judgement, err = rows.Judge(*severities, *limits)
		return err
	}
}
