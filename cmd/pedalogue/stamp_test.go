package main

import (
	"context"
	"os"
	"strings"
	"testing"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/musicxml"
)

// A marked copy says with which options it was made, and marked again with those it is
// the same; without the marks it is the score.
func TestCopiesAreStamped(t *testing.T) {
	for _, tt := range []struct{ args, want string }{
		{"", "1"},
		{"--respell written --settings start --language de", "1 respell=written settings=start language=de"},
		{"--part harp", "1 part=P1"}, {"--part 1", "1 part=P1"}, {"--part P1+P1", "1 part=P1"},
		{"--spell 1:F#=F --report none --findings all=off --curve --jobs 1", "1 spell=1:F#=F"},
	} {
		folder(t)
		writeFile(t, "a.musicxml", easyScore("Easy"))
		typed(t, append([]string{"mark", "-q", "a.musicxml"}, strings.Fields(tt.args)...)...).want(t, 0, "", "")
		copied := readFile(t, "a.pedals.musicxml")
		doc, err := musicxml.Open(context.Background(), "a", []byte(copied), musicxml.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		own, err := doc.Strip(context.Background())
		if err != nil || own.Options != tt.want || strings.Count(copied, "options=") != 1 {
			t.Errorf("%s: stamped %q, want %q; %v", tt.args, own.Options, tt.want, err)
		}
		set, err := options.ParseStamp(own.Options)
		if err != nil {
			t.Fatal(err)
		}
		_, again, err := marking("a.musicxml", []byte(copied), set)
		if err != nil || string(again) != copied {
			t.Errorf("%s: marked again with what it says, the copy is another, %v", tt.args, err)
		}
		typed(t, "strip", "--write", "-q", "a.pedals.musicxml").want(t, 0, "", "")
		if readFile(t, "a.pedals.musicxml") != easyScore("Easy") {
			t.Errorf("%s: without marks it is another score", tt.args)
		}
	}
}

func readFile(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
