package report

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"
)

func keysHTML(t *testing.T, k *Keys) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteKeysHTML(&b, k); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// keysOf is a report on music in C in the keys within so many semitones, by rising
// changes; one in three is rushed.
func keysOf(within int) *Keys {
	majors := strings.Fields("C♭ G♭ D♭ A♭ E♭ B♭ F C G D A E B F♯ C♯")
	k := &Keys{Head: Head{Format: Format, Tool: "pedalogue", Version: "v0.0.0", Path: "nocturne.mxl", Title: "Nocturne"},
		Warnings: []Warning{{Code: "backup-before-start", Part: "P1", Measure: "2", Index: 1, Line: 17, Text: "a backup goes before the start"}}}
	p := KeysPart{ID: "P1", Name: "Piano"}
	for semitones := -within; semitones <= within; semitones++ {
		for steps := -10; steps <= 10; steps++ {
			fifths := 7*semitones - 12*steps
			if fifths < -7 || fifths > 7 {
				continue
			}
			n := 20 + 5*len(p.Keys)
			p.Keys = append(p.Keys, Key{
				Name: majors[fifths+7], Semitones: semitones, Steps: steps, Fifths: fifths, Original: semitones == 0 && steps == 0,
				Cost: Cost{Changes: n, Rushed: max(0, n/3-15)}, Proof: Proof{Minimal: n != 40},
			})
		}
	}
	k.Parts = append(k.Parts, p)
	return k
}

func hostileKeys() *Keys {
	k := keysOf(1)
	k.Path, k.Title, k.Output, k.Version = attack, attack, attack, attack
	k.Parts[0].ID, k.Parts[0].Name = attack, attack
	k.Warnings[0].Text, k.Warnings[0].Part, k.Warnings[0].Measure = attack, attack, attack
	k.Chosen = &ChosenKey{Name: attack, Struck: []StruckMark{{Part: attack, Text: attack, Place: Place{Measure: attack}}},
		Respelt: []RespeltKey{{Part: attack, Measure: attack}}, Left: k.Warnings}
	return k
}

// Each key has its bar, its name and its row; C stands on top, G to the right of it,
// C sharp and D flat side by side.
func TestKeysPage(t *testing.T) {
	k := keysOf(6)
	page := keysHTML(t, k)
	n := len(k.Parts[0].Keys)
	for _, what := range []string{`<path class="key-bar [a-z]*" d="M\d+ \d+L`, `<text class="key-name`, `<th scope="row"><bdi>`} {
		if got := len(regexp.MustCompile(what).FindAllString(page, -1)); got != n {
			t.Errorf("%d times %s, want %d", got, what, n)
		}
	}
	rushed := 0
	for _, key := range k.Parts[0].Keys {
		if key.Cost.Rushed > 0 {
			rushed++
		}
	}
	if got := strings.Count(page, `<path class="key-rushed" d="M`) - 1; got != rushed { // one is in the legend
		t.Errorf("%d rushed bars, want %d", got, rushed)
	}
	at := func(name string) (x, y int) {
		m := regexp.MustCompile(`<text class="key-name [a-z]*" x="(\d+)" y="(\d+)">` + name + ` \d`).FindStringSubmatch(page)
		if m == nil {
			t.Fatalf("no name %s", name)
		}
		fmt.Sscan(m[1], &x)
		fmt.Sscan(m[2], &y)
		return x, y
	}
	cx, cy := at("C")
	gx, gy := at("G")
	fx, _ := at("F")
	dx, _ := at("D♭")
	sx, _ := at("C♯")
	if cx != circleMiddle || cy > gy || gx <= cx || fx >= cx || dx != sx {
		t.Errorf("C %d,%d G %d,%d F %d, D♭ %d, C♯ %d", cx, cy, gx, gy, fx, dx, sx)
	}
	for _, want := range []string{`<tr class="taken"><th scope="row"><bdi>C</bdi> <em>as written</em>`, "<em>not proved</em>", "line 17, part P1, m. 2"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %s", want)
		}
	}
	if one := keysHTML(t, &Keys{Head: Head{Path: "x"}, Parts: []KeysPart{{Keys: []Key{{Name: "C", Original: true}}}}}); !strings.Contains(one, "in the key in which it is written") {
		t.Error("one key without changes makes no page")
	}
}

func TestRings(t *testing.T) {
	for most, want := range map[int]string{1: "[1]", 4: "[1 2 3 4]", 46: "[10 20 30 40]", 62: "[20 40 60]", 300: "[100 200 300]", 5000: "[2000 4000]"} {
		if got := fmt.Sprint(rings(most)); got != want {
			t.Errorf("%d: %s, want %s", most, got, want)
		}
	}
}

func TestKeysPageCannotBeSteered(t *testing.T) {
	page := keysHTML(t, hostileKeys())
	for _, bad := range []string{"<script", "<img", "\u202e", "\x1b"} {
		if strings.Contains(page, bad) {
			t.Errorf("%q is in the page", bad)
		}
	}
}
