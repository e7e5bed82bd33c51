package report

import (
	"bytes"
	"testing"
)

func textOf(t *testing.T, s *Score, o TextOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := WriteText(&b, s, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestTextGolden(t *testing.T) {
	golden(t, "demo.txt", textOf(t, demo(), TextOptions{}))
	golden(t, "demo-ascii.txt", textOf(t, demo(), TextOptions{ASCII: true, Width: 60}))
	golden(t, "demo-colour.txt", textOf(t, demo(), TextOptions{Colour: true}))
}
