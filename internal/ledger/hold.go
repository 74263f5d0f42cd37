package ledger

import (
	"fmt"
	"io"
	"os"
	"strings"
	"syscall"
	"time"
)

// A hold is the right to write to a ledger. It is a lock of the system on a file
// beside the ledger, which goes with the process however that ends; the file
// says who has it.
type hold struct{ file *os.File }

// An InUseError says who writes to a ledger.
type InUseError struct{ Path, Holder string }

func (e *InUseError) Error() string {
	return fmt.Sprintf("the ledger %s is in use by %s", e.Path, e.Holder)
}

// takeHold waits up to patience for the right to write.
func takeHold(path string, patience time.Duration) (*hold, error) {
	file, err := os.OpenFile(path+".lock", os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	for end := time.Now().Add(patience); ; time.Sleep(50 * time.Millisecond) {
		err = syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if err == nil {
			break
		}
		if time.Now().After(end) {
			holder, _ := io.ReadAll(io.LimitReader(file, 200))
			file.Close()
			return nil, &InUseError{path, strings.TrimSpace(string(holder))}
		}
	}
	host, _ := os.Hostname()
	if err = file.Truncate(0); err == nil {
		_, err = file.WriteAt(fmt.Appendf(nil, "process %d on %s\n", os.Getpid(), host), 0)
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return &hold{file}, nil
}

// release lets the next one in. The file stays: to remove it would take the
// lock away from under whoever waits.
func (h *hold) release() error { return h.file.Close() }
