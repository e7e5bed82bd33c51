//go:build unix

package store

import (
	"os"
	"syscall"
)

// links is how many names a file has.
func links(info os.FileInfo) int {
	if s, ok := info.Sys().(*syscall.Stat_t); ok {
		return int(s.Nlink)
	}
	return 1
}
