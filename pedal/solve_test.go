package pedal

import (
	"context"
	"errors"
	"reflect"
	"slices"
	"testing"
	"time"
)

// line is a passage of single notes and bare beats, written as text: a beat of
// one second has two places; "C♯" is struck, "-" prolongs what sounds, "." is a
// rest. Octave 4.
func line(t *testing.T, places ...string) *Passage {
	t.Helper()
	p := &Passage{}
	half := 500 * time.Millisecond
	for i, text := range places {
		at := time.Duration(i) * half
		m := Moment{Onset: int64(i), At: at, Beat: i%2 == 0}
		switch text {
		case "-":
			last := p.Moments
			for j := len(last) - 1; j >= 0; j-- {
				if len(last[j].Strikes) > 0 {
					last[j].Strikes[0].End, last[j].Strikes[0].Until = int64(i+1), at+half
					break
				}
			}
		case ".":
		default:
			l, ok := ParseLetter(text[:1])
			cents, known := map[string]int{"": 0, "♯": 100, "♭": -100}[text[1:]]
			if !ok || !known {
				t.Fatalf("%q is no note", text)
			}
			m.Strikes = []Strike{{Note: len(p.Notes), End: int64(i + 1), Until: at + half}}
			p.Notes = append(p.Notes, Note{Pitch: Pitch{l, cents, 4}})
		}
		if m.Beat || len(m.Strikes) > 0 {
			p.Moments = append(p.Moments, m)
		}
	}
	return p
}

// Two changes of one foot in half a second: one is rushed as written, none if a
// note may go to its other string.
func TestRushed(t *testing.T) {
	half := 500 * time.Millisecond
	p := &Passage{}
	for i, pitches := range [][]Pitch{{{F, 0, 4}, {G, 0, 4}}, {{F, 100, 4}, {G, 100, 4}}} {
		at := time.Duration(i) * half
		m := Moment{Onset: int64(i), At: at, Beat: true}
		for _, pitch := range pitches {
			m.Strikes = append(m.Strikes, Strike{Note: len(p.Notes), End: int64(i + 1), Until: at + half})
			p.Notes = append(p.Notes, Note{Pitch: pitch})
		}
		p.Moments = append(p.Moments, m)
	}
	for mode, want := range map[Mode]Cost{
		Written: {Rushed: 1, Changes: 2, Notches: 2},
		Needed:  {Respelt: 1, Switches: 1, Changes: 1, Notches: 1},
	} {
		if plan := mustSolve(t, p, Options{Mode: mode}); plan.Cost != want {
			t.Errorf("%v: %+v, want %+v", mode, plan.Cost, want)
		}
	}
	if plan := mustSolve(t, p, Options{Mode: Written, FootTime: -1}); plan.Cost.Rushed != 0 {
		t.Errorf("rushed %d with timing off", plan.Cost.Rushed)
	}
	quick := Options{Mode: Written, FootTime: 250 * time.Millisecond}
	if plan := mustSolve(t, p, quick); plan.Cost.Rushed != 1 {
		t.Errorf("rushed %d by a quick foot, want 1: both notes last until then, and may go one foot time early, but a move takes the most of that", plan.Cost.Rushed)
	}
	quick.FootTime = 200 * time.Millisecond
	quick.MoveTime = -1
	if plan := mustSolve(t, p, quick); plan.Cost.Rushed != 0 {
		t.Errorf("rushed %d if moves take no time, want none: one starts a foot time before the notes, one with them", plan.Cost.Rushed)
	}
	for i := range p.Moments[0].Strikes {
		p.Moments[0].Strikes[i].Until = 0
	}
	if plan := mustSolve(t, p, quick); plan.Cost.Rushed != 0 {
		t.Errorf("rushed %d by a quick foot after short notes", plan.Cost.Rushed)
	}
}

// A held note is let go once, whatever moves under it.
func TestHeld(t *testing.T) {
	p := &Passage{Notes: []Note{{Pitch: Pitch{C, 0, 3}}, {Pitch: Pitch{C, 100, 4}}, {Pitch: Pitch{C, 0, 5}}}}
	for i := range 3 {
		at := time.Duration(i) * time.Second
		p.Moments = append(p.Moments, Moment{Onset: int64(i), At: at, Beat: true, Strikes: []Strike{{Note: i, End: int64(i + 1), Until: at + time.Second}}})
	}
	p.Moments[0].Strikes[0].End, p.Moments[0].Strikes[0].Until = 9, 9*time.Second
	plan := mustSolve(t, p, Options{Mode: Written})
	if want := []Release{{1, C}}; !slices.Equal(plan.Held, want) || plan.Cost.Changes != 2 {
		t.Errorf("let go %v in %d changes, want %v in 2", plan.Held, plan.Cost.Changes, want)
	}
	if plan := mustSolve(t, p, Options{}); plan.Cost != (Cost{Respelt: 1, Switches: 1}) {
		t.Errorf("cost %+v, want one respelt note: D flat leaves C alone", plan.Cost)
	}
}

// A printed note is spelt once for all passes. Alone, the first pass would play
// it as written and the second would respell it.
func TestPassesAgree(t *testing.T) {
	p := &Passage{Notes: []Note{
		{Pitch: Pitch{C, 100, 4}},               // the repeated note
		{Pitch: Pitch{C, 100, 5}, Fixed: true},  // around it in the first pass
		{Pitch: Pitch{D, -100, 5}, Fixed: true}, // around it in the second
		{Pitch: Pitch{C, 0, 5}, Fixed: true},    // wants the C pedal elsewhere in the second
		{Pitch: Pitch{D, 0, 5}, Fixed: true},    // wants the D pedal elsewhere in the first
	}}
	for i, n := range [][]int{{1, 4}, {0}, {1, 4}, {3, 2}, {0}, {3, 2}} {
		at := time.Duration(i) * 5 * time.Second
		m := Moment{Onset: int64(i), At: at, Beat: true}
		for _, note := range n {
			m.Strikes = append(m.Strikes, Strike{Note: note, End: int64(i + 1), Until: at + time.Second})
		}
		p.Moments = append(p.Moments, m)
	}
	plan := mustSolve(t, p, Options{Mode: Free})
	// Either spelling is at hand in one pass and costs two more changes in the other.
	if want := (Cost{Changes: 4, Notches: 4}); plan.Cost != want {
		t.Errorf("cost %+v, want %+v", plan.Cost, want)
	}
	if s := plan.Strings[0]; s.Letter != C || s.Position != Sharp {
		t.Errorf("the repeated note is on %v%v", s.Letter, s.Position.Sign())
	}
}

func TestStartAndEnd(t *testing.T) {
	flat, natural := Setting{Flat, Flat, Flat, Flat, Flat, Flat, Flat}, Setting{}
	p := line(t, "F", ".", ".", ".")
	plan := mustSolve(t, p, Options{Mode: Written, Start: &flat, End: &natural})
	// F must leave its flat for the first note, with no time; the other six go to
	// natural when the music is over.
	if want := (Cost{Rushed: 1, Changes: 7, Notches: 7}); plan.Cost != want {
		t.Errorf("cost %+v, want %+v", plan.Cost, want)
	}
	for _, mv := range plan.Moves {
		if mv.Letter != F && mv.Needed != len(p.Moments) {
			t.Errorf("%v is needed at %d, want after the last moment", mv.Letter, mv.Needed)
		}
	}
	empty := mustSolve(t, &Passage{Key: flat}, Options{})
	if empty.Start != flat || empty.Cost != (Cost{}) {
		t.Errorf("no music: %+v", empty)
	}
}

func TestFaultsHaveMoments(t *testing.T) {
	for name, spoil := range map[string]func(*Passage){
		"a note that does not exist": func(p *Passage) { p.Moments[1].Strikes[0].Note = 9 },
		"a note that ends too early": func(p *Passage) { p.Moments[1].Strikes[0].End = p.Moments[1].Onset - 1 },
		"a note let go too early":    func(p *Passage) { p.Moments[1].Strikes[0].Until = p.Moments[1].At - 1 },
		"a note without end":         func(p *Passage) { p.Moments[1].Strikes[0].Until = forever },
		"time runs backwards":        func(p *Passage) { p.Moments[1].Onset = -1 },
		"seconds run backwards":      func(p *Passage) { p.Moments[1].At = -1 },
		"a time out of all range":    func(p *Passage) { p.Moments[1].At, p.Moments[1].Strikes[0].Until = forever, forever },
		"no such measure":            func(p *Passage) { p.Moments[1].Measure = 1 },
		"another measure": func(p *Passage) {
			p.Measures = []Measure{{}, {Written: 1, First: 2}}
			p.Moments[1].Measure = 1
		},
		"notes that end in another order in seconds": func(p *Passage) {
			p.Notes = append(p.Notes, Note{Pitch: Pitch{C, 0, 4}})
			s := p.Moments[1].Strikes[0]
			p.Moments[1].Strikes = append(p.Moments[1].Strikes, Strike{Note: 2, End: s.End + 1, Until: s.Until - 1})
		},
	} {
		p := line(t, "F", "F♯")
		spoil(p)
		_, err := Solve(context.Background(), p, Options{})
		var fault *Error
		if !errors.As(err, &fault) || fault.Moment != 1 {
			t.Errorf("%s: %v, want a fault at moment 1", name, err)
		}
	}
	for name, measures := range map[string][]Measure{
		"measures out of order":              {{First: 0}, {First: 2}, {First: 1}},
		"the first measure begins late":      {{First: 1}},
		"a measure begins past the end":      {{First: 0}, {First: 3}},
		"a measure that ends too early":      {{First: 0, Onset: 2, End: 1}},
		"a measure that is not in the score": {{Written: -1}},
	} {
		p := line(t, "F", "F♯")
		p.Measures = measures
		for i := range p.Moments {
			for k, m := range measures {
				if m.First <= i {
					p.Moments[i].Measure = k
				}
			}
		}
		if _, err := Solve(context.Background(), p, Options{}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := Solve(context.Background(), line(t, "F"), Options{ChangePrice: -1}); err == nil {
		t.Error("a change cannot cost less than nothing")
	}
	from, to := Setting{}, Setting{D: Flat}
	if _, err := Solve(context.Background(), &Passage{}, Options{Start: &from, End: &to}); err == nil {
		t.Error("without a moment no pedal can move")
	}
	if plan, err := Solve(context.Background(), &Passage{}, Options{Start: &to, End: &to}); err != nil || plan.Start != to {
		t.Errorf("nothing to play: %+v, %v", plan, err)
	}
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Solve(stopped, line(t, "F"), Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
}

// Verify must find whatever is wrong with a plan.
func TestVerifyFindsFaults(t *testing.T) {
	p := line(t, "F", ".", ".", ".", "F♯", ".", "C", "C♯")
	o := Options{Mode: Written}
	for name, spoil := range map[string]func(*Plan){
		"a wrong setting":        func(x *Plan) { x.Settings[0][F] = Sharp },
		"a wrong string":         func(x *Plan) { x.Strings[0].Octave++ },
		"a respelt string":       func(x *Plan) { x.Strings[1] = String{Letter: G, Octave: 4, Position: Flat, OK: true} },
		"no string":              func(x *Plan) { x.Strings[0] = String{} },
		"a string not dropped":   func(x *Plan) { x.Unsounded = []Dropped{{0, 0}} },
		"a missing move":         func(x *Plan) { x.Moves = x.Moves[1:] },
		"a late move":            func(x *Plan) { x.Moves[0].Place = x.Moves[0].Needed + 1 },
		"a move under its note":  func(x *Plan) { x.Moves[0].Place = 0; x.Settings[0] = x.Settings[4] },
		"a wrong window":         func(x *Plan) { x.Moves[0].WindowStart -= time.Second },
		"a move out of time":     func(x *Plan) { x.Moves[0].Start += time.Second },
		"a false rush":           func(x *Plan) { x.Moves[0].Rushed = true },
		"a note let go":          func(x *Plan) { x.Held = []Release{{4, F}} },
		"a false cost":           func(x *Plan) { x.Cost.Changes-- },
		"a false bound":          func(x *Plan) { x.Proof.Bound.Changes++ },
		"a false proof":          func(x *Plan) { x.Proof.Bound.Changes-- },
		"a needless first place": func(x *Plan) { x.Start[A] = Flat; x.Settings[0][A] = Flat },
	} {
		plan := mustSolve(t, p, o)
		spoil(plan)
		if err := Verify(p, o, plan); err == nil {
			t.Errorf("%s is not found", name)
		}
	}
}

// Verify must find what no print can follow.
func TestVerifyFindsWhatCannotBePrinted(t *testing.T) {
	p := line(t, "F", ".", "F♯", ".", "G", ".", ".", ".")
	p.Moments[2].Restart = true // the opening again, but for G alone
	o := Options{Mode: Written}
	if plan := mustSolve(t, p, o); plan.Cost.Changes != 2 || plan.Moves[1].Needed != 2 {
		t.Fatalf("%+v: want F♯ and, where the opening comes again, F♮", plan.Moves)
	}
	for name, spoil := range map[string]func(*Plan){
		"not as at first": func(x *Plan) {
			x.Moves = x.Moves[:1]
			x.Settings[2][F], x.Settings[3][F] = Sharp, Sharp
			x.Cost.Changes, x.Cost.Notches, x.Proof.Bound = 1, 1, Cost{Changes: 1, Notches: 1}
		},
		"back too late": func(x *Plan) {
			x.Moves[1].Needed, x.Moves[1].Place = 3, 3
			x.Settings[2][F] = Sharp
		},
	} {
		plan := mustSolve(t, p, o)
		spoil(plan)
		if err := Verify(p, o, plan); err == nil {
			t.Errorf("%s: not found", name)
		}
	}
	twice := line(t, "F", "F", "F♯") // the first note again with the last, which excludes it
	twice.Notes = slices.Delete(twice.Notes, 1, 2)
	twice.Moments[1].Strikes[0].Note, twice.Moments[2].Strikes[0].Note = 0, 1
	twice.Moments[1].Strikes = append(twice.Moments[1].Strikes, Strike{Note: 1, End: twice.Moments[1].Onset, Until: twice.Moments[1].At})
	plan := mustSolve(t, twice, o)
	if plan.Cost.Unsounded != 2 {
		t.Fatalf("%d tones unsounded, want both of one note", plan.Cost.Unsounded)
	}
	for n := range plan.Strings {
		if !plan.Strings[n].OK {
			plan.Strings[n] = String{Letter: F, Octave: 4, Position: Position(n), OK: true}
		}
	}
	if err := Verify(twice, o, plan); err == nil {
		t.Error("a note that has a string goes unsounded, and that is not found")
	}
}

func TestSamePlanTwice(t *testing.T) {
	p := chromaticPassage(120)
	for _, mode := range Modes() {
		a, b := mustSolve(t, p, Options{Mode: mode}), mustSolve(t, p, Options{Mode: mode})
		if !reflect.DeepEqual(a, b) {
			t.Errorf("%v: two plans for one passage", mode)
		}
	}
}

// Effort of next to nothing still gives a plan that holds, and no false proof.
func TestEffort(t *testing.T) {
	p := hostilePassage(60)
	o := Options{Mode: Free, Effort: time.Nanosecond}
	plan, err := Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, o, plan); err != nil {
		t.Error(err)
	}
	whole, err := Solve(context.Background(), p, Options{Mode: Free})
	if err != nil {
		t.Fatal(err)
	}
	if whole.Cost.less(plan.Proof.Bound, Free, prices{}) {
		t.Errorf("bound %+v, but there is a plan for %+v", plan.Proof.Bound, whole.Cost)
	}
}
