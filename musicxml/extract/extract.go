package extract

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"

	"pedalogue/musicxml"
)

func itoa(n int) string { return strconv.Itoa(n) }

// Options say what goes into a part. The zero value puts in no cues.
type Options struct {
	// Cues puts cues before entrances after so many measures of rest or more; 0 for none.
	Cues int
}

// An Extractor makes parts of one score.
type Extractor struct{ *layout }

// A Part is one player's part.
type Part struct {
	Document *musicxml.Document
	Score    *musicxml.Score
	Cues     int // how many entrances have got cues
	Turns    int // how many page ends were put in

	read musicxml.Options // as it was read
}

// New reads what all parts of a score say to everybody. The score is what
// [musicxml.Read] has read in the document. The error is that of a context that has
// ended.
func New(ctx context.Context, doc *musicxml.Document, score *musicxml.Score) (*Extractor, error) {
	l, err := lay(ctx, doc, score)
	if err != nil {
		return nil, fmt.Errorf("reading what the parts say to everybody: %w", err)
	}
	return &Extractor{l}, nil
}

// Part makes the part of one of the score's players. Errors are those of
// [musicxml.Document.Splice] and [musicxml.Read], and one that tells what in the part
// would not be as in the score.
func (x *Extractor) Part(ctx context.Context, player musicxml.Player, read musicxml.Options, o Options) (*Part, error) {
	if read.Cues == musicxml.CuesPlay {
		o.Cues = 0 // they would be played
	}
	cues := x.cues(player.Parts, o.Cues)
	edits, err := x.edits(ctx, player, cues)
	if err != nil {
		return nil, err
	}
	raw, err := x.doc.Splice(ctx, edits)
	if err != nil {
		return nil, err
	}
	if read.Part != "" {
		read.Part = player.Parts[0].ID
	}
	p, err := reopened(ctx, x.doc.Name, raw, read)
	if err == nil && len(p.Score.Players()) == 0 {
		// Only another part says that this is a harp's.
		read.Part = player.Parts[0].ID
		p, err = reopened(ctx, x.doc.Name, raw, read)
	}
	if err != nil {
		return nil, err
	}
	p.Cues = len(cues)
	return p, x.compare(player, p)
}

// reopened reads what has been made.
func reopened(ctx context.Context, name string, raw []byte, read musicxml.Options) (*Part, error) {
	// The limits have been kept when the score was opened.
	doc, err := musicxml.Open(ctx, name, raw, musicxml.Limits{Bytes: 1 << 40, Entries: math.MaxInt32})
	if err != nil {
		return nil, err
	}
	score, err := musicxml.Read(ctx, doc, read)
	if err != nil {
		return nil, err
	}
	return &Part{Document: doc, Score: score, read: read}, nil
}

// edits are all changes that make the part of the score.
func (x *Extractor) edits(ctx context.Context, player musicxml.Player, cues []cue) ([]musicxml.Edit, error) {
	signs, givers := x.lackingSigns(player.Parts)
	bars, own := lacking(x.barlines, player.Parts, givers)
	part := player.Parts[0]
	if len(part.Measures) == 0 {
		return nil, &musicxml.Error{File: x.doc.Name, Part: part.ID, Err: fmt.Errorf("part %s has no measures", part.ID)}
	}
	p := putter{layout: x.layout, part: part, placer: musicxml.NewPlacer(x.score), edits: x.cut(player.Parts)}
	var err error
	if p.cues, err = p.writeCues(ctx, cues, player.Parts); err != nil {
		return nil, err
	}
	if len(player.Parts) > 1 {
		if err := x.joinable(player.Parts); err != nil {
			return nil, err
		}
	}
	p.numbers()
	p.fill(signs, p.barPauses(own, bars), own)
	if len(player.Parts) > 1 {
		if err := p.join(ctx, player.Parts); err != nil {
			return nil, err
		}
	}
	err = p.overRests(ctx)
	return append(p.edits, p.ends...), err
}

// compare reads the part against the score: what is played, when, and how fast.
func (x *Extractor) compare(player musicxml.Player, p *Part) error {
	fault := func(format string, args ...any) error {
		return &musicxml.Error{File: x.doc.Name, Part: player.ID(), Err: fmt.Errorf("by itself the part would not be as in the score: "+format, args...),
			Hint: "where parts disagree about repeats, endings, jumps or tempo, let them say the same"}
	}
	was, is := x.score, p.Score
	switch {
	case len(was.Measures) != len(is.Measures):
		return fault("%d measures, not %d", len(is.Measures), len(was.Measures))
	case !slices.Equal(was.Order, is.Order) || !slices.Equal(was.Literal, is.Literal):
		return fault("the playing order")
	}
	for k := range was.Measures {
		if was.Measures[k].Length.Cmp(is.Measures[k].Length) != 0 {
			return fault("measure %s is %v quarter notes long, not %v", was.Measures[k].Number, is.Measures[k].Length, was.Measures[k].Length)
		}
	}
	if !slices.Equal(was.Tempos, is.Tempos) {
		return fault("the tempo")
	}
	if len(is.Parts) != 1 {
		return fault("%d parts", len(is.Parts))
	}
	if k := unlike(played(player.Parts), played(is.Parts)); k >= 0 {
		return fault("the notes, from measure %s on", was.Measures[k].Number)
	}
	return nil
}

// unlike is the measure of the first note in which two lists differ; -1 if they do not.
func unlike(was, is []musicxml.Note) int {
	for i := range was {
		if i >= len(is) {
			return was[i].Measure
		}
		a, b := &was[i], &is[i]
		if a.Kind != b.Kind || a.Pitch != b.Pitch || a.Measure != b.Measure || a.Onset.Cmp(b.Onset) != 0 || a.Length.Cmp(b.Length) != 0 ||
			a.Tied != b.Tied || a.Staff != b.Staff || a.Small != b.Small || a.Instrument != b.Instrument {
			return a.Measure
		}
	}
	if len(is) > len(was) {
		return is[len(was)].Measure
	}
	return -1
}

// played are the notes of parts without rests and cues, of which some are put in, on
// staves that are counted through, measure by measure. Instrument tells whether it is
// the harp: 1 if it is.
func played(parts []*musicxml.Part) []musicxml.Note {
	var list []musicxml.Note
	staves := 0
	for _, p := range parts {
		for _, n := range p.Notes {
			if n.Kind != musicxml.Rest && n.Kind != musicxml.Cue {
				n.Staff += staves
				harp := p.HarpNote(&n)
				if n.Instrument = 0; harp {
					n.Instrument = 1
				}
				list = append(list, n)
			}
		}
		staves += p.Staves
	}
	if len(parts) > 1 {
		slices.SortStableFunc(list, func(a, b musicxml.Note) int { return cmp.Compare(a.Measure, b.Measure) })
	}
	return list
}
