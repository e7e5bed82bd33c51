package main

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// screen is what a terminal of one line shows after these bytes.
func screen(t *testing.T, text string) string {
	t.Helper()
	var cells []byte
	at := 0
	for _, c := range []byte(text) {
		switch {
		case c == '\r':
			at = 0
			continue
		case c < ' ' || c > '~':
			t.Fatalf("a byte %#x on the line %q", c, text)
		case at == len(cells):
			cells = append(cells, c)
		default:
			cells[at] = c
		}
		at++
	}
	return strings.TrimRight(string(cells), " ")
}

func TestProgressLine(t *testing.T) {
	for _, tt := range []struct {
		done, total int
		elapsed     time.Duration
		columns     int
		want, why   string
	}{
		{5, 20, 10 * time.Second, 40, "scores  5 of 20 [###..........] 30s left", "a quarter, and three times as long to go"},
		{20, 20, 10 * time.Second, 40, "scores 20 of 20 [##############] 0s left", "all"},
		{1, 100_000, 2 * time.Second, 200, "scores      1 of 100000 [" + strings.Repeat(".", 40) + "] 55h33m18s left", "no wider than can be taken in"},
		{5, 20, 10 * time.Second, 30, "scores  5 of 20  30s left", "no room for a bar"},
		{5, 20, 10 * time.Second, 12, "scores  5 of", "cut, so that no second line begins"},
		{5, 20, 10 * time.Second, -1, "", "no room at all"},
	} {
		p := &progress{done: tt.done, total: tt.total}
		if got := p.line(tt.elapsed, tt.columns); got != tt.want {
			t.Errorf("%q, want %q (%s)", got, tt.want, tt.why)
		}
	}
}

// Nothing is shown in the first second; then a line, not too often; and at the
// end, or before something else is printed, nothing of it is left.
func TestProgressOfRun(t *testing.T) {
	var out bytes.Buffer
	clock := time.Unix(0, 0)
	p := &progress{w: &out, columns: func() int { return 60 }, now: func() time.Time { return clock }, total: 100, begun: clock}
	after := func(d time.Duration) string {
		clock = clock.Add(d)
		p.step()
		return screen(t, out.String())
	}
	if got := after(900 * time.Millisecond); got != "" {
		t.Errorf("a short run shows %q", got)
	}
	if got := after(200 * time.Millisecond); !strings.HasPrefix(got, "scores   2 of 100 [") {
		t.Errorf("a long run shows %q", got)
	}
	if got := after(50 * time.Millisecond); !strings.HasPrefix(got, "scores   2 of 100 [") {
		t.Errorf("soon after it shows %q", got)
	}
	p.clear()
	if got := screen(t, out.String()); got != "" {
		t.Errorf("cleared, it shows %q", got)
	}
	if got := after(time.Millisecond); !strings.HasPrefix(got, "scores   4 of 100 [") {
		t.Errorf("when others have printed, it shows %q", got)
	}
	for range 96 {
		after(time.Millisecond)
	}
	if got := screen(t, out.String()); !strings.HasPrefix(got, "scores 100 of 100 [#") || !strings.HasSuffix(got, " 0s left") {
		t.Errorf("after the last score it shows %q", got)
	}
	p.finish()
	if got := screen(t, out.String()); got != "" {
		t.Errorf("finished, it shows %q", got)
	}
	var nobody *progress
	nobody.step()
	nobody.clear()
	nobody.finish()
}
