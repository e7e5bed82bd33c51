package inkeys

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"pedalogue/cmd/pedalogue/internal/options"
	"pedalogue/cmd/pedalogue/internal/runs"
	"pedalogue/cmd/pedalogue/internal/work"
)

// Who waits for one long score is told how many of its keys are done.
func TestProgressOfKeys(t *testing.T) {
	const path = "../../../../testdata/scores/held.musicxml"
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var terminal bytes.Buffer
	clock := time.Unix(0, 0)
	slow := func() time.Time { // each key takes long
		clock = clock.Add(2 * time.Second)
		return clock
	}
	progress := runs.ProgressOn(&terminal, func() int { return 60 }, slow)
	m, err := Of(context.Background(), work.Score{Path: path, Data: data, Workers: 2, Progress: progress}, options.Settings{}, Wishes{Within: 2})
	if err != nil {
		t.Fatal(err)
	}
	rows := len(m.Report.(*Report).Parts[0].Keys)
	for i := 1; i <= rows; i++ {
		if line := fmt.Sprintf("keys %d of %d [", i, rows); strings.Count(terminal.String(), line) != 1 {
			t.Errorf("%q is not shown once in %q", line, terminal.String())
		}
	}
}
