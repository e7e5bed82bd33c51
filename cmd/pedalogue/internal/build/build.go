// Package build tells which version of the program this is.
package build

import (
	"debug/elf"
	"os"
	"runtime/debug"
	"strings"
	"sync"

	"pedalogue/cmd/pedalogue/internal/store"
)

// Version is the module's version as it was built; "(devel)" where none is known.
func Version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "(devel)"
}

// ID tells this build from others of the same version: one that was not made from
// a version that is known tells itself by what the linker calls it after its content,
// or if it has no such name by its bytes.
var ID = sync.OnceValue(func() string {
	v := Version()
	if v != "(devel)" && !strings.Contains(v, "+dirty") {
		return v
	}
	path, err := os.Executable()
	if err != nil {
		return v
	}
	if name := linked(path); name != "" {
		return v + " " + name
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return v
	}
	return v + " " + store.Checksum(data)
})

// linked is what the linker calls an executable after its content, which Linux and its
// like keep in a section of its own; "" where there is none. Every run asks for it, and
// to read the whole executable takes longer than to mark a small score.
func linked(path string) string {
	f, err := elf.Open(path)
	if err != nil {
		return ""
	}
	defer f.Close()
	section := f.Section(".note.go.buildid")
	if section == nil {
		return ""
	}
	note, err := section.Data()
	if err != nil {
		return ""
	}
	return strings.TrimRight(string(note[min(len(note), noteHead):]), "\x00")
}

// noteHead is how many bytes stand before the text of a note: three sizes, and its
// owner's name, "Go".
const noteHead = 16
