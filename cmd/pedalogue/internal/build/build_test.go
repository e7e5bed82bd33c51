package build

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// What is linked from other code has another name, and what is no executable none. The
// go command is the outside judge of the name.
func TestLinked(t *testing.T) {
	tool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("the go command is not here")
	}
	path, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	name := linked(path)
	if name == "" {
		t.Skip("the linker's name is not read on this system")
	}
	out, err := exec.Command(tool, "tool", "buildid", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	if want := strings.TrimSpace(string(out)); name != want {
		t.Errorf("%q, and the go command says %q", name, want)
	}
	if other := linked(tool); other == name {
		t.Error("another program has the same name")
	}
	text := filepath.Join(t.TempDir(), "text")
	if err := os.WriteFile(text, []byte("no executable"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := linked(text); got != "" {
		t.Errorf("a text is called %q", got)
	}
}
