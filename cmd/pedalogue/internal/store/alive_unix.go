//go:build unix

package store

import (
	"errors"
	"syscall"
)

// isAlive tells whether a process runs.
func isAlive(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
