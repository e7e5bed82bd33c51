package runs

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
		done, total int64
		columns     int
		want, why   string
	}{
		{5, 20, 40, "scores 5 of 20 [", "a bar where there is room"},
		{20, 20, 40, "scores 20 of 20 [", "all"},
		{5, 20, 12, "scores 5 of", "cut, so that no second line begins"},
		{5, 20, 0, "", "no room at all"},
	} {
		p := &progress{bar: newBar(int(tt.total)).SetCurrent(tt.done)}
		got := p.line(tt.columns)
		if !strings.HasPrefix(got, tt.want) || len(got) > tt.columns {
			t.Errorf("%q, want %q and at most %d columns (%s)", got, tt.want, tt.columns, tt.why)
		}
		if full := tt.done == tt.total; strings.Contains(got, "[") && strings.Contains(got, ".") == full {
			t.Errorf("%q: dots stand for what is to be done", got)
		}
	}
}

// Nothing is shown in the first second; then a line, not too often; and at the
// end, or before something else is printed, nothing of it is left.
func TestProgressOfRun(t *testing.T) {
	var out bytes.Buffer
	clock := time.Unix(0, 0)
	p := &progress{w: &out, columns: func() int { return 60 }, now: func() time.Time { return clock }, bar: newBar(100), begun: clock}
	after := func(d time.Duration) string {
		clock = clock.Add(d)
		p.step()
		return screen(t, out.String())
	}
	if got := after(900 * time.Millisecond); got != "" {
		t.Errorf("a short run shows %q", got)
	}
	if got := after(200 * time.Millisecond); !strings.HasPrefix(got, "scores 2 of 100 [") {
		t.Errorf("a long run shows %q", got)
	}
	if got := after(50 * time.Millisecond); !strings.HasPrefix(got, "scores 2 of 100 [") {
		t.Errorf("soon after it shows %q", got)
	}
	p.clear()
	if got := screen(t, out.String()); got != "" {
		t.Errorf("cleared, it shows %q", got)
	}
	if got := after(time.Millisecond); !strings.HasPrefix(got, "scores 4 of 100 [") {
		t.Errorf("when others have printed, it shows %q", got)
	}
	for range 96 {
		after(time.Millisecond)
	}
	if got := screen(t, out.String()); !strings.HasPrefix(got, "scores 100 of 100 [#") {
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
