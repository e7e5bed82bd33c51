package runs

import "golang.org/x/sys/unix"

// machineMemory returns the bytes of memory that the machine has.
func machineMemory() int64 {
	if size, err := unix.SysctlUint64("hw.memsize"); err == nil && size > 0 {
		return int64(min(size, 1<<50))
	}
	return fallbackMemory
}
