package runs

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"
)

// A screen is a terminal that wraps lines, wraps them anew when its width changes, and
// knows what we send to it.
type screen struct {
	columns  int
	rows     []string // what stands in it, without blanks at the ends
	row, col int      // of the cursor
}

func (s *screen) put(t *testing.T, text string) {
	t.Helper()
	for len(text) > 0 {
		c := text[0]
		text = text[1:]
		for len(s.rows) <= s.row {
			s.rows = append(s.rows, "")
		}
		switch {
		case c == '\r':
			s.col = 0
		case c == '\x1b' && strings.HasPrefix(text, "[J"):
			text = text[2:]
			s.rows = s.rows[:s.row+1]
			s.rows[s.row] = s.rows[s.row][:min(s.col, len(s.rows[s.row]))]
		case c == '\x1b':
			var up int
			if n, err := fmt.Sscanf(text, "[%dA", &up); n != 1 || err != nil {
				t.Fatalf("a sequence that no terminal knows: %q", text)
			}
			_, text, _ = strings.Cut(text, "A")
			s.row = max(0, s.row-up)
		case c < ' ' || c > '~':
			t.Fatalf("a byte %#x on the line", c)
		default:
			if s.col == s.columns {
				s.row, s.col = s.row+1, 0
				s.rows = append(s.rows, "")
			}
			line := []byte(s.rows[s.row] + strings.Repeat(" ", max(0, s.col+1-len(s.rows[s.row]))))
			line[s.col] = c
			s.rows[s.row] = strings.TrimRight(string(line), " ")
			s.col++
		}
	}
}

// resize wraps the one line that is there anew, with the cursor at its end.
func (s *screen) resize(columns int) {
	line := strings.Join(s.rows, "")
	*s = screen{columns: columns}
	for len(line) > columns {
		s.rows = append(s.rows, line[:columns])
		line = line[columns:]
	}
	s.rows = append(s.rows, line)
	s.row, s.col = len(s.rows)-1, len(line)
}

func (s *screen) String() string { return strings.Trim(strings.Join(s.rows, "|"), " |") }

func TestProgressLine(t *testing.T) {
	for _, tt := range []struct {
		what        string
		done, total int
		columns     int
		want, why   string
	}{
		{"scores", 5, 20, 40, "scores 5 of 20 [", "a bar where there is room"},
		{"keys", 5, 20, 40, "keys 5 of 20 [", "steps within one score"},
		{"scores", 20, 20, 40, "scores 20 of 20 [", "all"},
		{"scores", 5, 20, 12, "scores 5 of", "cut, so that no second line begins"},
		{"scores", 5, 20, 0, "", "no room at all"},
	} {
		p := &Progress{what: tt.what, done: tt.done, total: tt.total, now: time.Now, begun: time.Now()}
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
// end, or before something else is printed, nothing of it is left, whatever becomes
// of the window.
func TestProgressOfRun(t *testing.T) {
	for _, plain := range []bool{false, true} {
		out := &screen{columns: 60}
		var sent bytes.Buffer
		clock := time.Unix(0, 0)
		p := ProgressOn(&sent, func() int { return out.columns }, func() time.Time { return clock })
		p.plain = plain
		p.Begin("scores", 100)
		now := func() string {
			t.Helper()
			out.put(t, sent.String())
			sent.Reset()
			return out.String()
		}
		after := func(d time.Duration) string {
			t.Helper()
			clock = clock.Add(d)
			p.Step()
			return now()
		}
		expect := func(got, want, why string) {
			t.Helper()
			if !strings.HasPrefix(got, want) || want == "" && got != "" || strings.Contains(got, "|") {
				t.Errorf("plain %v: it shows %q, want %q (%s)", plain, got, want, why)
			}
		}
		expect(after(900*time.Millisecond), "", "a short run")
		expect(after(200*time.Millisecond), "scores 2 of 100 [", "a long run")
		expect(after(50*time.Millisecond), "scores 2 of 100 [", "too soon")
		p.clear()
		expect(now(), "", "cleared")
		expect(after(time.Millisecond), "scores 4 of 100 [", "others have printed")
		if !plain {
			out.resize(20)
			expect(after(time.Second), "scores 5 of 100", "the window is narrower")
			out.resize(8)
			p.clear()
			expect(now(), "", "narrower, and cleared")
			out.resize(60)
		}
		for p.done < p.total {
			after(time.Millisecond)
		}
		expect(now(), "scores 100 of 100 [#", "after the last score")
		p.finish()
		expect(now(), "", "finished")
		p.Begin("keys", 5)
		expect(after(2*time.Second), "", "work that was given up is still at it")
	}
	var nobody *Progress
	nobody.Begin("keys", 2)
	nobody.Step()
	nobody.clear()
	nobody.finish()
}
