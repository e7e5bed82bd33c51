//go:build !linux && !darwin

package main

// machineMemory does not know; --memory tells it.
func machineMemory() int64 { return fallbackMemory }
