//go:build !linux && !darwin

package runs

// machineMemory does not know; --memory tells it.
func machineMemory() int64 { return fallbackMemory }
