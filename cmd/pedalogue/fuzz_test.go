package main

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/musicxml"
	"pedalogue/pedal"
	"pedalogue/pedal/part"
	"pedalogue/pedal/spelling"
)

// fuzzLimits keep what a fuzzer makes up small; a copy may be larger.
var (
	fuzzLimits = musicxml.Limits{Bytes: 64 << 10, Depth: 64, Entries: 20, Played: 200}
	copyLimits = musicxml.Limits{Bytes: 4 << 20, Depth: 64, Entries: 20, Played: 200}
)

// fuzzPatience is how long one made-up score may take; past it, something hangs.
const fuzzPatience = 30 * time.Second

// fuzzSettings reads options of the command mark out of a number.
func fuzzSettings(ways uint16) options.Settings {
	take := func(n uint16) int {
		k := ways % n
		ways /= n
		return int(k)
	}
	set := defaultSettings()
	set.Read.Limits = fuzzLimits
	set.Wants.Plan.Options.Mode = pedal.Modes()[take(4)]
	switch take(4) {
	case 0:
		// A fuzzer soon finds feet that take the planner's whole patience.
		set.Wants.Plan.Options.Effort = 100 * time.Millisecond
	default:
		set.Wants.Plan.Options.FootTime = -1
	}
	existing := take(3)
	set.Wants.Plan.Obey, set.Wants.Style.Replace = existing == 1, existing == 2
	set.Wants.Style.Respelt = []part.RespeltForm{part.Text, part.Rewrite, part.Untold}[take(3)]
	set.Wants.Style.Language = []spelling.Language{spelling.English, spelling.French, spelling.German}[take(3)]
	set.Wants.Style.Side = []part.Side{part.Below, part.Above, part.Between}[take(3)]
	set.Wants.Style.Form = []part.Form{part.Both, part.Diagram, part.Letters}[take(3)]
	set.Wants.Plan.Sections = part.Sections{StartOnly: take(2) == 1, Every: take(3)}
	set.Wants.Part.WrittenOnly = take(2) == 1
	return set
}

// FuzzMarkAndStrip: whatever the bytes and the options are, there is an *Error
// with its file or a marked copy; the copy can be read, marks again to itself, and
// without its marks has the bytes that it had before.
func FuzzMarkAndStrip(f *testing.F) {
	for seed := range uint64(6) {
		f.Add(compose(randomMusic(seed)...), uint16(seed*977))
	}
	f.Add(compose("{reh=A} {fwd} C4+E4:8 <trem> B4:4 </trem> Cb5:4 | C#3:16", "{1} g.D#5 D5:16 {/1}", "{2} <gliss> C3:8 </gliss> Eb5:8 {/2}"), uint16(5))
	f.Fuzz(func(t *testing.T, raw []byte, ways uint16) {
		before := bytes.Clone(raw)
		checkMarkedBytes(t, raw, fuzzSettings(ways))
		if !bytes.Equal(raw, before) {
			t.Fatal("the bytes have changed")
		}
	})
}

// checkMarkedBytes marks bytes as the command does, and checks what comes of them.
func checkMarkedBytes(t *testing.T, raw []byte, set options.Settings) {
	t.Helper()
	m, once := fuzzMark(t, raw, set)
	if m == nil {
		return
	}
	files, err := allReports(m.report)
	if err != nil || len(files) == 0 {
		t.Fatalf("%d reports: %v", len(files), err)
	}
	// Without marks of ours in it, plain is what was given.
	plain, err := musicxml.Open(context.Background(), "x", raw, fuzzLimits)
	if err == nil {
		plain, err = plain.Stripped(context.Background())
	}
	if err != nil {
		t.Fatalf("it was marked, but: %v", err)
	}
	copied, err := musicxml.Open(context.Background(), "x", once, copyLimits)
	if err != nil {
		t.Fatalf("the copy does not open: %v", err)
	}
	stripped, err := copied.Stripped(context.Background())
	if err != nil {
		t.Fatalf("the copy does not lose its marks: %v", err)
	}
	if !bytes.Equal(stripped.Source, plain.Source) || plain.Container == nil && !bytes.Equal(stripped.Raw, plain.Raw) {
		t.Fatalf("without its marks it is\n%q\nwhich was\n%q", stripped.Source, plain.Source)
	}
	if bytes.Contains(plain.Text, []byte("<!DOCTYPE")) && bytes.Contains(plain.Text, []byte("<!ENTITY")) {
		return // its entities may stand for anything
	}
	set.Read.Limits = copyLimits
	if _, err := musicxml.Read(context.Background(), copied, set.Read); err != nil {
		t.Fatalf("the copy does not read: %v\n%s", err, copied.Text)
	}
	if set.Wants.Plan.Options.Effort > 0 {
		return // the clock decides what the plan is
	}
	if again, twice := fuzzMark(t, once, set); again == nil || !bytes.Equal(twice, once) {
		t.Fatalf("marked twice, it is\n%s\nmarked once\n%s", twice, once)
	}
}

// fuzzMark marks bytes; nil if they cannot be marked, for a reason that is told.
func fuzzMark(t *testing.T, raw []byte, set options.Settings) (*marked, []byte) {
	t.Helper()
	ctx, stop := context.WithTimeout(t.Context(), fuzzPatience)
	defer stop()
	m, err := markBytes(ctx, "x", raw, set)
	if ctx.Err() != nil {
		t.Fatalf("it took more than %v", fuzzPatience)
	}
	var placed *musicxml.Error
	switch {
	case err == nil:
	case !errors.As(err, &placed) || placed.File != "x":
		t.Fatalf("not an error with its place: %v", err)
	case strings.Contains(err.Error(), "internal error"):
		t.Fatal(err)
	default:
		return nil, nil
	}
	once, err := m.doc.Splice(context.Background(), m.edits)
	if err != nil {
		if m.doc.Container != nil {
			return nil, nil // some archives that can be read cannot be changed
		}
		t.Fatal(err)
	}
	return m, once
}
