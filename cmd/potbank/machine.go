package main

import (
	"math"
	"os"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"syscall"
	"time"

	"potbank/internal/effort"
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

// Where Linux says how much memory the program has held at most, and forgets it.
// Source: proc(5).
const (
	ownStatus  = "/proc/self/status"
	forgetPeak = "/proc/self/clear_refs"
)

// machine is what a bench is told of this machine.
func (p *program) machine() effort.Machine {
	return effort.Machine{
		Now: p.now, Cores: runtime.GOMAXPROCS(0), Used: processorTime,
		Peak: func() int64 {
			text, err := os.ReadFile(ownStatus)
			if n := kilobytesOf(string(text), "VmHWM:"); err == nil && n < math.MaxInt64 {
				return n
			}
			return 0
		},
		Fresh: func() {
			debug.FreeOSMemory()
			os.WriteFile(forgetPeak, []byte("5"), 0o200) // if it cannot be, the peak is that of all before too
		},
	}
}

// processorTime is what the program has used of all processors so far.
func processorTime() time.Duration {
	var used syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &used) != nil {
		return 0
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
