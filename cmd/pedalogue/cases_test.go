package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// The reading cases are scores with a trap each and the facts that a correct
// reader gets out of them; the README of casesDir describes every field, and ours
// of testdata those that are used there.
const (
	casesDir = "../../../shared/cases"
	ourCases = "../../testdata/cases"
)

func TestReadingCases(t *testing.T) {
	if checkCases(t, casesDir) == 0 {
		t.Skip("the reading cases are not here: " + casesDir)
	}
}

func TestOurReadingCases(t *testing.T) {
	if n := checkCases(t, ourCases); n < 9 {
		t.Errorf("%d cases in %s", n, ourCases)
	}
}

// checkCases checks every case of a folder, and returns how many there are.
func checkCases(t *testing.T, dir string) int {
	expectations, _ := filepath.Glob(dir + "/*.expect.json")
	for _, path := range expectations {
		var want map[string]any
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(data, &want); err != nil {
			t.Fatal(err)
		}
		t.Run(want["case"].(string), func(t *testing.T) {
			checkCase(t, filepath.Join(dir, want["input"].(string)), want)
		})
	}
	return len(expectations)
}

func checkCase(t *testing.T, input string, want map[string]any) {
	data, err := os.ReadFile(input)
	if err != nil {
		t.Fatal(err)
	}
	facts := want["bytes"].(map[string]any)
	if sum := fmt.Sprintf("%x", sha256.Sum256(data)); float64(len(data)) != facts["length"] || sum != facts["sha256"] {
		t.Fatalf("%d bytes with the sum %s: the file is not the one of the facts", len(data), sum)
	}
	var out, errs bytes.Buffer
	code := run([]string{"look", "--json", input}, nil, &out, &errs)
	var got map[string]any
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatalf("look --json printed no JSON: %v\n%s%s", err, out.String(), errs.String())
	}
	if want["error"] != nil {
		if code != exitFailed || got["error"] == nil {
			t.Fatalf("exit %d, error %v; want a failure: %v", code, got["error"], want["error"])
		}
		return
	}
	if code != exitDone {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	for _, field := range []string{"root", "encoding", "container", "parts", "players", "measures", "events", "keys", "transpose",
		"harp_pedals", "tremolo_pairs", "glissandi", "playback", "playback_index", "playback_literal_index", "directions"} {
		if expected, given := want[field]; given {
			matches(t, field, sorted(field, expected), sorted(field, got[field]))
		}
	}
	if want["playback_index"] == nil && len(got["playback_index"].([]any)) != len(got["measures"].([]any)) {
		t.Errorf("playback_index %v: want once through", got["playback_index"])
	}
	checkWarnings(t, want["warnings"], got["warnings"])
}

// matches checks that got holds everything that want says; a field that want
// does not have says nothing.
func matches(t *testing.T, at string, want, got any) {
	t.Helper()
	switch want := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			t.Errorf("%s: got %v, want %v", at, got, want)
			return
		}
		for k, v := range want {
			matches(t, at+"."+k, v, g[k])
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(want) {
			t.Errorf("%s: got %v, want %v", at, got, want)
			return
		}
		for i := range want {
			matches(t, at, want[i], g[i])
		}
	default:
		if got == nil && (want == false || want == "note") {
			return
		}
		if !reflect.DeepEqual(want, got) {
			t.Errorf("%s: got %v, want %v", at, got, want)
		}
	}
}

// sorted puts what is a set into one order.
func sorted(field string, v any) any {
	list, ok := v.([]any)
	if !ok {
		return v
	}
	for _, item := range list {
		if m, ok := item.(map[string]any); ok {
			sortSet(m, "pitches")
			sortSet(m, "tied")
			sortSet(m, "hidden")
			if s, ok := m["staves"].(map[string]any); ok {
				for k := range s {
					sortSet(s, k)
				}
			}
			if m["kind"] == nil && field == "events" {
				m["kind"] = "note"
			}
		}
	}
	if field == "events" || field == "glissandi" || field == "tremolo_pairs" || field == "directions" {
		slices.SortStableFunc(list, func(a, b any) int { return strings.Compare(setKey(a), setKey(b)) })
	}
	return list
}

func sortSet(m map[string]any, key string) {
	if set, ok := m[key].([]any); ok {
		slices.SortFunc(set, func(a, b any) int { return strings.Compare(a.(string), b.(string)) })
	}
}

func setKey(item any) string {
	m := item.(map[string]any)
	key := map[string]any{}
	for _, f := range []string{"part", "index", "onset", "kind", "grace_order", "from", "pitches", "words"} {
		if m[f] != nil {
			key[f] = m[f]
		}
	}
	text, _ := json.Marshal(key)
	return string(text)
}

func checkWarnings(t *testing.T, want, got any) {
	t.Helper()
	expected, _ := want.([]any)
	for _, w := range expected {
		w := w.(map[string]any)
		if !slices.ContainsFunc(got.([]any), func(g any) bool {
			m := g.(map[string]any)
			return m["code"] == w["code"] && (w["part"] == nil || m["part"] == w["part"]) && (w["measure"] == nil || m["measure"] == w["measure"])
		}) {
			t.Errorf("warnings %v: want also %v", got, w)
		}
	}
	// Cue notes are always told.
	more := slices.DeleteFunc(slices.Clone(got.([]any)), func(g any) bool { return g.(map[string]any)["code"] == "cue-notes" })
	if want != nil && len(expected) == 0 && len(more) > 0 {
		t.Errorf("warnings %v: want none", more)
	}
}
