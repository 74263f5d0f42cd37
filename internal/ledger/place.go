package ledger

import (
	"errors"
	"fmt"
	"path/filepath"
	"syscall"
)

// ErrRemote is a ledger on a file system of another machine, where the locks and
// the shared memory that SQLite's write-ahead log rests on do not hold.
// Source: https://www.sqlite.org/wal.html, section 1.
var ErrRemote = errors.New("a ledger must lie on a disk of this machine")

// remote names the file systems of other machines by what statfs says of them.
// Source: statfs(2), and linux/magic.h.
var remote = map[int64]string{
	0x6969:     "NFS",
	0x517B:     "SMB",
	0xFF534D42: "CIFS",
	0xFE534D42: "SMB2",
	0x564C:     "NCP",
	0x5346414F: "AFS",
	0x73757245: "Coda",
	0x00C36400: "Ceph",
	0x0BD00BD0: "Lustre",
	0x47504653: "GPFS",
}

// Free is how many bytes a user may still write where a ledger lies.
func Free(path string) (int64, error) {
	var said syscall.Statfs_t
	if err := syscall.Statfs(filepath.Dir(path), &said); err != nil {
		return 0, err
	}
	return int64(said.Bavail) * said.Bsize, nil
}

// place refuses a ledger in a folder of another machine.
func place(path string, ask func(folder string, said *syscall.Statfs_t) error) error {
	var said syscall.Statfs_t
	if err := ask(filepath.Dir(path), &said); err != nil {
		return err
	}
	if name := remote[int64(uint32(said.Type))]; name != "" {
		return fmt.Errorf("%w, and %s is on %s", ErrRemote, path, name)
	}
	return nil
}
