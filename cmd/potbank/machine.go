package main

import (
	"math"
	"os"
	"strconv"
	"strings"
)

// Where Linux says how much memory a process may use: of the machine, and of the
// group of processes that it belongs to.
// Source: proc(5), and the kernel's admin-guide/cgroup-v2.
const (
	memoryInfo  = "/proc/meminfo"
	memoryGroup = "/sys/fs/cgroup/memory.max"
)

// machineMemory is the memory that the program may use at all, bytes; 0: the system
// does not say.
func machineMemory() int64 {
	least := int64(math.MaxInt64)
	if text, err := os.ReadFile(memoryInfo); err == nil {
		least = min(least, kilobytesOf(string(text), "MemTotal:"))
	}
	if text, err := os.ReadFile(memoryGroup); err == nil {
		if n, err := strconv.ParseInt(strings.TrimSpace(string(text)), 10, 64); err == nil {
			least = min(least, n)
		}
	}
	if least == math.MaxInt64 {
		return 0
	}
	return least
}

// kilobytesOf finds a line such as "MemTotal: 1024 kB" and gives its bytes; none:
// as many as there can be.
func kilobytesOf(text, name string) int64 {
	for line := range strings.Lines(text) {
		fields := strings.Fields(line)
		if len(fields) == 3 && fields[0] == name {
			if n, err := strconv.ParseInt(fields[1], 10, 64); err == nil {
				return n * 1024
			}
		}
	}
	return math.MaxInt64
}
