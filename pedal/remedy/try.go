package remedy

import (
	"context"
	"slices"
	"strings"

	"pedalogue/pedal"
	"pedalogue/pedal/finding"
	"pedalogue/pedal/revise"
)

// NoWay is the remedy of a finding for which none was found.
const NoWay = "No way was found to mend it."

// tries is how many proposals are tried for one finding.
const tries = 12

// Try sets the remedies of findings: all that finding.All has found in the music and
// its plan with these options, or some of them. Those of other kinds, and notes, stay as
// they are. It returns for each finding the operations that mend it; nil where it
// was not mended. The error is that of the context, or one of ours.
func Try(ctx context.Context, m *finding.Music, plan *pedal.Plan, o finding.Options, found []finding.Finding) ([][]revise.Op, error) {
	t := &trial{music: m, plan: plan, o: o, dropped: map[int]bool{}, known: map[string][]revise.Op{}}
	for _, d := range plan.Unsounded {
		t.dropped[m.Passage.Moments[d.Moment].Strikes[d.Strike].Note] = true
	}
	t.readLimits()
	t.quiet = quiet(o)
	list := make([][]revise.Op, len(found))
	for i := range found {
		f := &found[i]
		propose := proposals[f.Kind]
		if propose == nil || f.Severity < finding.Warning {
			continue
		}
		var err error
		if list[i], err = t.try(ctx, f, propose); err != nil {
			return nil, err
		}
		f.Remedy = withTempo(t.words(f, list[i]), f.Tempo)
	}
	return list, nil
}

// quiet is options with all kinds off that are but notes.
func quiet(o finding.Options) finding.Options {
	o.NoTempo = true
	given := o.Severities
	o.Severities = map[finding.Kind]finding.Severity{}
	for _, r := range finding.Rules() {
		severity := r.Severity
		if s := given[r.Kind]; s != finding.Unset {
			o.Severities[r.Kind], severity = s, s
		}
		if severity < finding.Warning {
			o.Severities[r.Kind] = finding.Off
		}
	}
	return o
}

// A trial looks for remedies.
type trial struct {
	music    *finding.Music
	plan     *pedal.Plan
	o        finding.Options
	quiet    finding.Options // the same without notes, by which nothing is judged
	harp     pedal.Instrument
	dropped  map[int]bool // notes that are unsounded in some pass
	ledger   *revise.Ledger
	known    map[string][]revise.Op // remedies of what was tried, by kind and notes
	span     int                    // strings that a hand reaches
	rollSpan int
	rollTime finding.Limit // for each note
}

// readLimits takes over the limits that the hands have.
func (t *trial) readLimits() {
	limit := func(k finding.Kind) finding.Limit {
		for _, r := range finding.Rules() {
			if l, ok := t.o.Limits[k]; ok {
				return l
			} else if r.Kind == k {
				return r.Limit
			}
		}
		return 0
	}
	t.span, t.rollSpan, t.rollTime = int(limit("wide-chord")), int(limit("wide-roll")), limit("no-time-to-roll")
	t.harp = t.o.Plan.Instrument.OrDefault() // made once, not at each question
}

// proposals are what may mend a finding, by its kind: the operations are on notes of the
// music.
var proposals map[finding.Kind]func(t *trial, f *finding.Finding) [][]revise.Op

func init() {
	proposals = map[finding.Kind]func(t *trial, f *finding.Finding) [][]revise.Op{
		"too-many-notes": chords, "wide-chord": chords, "wide-chord-unbroken": chords, "wide-roll": chords, "no-time-to-roll": chords,
		"right-hand-low":  chords,
		"repeated-string": repetitions, "leap": leaps,
		"out-of-compass": edges,
		"string-clash":   clashes, "rushed-change": hurries, "one-foot": hurries, "held-string": held,
	}
}

// try looks for a remedy of one finding; nil if there is none. Findings of the same printed
// notes have the same.
func (t *trial) try(ctx context.Context, f *finding.Finding, propose func(t *trial, f *finding.Finding) [][]revise.Op) ([]revise.Op, error) {
	key := keyOf(f)
	if ops, ok := t.known[key]; ok {
		return ops, nil
	}
	if t.ledger == nil {
		t.ledger = revise.NewLedger(t.music)
	}
	ops, err := t.first(ctx, f, propose(t, f))
	t.known[key] = ops
	return ops, err
}

// first is the first proposal that mends a finding; nil if none does.
func (t *trial) first(ctx context.Context, f *finding.Finding, list [][]revise.Op) ([]revise.Op, error) {
	if len(list) == 0 {
		return nil, nil
	}
	w := t.windowAt(t.begin(f), f.Last)
	if err := w.judge(ctx, t.quiet); err != nil {
		return nil, ctx.Err() // a string that the plan has twice tuned, say
	}
	if !w.has(f) {
		return nil, nil // it has causes further off
	}
	for _, ops := range t.cheapest(list) {
		mapped := slices.Clone(ops)
		for i := range mapped {
			mapped[i].Note = w.notes[ops[i].Note]
		}
		ok, err := w.mends(ctx, t, f, mapped)
		if ok || err != nil {
			return ops, err
		}
	}
	return nil, nil
}

// begin is the first moment that matters to a finding: of notes that are held, where they
// were struck.
func (t *trial) begin(f *finding.Finding) int {
	first := f.Moment
	if f.Kind != "held-string" {
		return first
	}
	for _, n := range f.Notes {
		for i := f.Moment - 1; i >= max(0, f.Moment-most); i-- {
			if slices.ContainsFunc(t.music.Passage.Moments[i].Strikes, func(s pedal.Strike) bool { return s.Note == n }) {
				first = min(first, i)
				break
			}
		}
	}
	return first
}

// cheapest sorts proposals by what they cost the music, and keeps as many as are tried.
func (t *trial) cheapest(list [][]revise.Op) [][]revise.Op {
	type priced struct {
		ops  []revise.Op
		loss revise.Loss
	}
	all := make([]priced, len(list))
	for i, ops := range list {
		all[i] = priced{ops, t.ledger.Of(ops)}
	}
	slices.SortStableFunc(all, func(a, b priced) int { return a.loss.Compare(b.loss) })
	list = list[:0:0]
	for i := range min(len(all), tries) {
		list = append(list, all[i].ops)
	}
	return list
}

// withTempo joins what to do about notes and a slower tempo.
func withTempo(remedy, tempo string) string {
	switch {
	case remedy == "" && tempo == "":
		return NoWay
	case tempo == "":
		return remedy
	case remedy == "":
		return strings.ToUpper(tempo[:1]) + tempo[1:] + "."
	}
	return strings.TrimSuffix(remedy, ".") + ", or " + tempo + "."
}

// keyOf tells findings apart that are not of the same printed notes.
func keyOf(f *finding.Finding) string {
	var b strings.Builder
	b.WriteString(string(f.Kind))
	for _, n := range append([]int{f.Last - f.Moment}, f.Notes...) {
		for range 5 {
			b.WriteByte(byte(n))
			n >>= 8
		}
	}
	return b.String()
}
