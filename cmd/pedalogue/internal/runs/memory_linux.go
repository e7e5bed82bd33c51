package runs

import (
	"bufio"
	"os"
	"strconv"
	"strings"
)

// machineMemory returns the bytes of memory that this process can count on: what
// the machine has, or less if a control group says so.
func machineMemory() int64 {
	total := int64(fallbackMemory)
	if f, err := os.Open("/proc/meminfo"); err == nil {
		defer f.Close()
		for lines := bufio.NewScanner(f); lines.Scan(); {
			// "MemTotal:       24683088 kB"
			fields := strings.Fields(lines.Text())
			if len(fields) < 2 || fields[0] != "MemTotal:" {
				continue
			}
			if kilobytes, err := strconv.ParseInt(fields[1], 10, 64); err == nil {
				total = kilobytes << 10
			}
			break
		}
	}
	for _, path := range []string{"/sys/fs/cgroup/memory.max", "/sys/fs/cgroup/memory/memory.limit_in_bytes"} {
		text, err := os.ReadFile(path)
		if err != nil {
			continue
		}
		// "max" where there is no limit
		if limit, err := strconv.ParseInt(strings.TrimSpace(string(text)), 10, 64); err == nil && limit > 0 {
			total = min(total, limit)
		}
	}
	return total
}
