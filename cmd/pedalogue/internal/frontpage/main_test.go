package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"strings"
	"testing"
)

// The README shows what the program makes today.
func TestPictureOfTheReadme(t *testing.T) {
	score, err := os.ReadFile("../../demo.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := draw(&b, score); err != nil {
		t.Fatal(err)
	}
	kept, err := os.ReadFile("../../../../testdata/demo.svg")
	if err != nil || !bytes.Equal(kept, b.Bytes()) {
		t.Errorf("the README's picture is not what is drawn now (%v); in the root of the repository:\n"+
			"go run ./cmd/pedalogue/internal/frontpage cmd/pedalogue/demo.musicxml > testdata/demo.svg", err)
	}
	readme, err := os.ReadFile("../../../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if at := strings.Index(string(readme), "](testdata/demo.svg)"); at < 0 || at > strings.Index(string(readme), "```") {
		t.Error("the picture is not on the README's first screen")
	}
	decoder := xml.NewDecoder(&b)
	words := ""
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if text, ok := token.(xml.CharData); ok {
			words += string(text)
		}
	}
	for _, want := range []string{"The Evening Ferry, Harp (P1)", "left foot  right foot", "repeat:"} {
		if !strings.Contains(words, want) {
			t.Errorf("the picture has no %q", want)
		}
	}
}

func TestNoMusic(t *testing.T) {
	for _, score := range []string{"", "<score-partwise/>"} {
		if err := draw(io.Discard, []byte(score)); err == nil {
			t.Errorf("%q is drawn", score)
		}
	}
}
