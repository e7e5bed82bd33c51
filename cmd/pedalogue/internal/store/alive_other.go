//go:build !unix

package store

// isAlive does not know; age tells.
func isAlive(int) bool { return true }
