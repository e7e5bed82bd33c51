package pedal

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"sync"
	"testing"
)

// Plans are the same down to ties for any number of workers, cost what each mode
// costs when it is solved alone, and hold.
func TestPlansForAnyNumberOfWorkers(t *testing.T) {
	passages := []*Passage{{}, chromaticPassage(fewChords - 1), chromaticPassage(200)}
	for seed := range uint64(4) {
		passages = append(passages, hurriedPassage(seed, 40))
	}
	rushed := 0
	for i, p := range passages {
		want, err := Plans(context.Background(), p, Options{Workers: 1})
		if err != nil {
			t.Fatal(err)
		}
		for workers := range 4 {
			got, err := Plans(context.Background(), p, Options{Workers: workers})
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(want, got) {
				t.Errorf("passage %d: one worker and %d differ", i, workers)
			}
		}
		for j, mode := range Modes() {
			o := Options{Mode: mode}
			rushed += want[j].Cost.Rushed
			if err := Verify(p, o, want[j]); err != nil {
				t.Errorf("passage %d, %v: %v", i, mode, err)
			}
			if alone := mustSolve(t, p, o); alone.Cost != want[j].Cost {
				t.Errorf("passage %d, %v: costs %+v, solved alone %+v", i, mode, want[j].Cost, alone.Cost)
			}
		}
	}
	if rushed == 0 {
		t.Error("no change is rushed; the passages are too easy to be searched more than once")
	}
}

// Whenever the context ends, Plans ends with its error, and no worker waits for
// what will never come.
func TestPlansEndWithTheContext(t *testing.T) {
	p := hurriedPassage(1, 40)
	for workers := range 4 {
		for checks := range 20 {
			ctx := &endingContext{Context: context.Background(), checks: checks}
			_, err := Plans(ctx, p, Options{Workers: 1 + workers})
			if !errors.Is(err, context.Canceled) && (err != nil || ctx.left() < 0) {
				t.Errorf("%d workers, ended after %d looks at the context: %v", 1+workers, checks, err)
			}
		}
	}
}

// A panic of any worker becomes one of Plans, which tells where it was, and leaves
// no worker waiting.
func TestPlansPanic(t *testing.T) {
	p := hurriedPassage(1, 40)
	ofWorkers := 0
	for workers := range 4 {
		for checks := range 12 {
			ctx := &endingContext{Context: context.Background(), checks: checks, fault: "out of tune"}
			fault := caught(func() { Plans(ctx, p, Options{Workers: 1 + workers}) })
			if fault == nil {
				if ctx.left() < 0 {
					t.Errorf("%d workers: a panic after %d looks at the context is lost", 1+workers, checks)
				}
				continue
			}
			if fmt.Sprint(fault.Value) != "out of tune" {
				t.Errorf("%d workers: panic %v", 1+workers, fault.Value)
			}
			if inner, ok := fault.Value.(*Panic); ok {
				ofWorkers++
				if !strings.Contains(string(inner.Stack), "endingContext") {
					t.Errorf("the stack does not show where it was:\n%s", inner.Stack)
				}
			}
		}
	}
	if ofWorkers == 0 {
		t.Error("no worker has panicked")
	}
}

// An endingContext ends after it has been asked so many times.
type endingContext struct {
	context.Context
	mu     sync.Mutex
	checks int
	fault  any // to panic with at the end; nil for none
}

func (c *endingContext) Err() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.checks--; c.checks >= 0 {
		return nil
	}
	if c.fault != nil {
		panic(c.fault)
	}
	return context.Canceled
}

func (c *endingContext) left() int {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.checks
}
