// Package opening is how a command gets from the bytes of a score to the music of its
// harps, and what it says if that cannot be: errors of the layers below carry no
// words of the command line, and get them here.
package opening

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"regexp"
	"strings"
	"sync"

	"pedalogue/cmd/pedalogue/internal/near"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/store"
	"pedalogue/musicxml"
)

// Explained is what is known about an error beside its text: what to do about it,
// and for the log its place.
func Explained(err error) runs.Explanation {
	var fault *store.Error
	var placed *musicxml.Error
	switch {
	case errors.As(err, &fault):
		placed = &musicxml.Error{File: fault.File, Hint: fault.Hint}
	case !errors.As(err, &placed):
		return runs.Explanation{}
	}
	known := runs.Explanation{Hint: cmp.Or(placed.Hint, limitHints[placed.Limit])}
	for _, a := range []struct{ key, value string }{
		{"file", placed.File}, {"part", placed.Part}, {"measure", placed.Measure}, {"beat", placed.Beat}, {"hint", known.Hint},
	} {
		if a.value != "" {
			known.Attrs = append(known.Attrs, slog.String(a.key, a.value))
		}
	}
	if placed.Line > 0 {
		known.Attrs = append(known.Attrs, slog.Int("line", placed.Line))
	}
	return known
}

// limitHints say for each limit of the reader how to raise it.
var limitHints = map[string]string{
	"Bytes":  "if the file can be trusted, allow more with --max-size",
	"Depth":  "--max-depth raises the limit",
	"Played": "--max-played raises the limit",
}

// Score reads a score. Where the reader has decided something, it adds to the
// warning how to decide otherwise; where no part is called so, the nearest name.
func Score(ctx context.Context, doc *musicxml.Document, options musicxml.Options) (*musicxml.Score, error) {
	score, err := musicxml.Read(ctx, doc, options)
	if err != nil {
		return nil, withNearestPart(ctx, err, doc, options)
	}
	for i := range score.Warnings {
		if w := &score.Warnings[i]; w.Code == "harp-split-into-parts" {
			w.Text += "; --part " + w.Part + " takes one of them alone"
		}
	}
	if options.Part != "" {
		for _, p := range score.Parts {
			if p.Harp && !forFingers(p) {
				score.Warnings = append(score.Warnings, musicxml.Warning{
					Code: "not-for-harp", Part: p.ID, Index: -1,
					Text: fmt.Sprintf("nothing says that %s is a harp or a keyboard; it is taken as the harp since --part names it", partName(p)),
				})
			}
		}
	}
	return score, nil
}

// withNearestPart adds to an error about --part the part that was perhaps meant.
func withNearestPart(ctx context.Context, err error, doc *musicxml.Document, options musicxml.Options) error {
	var placed *musicxml.Error
	if options.Part == "" || !errors.As(err, &placed) || placed.Hint == "" {
		return err
	}
	wanted := options.Part
	options.Part = ""
	score, readErr := musicxml.Read(ctx, doc, options)
	if readErr != nil {
		return err
	}
	var names []string
	for _, p := range score.Parts {
		names = append(names, p.Name, p.ID)
	}
	if name := near.Word(wanted, names); name != "" {
		placed.Hint = fmt.Sprintf("did you mean --part %q? %s", name, placed.Hint)
	}
	return err
}

// keyboardWord are the words for keyboards, in the usual languages. Common practice.
var keyboardWord = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)pian|klavier|clavier|clavi|keyb|tast|harpsi|cembal|clavec|spinet|celest|orgel|organ|orgue|órgano|flügel|fortep|рояль|фортепиано|пианино|ピアノ|钢琴|鋼琴|피아노`)
})

// forFingers tells whether a part is likely to be music that ten fingers play on a
// harp or a keyboard: by names, sounds, programs, or more than one staff.
func forFingers(p *musicxml.Part) bool {
	if p.Staves > 1 || musicxml.IsHarpName(p.Name) || keyboardWord().MatchString(p.Name) {
		return true
	}
	for _, in := range p.Instruments {
		if strings.HasPrefix(in.Sound, "keyboard.") || strings.HasPrefix(in.Sound, "pluck.harp") ||
			musicxml.IsHarpName(in.Name) || keyboardWord().MatchString(in.Name) ||
			in.Program >= 1 && in.Program <= 8 || in.Program >= 17 && in.Program <= 21 || in.Program == 47 {
			return true
		}
	}
	return false
}

// partName names a part as people do: "P1 (Flute)".
func partName(p *musicxml.Part) string { return musicxml.PartNames([]*musicxml.Part{p}) }

// Music reads a score of which somebody plays the harp. Marks of earlier runs are
// taken out of the document first; reductions stay.
func Music(ctx context.Context, path string, data []byte, read musicxml.Options) (*musicxml.Document, *musicxml.Score, error) {
	doc, err := musicxml.Open(ctx, path, data, read.Limits)
	if err != nil {
		return nil, nil, err
	}
	if doc, err = doc.Unmarked(ctx); err != nil {
		return nil, nil, err
	}
	score, err := Score(ctx, doc, read)
	if err == nil && len(score.Players()) == 0 {
		err = NoHarp(path, score)
	}
	return doc, score, err
}

// Edited reads a document again with edits made.
func Edited(ctx context.Context, doc *musicxml.Document, edits []musicxml.Edit, read musicxml.Options) (*musicxml.Document, *musicxml.Score, error) {
	raw, err := doc.Splice(ctx, edits)
	if err != nil {
		return nil, nil, err
	}
	now, err := musicxml.Open(ctx, doc.Name, raw, read.Limits)
	if err != nil {
		return nil, nil, err
	}
	score, err := Score(ctx, now, read)
	return now, score, err
}

// NoHarp is the error for a score without a harp.
func NoHarp(name string, score *musicxml.Score) error {
	return &musicxml.Error{
		File: name,
		Err:  fmt.Errorf("there is no harp in it; its parts are %s", musicxml.PartNames(score.Parts)),
		Hint: "--part takes one of them as the harp, by id, name or number: --part " + score.Parts[len(score.Parts)-1].ID,
	}
}

// Named gives an error its file.
func Named(name string, err error) error {
	var placed *musicxml.Error
	if errors.As(err, &placed) {
		if placed.File == "" {
			placed.File = name
		}
		return err
	}
	return &musicxml.Error{File: name, Err: err}
}
