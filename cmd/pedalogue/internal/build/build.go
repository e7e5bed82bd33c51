// Package build tells which version of the program this is.
package build

import (
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
// a version that is known tells itself by its bytes.
var ID = sync.OnceValue(func() string {
	v := Version()
	if v != "(devel)" && !strings.Contains(v, "+dirty") {
		return v
	}
	path, err := os.Executable()
	if err != nil {
		return v
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return v
	}
	return v + " " + store.Checksum(data)
})
