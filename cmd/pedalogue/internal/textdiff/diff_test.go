package textdiff

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pedalogue/musicxml"
)

func OpenText(t *testing.T, text string) *musicxml.Document {
	t.Helper()
	d, err := musicxml.Open(context.Background(), "x.xml", []byte(text), musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func diffOf(t *testing.T, text string, edits ...musicxml.Edit) string {
	t.Helper()
	var b strings.Builder
	if err := Write(&b, "x.xml", "x.pedals.xml", OpenText(t, text), edits); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// insertion puts text before a mark that stands once in the document.
func insertion(text, before, put string) musicxml.Edit {
	at := strings.Index(text, before)
	return musicxml.Edit{Start: at, End: at, New: put}
}

func TestDiff(t *testing.T) {
	const score = "<a>\n <b>1</b>\n <b>2</b>\n <b>3</b>\n <b>4</b>\n <b>5</b>\n <b>6</b>\n <b>7</b>\n <b>8</b>\n <b>9</b>\n</a>\n"
	long := "<a>" + strings.Repeat("<b>1</b>", 100) + "<c/>" + strings.Repeat("<b>2</b>", 100) + "</a>"
	clipped := func(s string) string { return s[:80] + " … " + s[len(s)-80:] }
	for _, tt := range []struct {
		name, text string
		edits      []musicxml.Edit
		want       string // without the two lines of the head
		why        string
	}{
		{"whole lines", score, []musicxml.Edit{insertion(score, " <b>5", " <new/>\n <new2/>\n")},
			"@@ -3,6 +3,8 @@\n  <b>2</b>\n  <b>3</b>\n  <b>4</b>\n+ <new/>\n+ <new2/>\n  <b>5</b>\n  <b>6</b>\n  <b>7</b>\n", "nothing is removed"},
		{"after the indentation", score, []musicxml.Edit{insertion(score, "<b>5", "<new/>\n ")},
			"@@ -3,6 +3,7 @@\n  <b>2</b>\n  <b>3</b>\n  <b>4</b>\n+ <new/>\n  <b>5</b>\n  <b>6</b>\n  <b>7</b>\n", "the line that stays is not shown as changed"},
		{"inside a line", score, []musicxml.Edit{insertion(score, "5</b>", "<new/>")},
			"@@ -3,7 +3,7 @@\n  <b>2</b>\n  <b>3</b>\n  <b>4</b>\n- <b>5</b>\n+ <b><new/>5</b>\n  <b>6</b>\n  <b>7</b>\n  <b>8</b>\n", "the line changes"},
		{"removal", score, []musicxml.Edit{{Start: strings.Index(score, " <b>5"), End: strings.Index(score, " <b>6")}},
			"@@ -3,7 +3,6 @@\n  <b>2</b>\n  <b>3</b>\n  <b>4</b>\n- <b>5</b>\n  <b>6</b>\n  <b>7</b>\n  <b>8</b>\n", "marks taken out"},
		{"everything", "<a>\n</a>\n", []musicxml.Edit{{Start: 0, End: 9}}, "@@ -1,2 +0,0 @@\n-<a>\n-</a>\n", "an empty range names the line before it"},
		{"only a line end", "<a/>", []musicxml.Edit{{Start: 4, End: 4, New: "\n"}}, "", "nothing to be seen"},
		{"at the start", score, []musicxml.Edit{{New: "<!-- x -->\n"}},
			"@@ -1,3 +1,4 @@\n+<!-- x -->\n <a>\n  <b>1</b>\n  <b>2</b>\n", "no lines before"},
		{"at the end", score, []musicxml.Edit{{Start: len(score), End: len(score), New: "<!-- x -->\n"}},
			"@@ -9,3 +9,4 @@\n  <b>8</b>\n  <b>9</b>\n </a>\n+<!-- x -->\n", "no lines after"},
		{"one hunk", score, []musicxml.Edit{insertion(score, " <b>7", " <y/>\n"), insertion(score, " <b>3", " <x/>\n")},
			"@@ -1,10 +1,12 @@\n <a>\n  <b>1</b>\n  <b>2</b>\n+ <x/>\n  <b>3</b>\n  <b>4</b>\n  <b>5</b>\n  <b>6</b>\n+ <y/>\n  <b>7</b>\n  <b>8</b>\n  <b>9</b>\n", "changes that lie close share their context"},
		{"two hunks", score, []musicxml.Edit{insertion(score, " <b>1", " <x/>\n"), insertion(score, " <b>9", " <y/>\n")},
			"@@ -1,4 +1,5 @@\n <a>\n+ <x/>\n  <b>1</b>\n  <b>2</b>\n  <b>3</b>\n@@ -7,5 +8,6 @@\n  <b>6</b>\n  <b>7</b>\n  <b>8</b>\n+ <y/>\n  <b>9</b>\n </a>\n", "the second one counts the lines that came before"},
		{"two in one line", score, []musicxml.Edit{insertion(score, "<b>5", "<x/>"), insertion(score, "5</b>", "<y/>")},
			"@@ -3,7 +3,7 @@\n  <b>2</b>\n  <b>3</b>\n  <b>4</b>\n- <b>5</b>\n+ <x/><b><y/>5</b>\n  <b>6</b>\n  <b>7</b>\n  <b>8</b>\n", "one change"},
		{"carriage returns", "<a>\r\n<b/>\r\n</a>", []musicxml.Edit{insertion("<a>\r\n<b/>", "<b/>", "<x/>\n")},
			"@@ -1,3 +1,4 @@\n <a>\n+<x/>\n <b/>\n </a>\n", "line ends are not shown"},
		{"lone carriage returns", "<a>\r<b/>\r</a>", []musicxml.Edit{insertion("<a>\r<b/>", "<b/>", "<x/>\n")},
			"@@ -1,3 +1,4 @@\n <a>\n+<x/>\n <b/>\n </a>\n", "line ends are not shown"},
		{"control characters", "<a>\u009b31m\n<b/></a>", []musicxml.Edit{insertion("<a>\u009b31m\n<b/>", "<b/>", "<x/>\n")},
			"@@ -1,2 +1,3 @@\n <a>\uFFFD31m\n+<x/>\n <b/></a>\n", "nothing that steers the terminal"},
		{"direction of text", "<a>\u202e\u2066\tb\n<b/></a>", []musicxml.Edit{insertion("<a>\u202e\u2066\tb\n<b/>", "<b/>", "<x/>\n")},
			"@@ -1,2 +1,3 @@\n <a>\uFFFD\uFFFD\tb\n+<x/>\n <b/></a>\n", "nor what turns the text around; tabs stay"},
		{"one long line", long, []musicxml.Edit{insertion(long, "<c/>", "<x/>\n<y/>\n")},
			"@@ -1,1 +1,3 @@\n " + clipped(long[:803]) + "\n+<x/>\n+<y/>\n " + clipped(long[803:]) + "\n", "shown in pieces"},
		{"long line, removal", long, []musicxml.Edit{{Start: 803, End: 807, New: "<x/>"}},
			"@@ -1,1 +1,1 @@\n " + clipped(long[:803]) + "\n-<c/>\n+<x/>\n " + clipped(long[807:]) + "\n", "shown in pieces"},
		{"long line as context", long + "\n<d/>\n", []musicxml.Edit{{Start: len(long) + 1, End: len(long) + 1, New: "<x/>\n"}},
			"@@ -1,2 +1,3 @@\n " + clipped(long) + "\n+<x/>\n <d/>\n", "cut"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := diffOf(t, tt.text, tt.edits...)
			want := "--- x.xml\n+++ x.pedals.xml\n" + tt.want
			if got != want {
				t.Errorf("got\n%s\nwant\n%s (%s)", got, want, tt.why)
			}
		})
	}
	if got := diffOf(t, score); got != "" {
		t.Errorf("without edits: %q", got)
	}
}

// TestDiffIsSmall: a score on one line does not come out as megabytes.
func TestDiffIsSmall(t *testing.T) {
	text := "<a>" + strings.Repeat("<note>é</note>", 200_000) + "</a>"
	var edits []musicxml.Edit
	for i := range 50 {
		at := len("<a>") + i*1000*len("<note>é</note>")
		edits = append(edits, musicxml.Edit{Start: at, End: at, New: "<x/>\n"})
	}
	if got := diffOf(t, text, edits...); len(got) > 50*400 || strings.Count(got, "\n+<x/>\n") != 50 {
		t.Errorf("%d bytes", len(got))
	}
}

// TestDiffApplies makes random edits and lets the diff be applied by a program
// of its own, which has to give what Splice gives.
func TestDiffApplies(t *testing.T) {
	for seed := range uint64(1000) {
		random := rand.New(rand.NewPCG(seed, 7))
		text := randomText(random)
		var edits []musicxml.Edit
		for at := random.IntN(10); at < len(text); at += 1 + random.IntN(40) {
			end := min(len(text), at+max(0, random.IntN(12)-6))
			put := []string{"", "x", "<x/>\n", "y\n z\n", "\n"}[random.IntN(5)]
			edits = append(edits, musicxml.Edit{Start: at, End: end, New: put})
			at = end
		}
		d := OpenText(t, text)
		want, err := d.Splice(context.Background(), edits)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if err := Write(&b, "a", "b", d, edits); err != nil {
			t.Fatal(err)
		}
		got, err := patch(text, b.String())
		if err != nil || got != strings.TrimSuffix(string(want), "\n") {
			t.Fatalf("seed %d: %v\n%s\nedits %+v\ntext %q\ngot  %q\nwant %q", seed, err, b.String(), edits, text, got, want)
		}
	}
}

func randomText(random *rand.Rand) string {
	var b strings.Builder
	for i := range 3 + random.IntN(40) {
		b.WriteString(strings.Repeat(" ", random.IntN(3)) + "<n>" + strconv.Itoa(i%3) + "</n>\n")
	}
	text := b.String()
	if random.IntN(4) == 0 {
		return strings.TrimSuffix(text, "\n")
	}
	return text
}

// patch applies a unified diff strictly: every line that it keeps or takes away
// has to be there, at the place that it says, and the counts have to be right.
func patch(text, diff string) (string, error) {
	old := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	lines := strings.Split(strings.TrimSuffix(diff, "\n"), "\n")
	if diff == "" {
		return strings.Join(old, "\n"), nil
	}
	var out []string
	at := 0
	for lines = lines[2:]; len(lines) > 0; {
		var from, removed, to, added int
		if _, err := fmt.Sscanf(lines[0], "@@ -%d,%d +%d,%d @@", &from, &removed, &to, &added); err != nil {
			return "", fmt.Errorf("%q: %w", lines[0], err)
		}
		if removed > 0 {
			from--
		}
		if added > 0 {
			to--
		}
		out = append(out, old[at:from]...)
		if len(out) != to {
			return "", fmt.Errorf("%s: it would be line %d", lines[0], len(out))
		}
		at = from
		next := slices.IndexFunc(lines[1:], func(s string) bool { return strings.HasPrefix(s, "@@") })
		if next < 0 {
			next = len(lines) - 1
		}
		for _, line := range lines[1 : 1+next] {
			sign, rest := line[:1], line[1:]
			if sign != "+" {
				if at >= len(old) || old[at] != rest {
					return "", fmt.Errorf("line %d is not %q", at+1, rest)
				}
				at++
				removed--
			}
			if sign != "-" {
				out = append(out, rest)
				added--
			}
		}
		if removed != 0 || added != 0 {
			return "", errors.New("wrong counts in " + lines[0])
		}
		lines = lines[1+next:]
	}
	return strings.Join(append(out, old[at:]...), "\n"), nil
}
