//go:build unix

package main

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A run that is killed at any moment leaves no half file, and the next one finishes
// the work and takes away what the killed one had in hand.
func TestKilled(t *testing.T) {
	times := 25
	if testing.Short() {
		times = 3
	}
	memoryFolder(t)
	for i := range 12 {
		writeFile(t, fmt.Sprintf("in/%02d.musicxml", i), easyScore(fmt.Sprint("Score ", i)))
	}
	args := []string{"mark", "-q", "--report", "json,html", "--out", "o", "in"}
	typed(t, args...).want(t, exitDone, "", "")
	whole := tree(t, "o")
	random := rand.New(rand.NewPCG(12, 5))
	hit := 0
	for range times {
		if err := os.RemoveAll("o"); err != nil {
			t.Fatal(err)
		}
		p := start(t, "run", args...)
		for wait := random.IntN(12); len(seen(t, "o")) < wait; {
			if p.ProcessState != nil {
				break
			}
			time.Sleep(time.Millisecond / 2)
		}
		p.Process.Kill()
		p.Wait()
		for path, text := range seen(t, "o") {
			if hidden := strings.HasPrefix(filepath.Base(path), ".pedalogue-"); !hidden && whole[path] != text {
				t.Errorf("%s is neither absent nor whole", path)
			} else if hidden {
				hit++
			}
		}
		typed(t, append(args, "--resume")...).want(t, exitDone, "", "")
		if now := tree(t, "o"); !maps.Equal(now, whole) {
			t.Errorf("after another run there are %d files, want %d as after one whole run", len(now), len(whole))
		}
	}
	t.Logf("%d files were in hand when the run was killed", hit)
}

// seen is the tree of a folder that may not be there, and in which files come and go.
func seen(t *testing.T, root string) map[string]string {
	t.Helper()
	files := map[string]string{}
	paths, _ := filepath.Glob(root + "/*")
	hidden, _ := filepath.Glob(root + "/.*")
	for _, path := range append(paths, hidden...) {
		if data, err := os.ReadFile(path); err == nil {
			files[filepath.ToSlash(path)] = string(data)
		}
	}
	return files
}
