package musicxml

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

// What is done at once is what is done one after the other. Of random edits of
// random texts, with all line ends.
func TestCompose(t *testing.T) {
	for seed := range uint64(300) {
		random := rand.New(rand.NewPCG(seed, 1))
		newline := []string{"\n", "\r\n", "\r"}[seed%3]
		var body strings.Builder
		for i := range 1 + random.IntN(30) {
			fmt.Fprintf(&body, "<part-name>%d</part-name>%s", i, strings.Repeat(newline, random.IntN(2)))
		}
		d, err := Open(ctx, "x", []byte("<score-partwise>"+newline+body.String()+newline+"</score-partwise>"), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		edits := func(text []byte) (list []Edit) {
			for at := random.IntN(9); at < len(text)-len("</score-partwise>"); at += random.IntN(60) {
				end := min(at+random.IntN(12), len(text)-len("</score-partwise>"))
				if bytes.ContainsAny(text[max(0, at-1):end+1], "\r\n<>") {
					continue // a line end or a tag in two is none
				}
				list = append(list, Edit{Start: at, End: end, New: []string{"", "x", "two\nlines", "<!--y-->"}[random.IntN(4)]})
				at = end
			}
			random.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
			return list
		}
		splice := func(d *Document, list []Edit) []byte {
			out, err := d.Splice(ctx, list)
			if err != nil {
				t.Fatal(seed, err)
			}
			return out
		}
		first := edits(d.Text)
		between := &Document{Name: "x", Raw: splice(d, first), Text: splice(d, first), Source: splice(d, first), Encoding: d.Encoding, codec: d.codec}
		second := edits(between.Text)
		if got, want := splice(d, d.Compose(first, second)), splice(between, second); !bytes.Equal(got, want) {
			t.Fatalf("seed %d:\n%q\nwant\n%q", seed, got, want)
		}
	}
	d, err := Open(ctx, "x", []byte("<score-partwise/>"), Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		why           string
		first, second []Edit
		want          string
	}{
		{"nothing", nil, nil, "[]"},
		{"what was put in goes again", []Edit{{6, 6, "abc"}}, []Edit{{6, 9, ""}}, "[]"},
		{"into what was put in", []Edit{{6, 6, "abc"}}, []Edit{{7, 7, "-"}}, "[{6 6 a-bc}]"},
		{"what goes twice goes once", []Edit{{6, 8, ""}}, []Edit{{5, 7, ""}}, "[{5 9 }]"},
		{"up to the end", []Edit{{6, 6, "abc"}}, []Edit{{7, 20, ""}}, "[{6 17 a}]"},
	} {
		if got := fmt.Sprint(d.Compose(tt.first, tt.second)); got != tt.want {
			t.Errorf("%s: %s, want %s", tt.why, got, tt.want)
		}
	}
}
