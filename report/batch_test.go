package report

import (
	"bytes"
	"strings"
	"testing"

	"pedalogue/report/plain"
)

func scoreWith(path string, c Cost, proved bool, severities ...Severity) *Score {
	p := Part{Cost: c, Proof: Proof{Minimal: proved}}
	for _, s := range severities {
		p.Findings = append(p.Findings, Finding{Severity: s})
	}
	return &Score{Head: Head{Path: path}, Parts: []Part{p}}
}

func TestSortByTrouble(t *testing.T) {
	wrong := scoreWith("error", Cost{}, true, SeverityError)
	dropped := scoreWith("unsounded", Cost{Unsounded: 1}, true)
	rushed := scoreWith("rushed", Cost{Rushed: 1}, true)
	warned := scoreWith("warning", Cost{}, true, SeverityWarning)
	unproved := scoreWith("unproved", Cost{}, false)
	busy := scoreWith("busy", Cost{Changes: 90}, true)
	calm, second := scoreWith("calm", Cost{}, true, SeverityNote), scoreWith("calm too", Cost{}, true)

	var b Batch
	for _, s := range []*Score{calm, busy, unproved, second, warned, rushed, dropped, wrong, unread()} {
		b = append(b, EntryOf(s, ""))
	}
	b.SortByTrouble()
	var got []string
	for _, e := range b {
		got = append(got, e.Path)
	}
	want := "torn.mxl error unsounded rushed warning unproved busy calm calm too"
	if strings.Join(got, " ") != want {
		t.Errorf("order %v, want %s", got, want)
	}
}

func TestBatchTextGolden(t *testing.T) {
	wide := demo()
	wide.Path = "楽譜/湖の夕べ.musicxml"
	var b bytes.Buffer
	batch := Batch{EntryOf(demo(), ""), EntryOf(long(400), ""), EntryOf(wide, ""), EntryOf(unread(), "")}
	if err := WriteBatchText(&b, batch, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	golden(t, "batch.txt", b.String())
}

func TestIndexGolden(t *testing.T) {
	golden(t, "index.html", indexOf(t, Batch{EntryOf(demo(), "evening.pedals.html"), EntryOf(unread(), "")}))
}

func TestBatchTextCannotSteerTheTerminal(t *testing.T) {
	var b bytes.Buffer
	broken := unread()
	broken.Error, broken.Path = attack, attack
	if err := WriteBatchText(&b, Batch{EntryOf(hostile(), ""), EntryOf(broken, "")}, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	if strings.IndexFunc(strings.ReplaceAll(b.String(), "\n", ""), plain.Steers) >= 0 {
		t.Errorf("%q", b.String())
	}
}
