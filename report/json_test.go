package report

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
)

func jsonOf(t *testing.T, s *Score) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteJSON(&b, s); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestJSONGolden(t *testing.T) { golden(t, "demo.json", jsonOf(t, demo())) }

func TestJSONKeepsToItsSchema(t *testing.T) {
	raw, err := os.ReadFile("../testdata/report.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var schema any
	if err := json.Unmarshal(raw, &schema); err != nil {
		t.Fatal(err)
	}
	bare := &Score{Head: Head{Format: Format, Tool: "pedalogue"}}
	noPlan := &Score{Head: Head{Format: Format, Tool: "pedalogue"}, Parts: []Part{{ID: "P1", Options: Options{Respell: "needed"},
		Findings: []Finding{{Severity: SeverityNote, Place: Place{Offset: "0"}}}}}}
	for _, tt := range []struct {
		name, reason string
		score        *Score
	}{
		{"demo", "every list is filled", demo()},
		{"bare", "nil lists are written as empty ones", bare},
		{"empty part", "nil lists inside a part too", noPlan},
		{"unread", "an error takes the place of the parts", unread()},
		{"hostile", "text may be anything", hostile()},
	} {
		var doc any
		if err := json.Unmarshal([]byte(jsonOf(t, tt.score)), &doc); err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		for _, fault := range checkSchema(schema, schema, doc, "") {
			t.Errorf("%s (%s): %s", tt.name, tt.reason, fault)
		}
	}
}

// TestSchemaRefuses makes sure that the schema and its checker can say no.
func TestSchemaRefuses(t *testing.T) {
	raw, err := os.ReadFile("../testdata/report.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var schema any
	if err := json.Unmarshal(raw, &schema); err != nil {
		t.Fatal(err)
	}
	good := jsonOf(t, demo())
	for _, tt := range []struct{ name, old, new string }{
		{"another format", `"format": 1`, `"format": 2`},
		{"a list that is null", `"covers": [`, `"covers": null, "x": [`},
		{"a key left out", `"proof": {`, `"proofs": {`},
		{"a position beyond sharp", `"to": 1`, `"to": 2`},
		{"a setting out of foot order", `"D C B♭ | E♭ F G A♭"`, `"C D B♭ | E♭ F G A♭"`},
		{"an offset that is no fraction", `"offset": "3/2"`, `"offset": "1.5"`},
		{"a window of one time", "[\n            3,\n            4.05\n          ]", "[3]"},
		{"a severity that is not one", `"severity": "error"`, `"severity": "bad"`},
		{"parts beside an error", `"warnings"`, `"error": "x", "warnings"`},
		{"neither parts nor an error", `"parts"`, `"party"`},
	} {
		bad := strings.Replace(good, tt.old, tt.new, 1)
		if bad == good {
			t.Errorf("%s: %q is not in the document", tt.name, tt.old)
			continue
		}
		var doc any
		if err := json.Unmarshal([]byte(bad), &doc); err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if len(checkSchema(schema, schema, doc, "")) == 0 {
			t.Errorf("%s: the schema let it pass", tt.name)
		}
	}
}

func TestJSONLineIsOneLine(t *testing.T) {
	var b bytes.Buffer
	for _, s := range []*Score{demo(), hostile(), unread()} {
		if err := WriteJSONLine(&b, s); err != nil {
			t.Fatal(err)
		}
	}
	lines := strings.SplitAfter(b.String(), "\n")
	if len(lines) != 4 || lines[3] != "" {
		t.Fatalf("three scores gave %d lines", len(lines)-1)
	}
	var first, doc any
	if err := json.Unmarshal([]byte(lines[0]), &first); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(jsonOf(t, demo())), &doc); err != nil {
		t.Fatal(err)
	}
	a, _ := json.Marshal(first)
	c, _ := json.Marshal(doc)
	if !bytes.Equal(a, c) {
		t.Error("the line and the indented document differ")
	}
}

func TestJSONKeepsText(t *testing.T) {
	s := demo()
	s.Title = "A & B <i> \u202e\u009b31m \x7f♭ \U000E0041 \"\\"
	out := jsonOf(t, s)
	for _, bare := range []string{"\u202e", "\u009b", "\x7f", "\U000E0041"} {
		if strings.Contains(out, bare) {
			t.Errorf("%q stands bare in the document", bare)
		}
	}
	if !strings.Contains(out, "A & B <i>") {
		t.Error("text is escaped for HTML")
	}
	var back struct{ Title string }
	if err := json.Unmarshal([]byte(out), &back); err != nil || back.Title != s.Title {
		t.Errorf("title came back as %q, %v", back.Title, err)
	}
}

func TestWriteJSONLeavesTheScore(t *testing.T) {
	s := &Score{Head: Head{Error: "x.xml:1: not a score"}, Parts: []Part{{Findings: []Finding{{}}}}}
	jsonOf(t, s)
	if s.Parts == nil || s.Warnings != nil || s.Parts[0].Findings[0].Notes != nil || s.Parts[0].Changes != nil {
		t.Error("WriteJSON changed its score")
	}
}

func TestSecondsJSON(t *testing.T) {
	for _, tt := range []struct {
		in   Seconds
		want string
	}{
		{0, "0"}, {12.5, "12.5"}, {1.0 / 3, "0.333"}, {-0.0001, "0"}, {1e7, "10000000"}, {2.9996, "3"},
	} {
		if got, err := tt.in.MarshalJSON(); err != nil || string(got) != tt.want {
			t.Errorf("%v: %s, %v, want %s", float64(tt.in), got, err, tt.want)
		}
	}
	s := demo()
	s.Parts[0].Changes[0].At[1] = Seconds(math.NaN())
	if err := WriteJSON(&bytes.Buffer{}, s); err == nil {
		t.Error("a time that is no number was written")
	}
}
