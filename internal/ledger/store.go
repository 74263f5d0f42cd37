package ledger

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"sync"
	"syscall"
	"time"

	_ "modernc.org/sqlite" // the driver

	"potbank/internal/plant"
)

// Marks of the file, by which it is told from any other SQLite file.
const (
	applicationID = 0x706f7462 // "potb"
)

// schema is the file, as the steps by which it came to be: a new file takes them
// all, one of an older version those that it lacks. A step that was released is
// never changed; the version of a file is how many it has taken.
//
// A row of outcome is never changed: it is
// there or not. A study is a command line, with the folder it was typed in and
// the exit code it ended with; none while it goes on, or if it was killed. A
// worker is who ran a replication, if not this machine. A failure is a
// replication that was given up, with its reason; it is tried again when asked for
// again.
var schema = []string{`
CREATE TABLE outcome (
	key         BLOB PRIMARY KEY CHECK (length(key) = 32),
	works       TEXT NOT NULL,
	name        TEXT NOT NULL,
	seed        INTEGER NOT NULL,
	replication INTEGER NOT NULL,
	weeks       INTEGER NOT NULL,
	stored      TEXT NOT NULL,
	result      BLOB NOT NULL,
	checksum    BLOB NOT NULL CHECK (length(checksum) = 32)
) STRICT, WITHOUT ROWID;
CREATE INDEX by_works ON outcome (works, seed, replication);
CREATE TABLE study (
	id     INTEGER PRIMARY KEY,
	args   TEXT NOT NULL,
	folder TEXT NOT NULL,
	asked  TEXT NOT NULL,
	ended  TEXT,
	code   INTEGER
) STRICT;
`, `
ALTER TABLE outcome ADD COLUMN worker TEXT;
CREATE TABLE failure (
	key         BLOB PRIMARY KEY CHECK (length(key) = 32),
	works       TEXT NOT NULL,
	name        TEXT NOT NULL,
	seed        INTEGER NOT NULL,
	replication INTEGER NOT NULL,
	noted       TEXT NOT NULL,
	reason      TEXT NOT NULL
) STRICT, WITHOUT ROWID;
`}

// Faults of a ledger, by what can be done about them.
var (
	ErrMissing = errors.New("there is no such ledger")
	ErrDamaged = errors.New("the ledger is damaged")
	ErrForeign = errors.New("this is no ledger of potbank")
	ErrNewer   = errors.New("the ledger was written by a newer potbank")
	ErrDiffers = errors.New("a replication came out otherwise than before")
)

// commitEvery bounds what a crash may lose, and commitAfter how many results
// wait for it.
const (
	commitEvery = time.Second
	commitAfter = 100
)

// A Store is an open ledger. Its methods are safe for several goroutines.
type Store struct {
	path    string
	db      *sql.DB
	hold    *hold // nil: read only
	now     func() time.Time
	version int // of the file

	mutex   sync.Mutex
	waiting map[Key]row
	order   []Key
	last    time.Time // of the last commit
	failed  error     // a commit that failed; nothing is stored after it

	found, ran int
}

// row is one result to be stored.
type row struct {
	works, name string
	seed        uint64
	replication uint32
	weeks       int
	result      []byte
	worker      string // empty: this machine
}

// Open opens a ledger to read and to write, and makes it if it is not there.
// Whoever holds it is waited for as long as patience. now stamps what is stored.
func Open(path string, patience time.Duration, now func() time.Time) (*Store, error) {
	if err := place(path, syscall.Statfs); err != nil {
		return nil, err
	}
	held, err := takeHold(path, patience)
	if err != nil {
		return nil, err
	}
	s := &Store{path: path, hold: held, now: now, waiting: map[Key]row{}, last: now()}
	if err = s.open("rwc"); err == nil {
		err = s.prepare()
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// OpenReading opens a ledger that is there, to read.
func OpenReading(path string) (*Store, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, fmt.Errorf("%w: %s", ErrMissing, path)
	}
	s := &Store{path: path, now: time.Now, waiting: map[Key]row{}}
	err := s.open("ro")
	if err == nil {
		err = s.known()
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// open connects to the file. One connection: SQLite writes one at a time anyhow.
func (s *Store) open(mode string) error {
	db, err := sql.Open("sqlite", "file:"+s.path+"?mode="+mode+
		"&_pragma=busy_timeout(5000)&_pragma=synchronous(FULL)&_pragma=trusted_schema(OFF)&_pragma=mmap_size(0)")
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(1)
	s.db = db
	return nil
}

// prepare makes the tables of a new file, or brings those of an old one up to
// this version, all in one transaction: a file that was left halfway is the old
// one.
func (s *Store) prepare() error {
	var tables int
	if err := s.db.QueryRow("SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
		return s.judge(err)
	}
	if tables > 0 {
		if err := s.known(); err != nil || s.version == len(schema) {
			return err
		}
	} else if _, err := s.db.Exec("PRAGMA journal_mode = WAL"); err != nil {
		return s.judge(err)
	}
	tx, err := s.db.Begin()
	if err != nil {
		return s.judge(err)
	}
	defer tx.Rollback() // of no effect after the commit
	marks := fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, len(schema))
	for _, step := range append(schema[s.version:len(schema):len(schema)], marks) {
		if _, err := tx.Exec(step); err != nil {
			return s.judge(err)
		}
	}
	if err := tx.Commit(); err != nil {
		return s.judge(err)
	}
	s.version = len(schema)
	return nil
}

// known tells a ledger from other files, and this version from newer ones.
func (s *Store) known() error {
	var id, version int
	err := s.db.QueryRow("PRAGMA application_id").Scan(&id)
	if err == nil {
		err = s.db.QueryRow("PRAGMA user_version").Scan(&version)
	}
	switch {
	case err != nil:
		return s.judge(err)
	case id != applicationID:
		return fmt.Errorf("%w: %s", ErrForeign, s.path)
	case version > len(schema):
		return fmt.Errorf("%w: %s", ErrNewer, s.path)
	case version < 1:
		return fmt.Errorf("%w: %s: version %d", ErrDamaged, s.path, version)
	}
	s.version = version
	return nil
}

// judge says of an error of the database what it means for the file.
func (s *Store) judge(err error) error {
	var coded interface{ Code() int }
	if err == nil || !errors.As(err, &coded) {
		return err
	}
	switch coded.Code() & 0xff { // https://www.sqlite.org/rescode.html, primary codes
	case 1, 11: // SQLITE_ERROR: our statements are right, so the tables are not ours any more; SQLITE_CORRUPT
		return fmt.Errorf("%w: %s: %v", ErrDamaged, s.path, err)
	case 26: // SQLITE_NOTADB
		return fmt.Errorf("%w: %s", ErrForeign, s.path)
	}
	return fmt.Errorf("%s: %w", s.path, err)
}

// get returns the result kept under a key; nil if there is none.
func (s *Store) get(k Key) (*plant.Result, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	text := s.waiting[k].result
	if text == nil {
		var sum []byte
		err := s.db.QueryRow("SELECT result, checksum FROM outcome WHERE key = ?", k[:]).Scan(&text, &sum)
		switch {
		case errors.Is(err, sql.ErrNoRows):
			return nil, nil
		case err != nil:
			return nil, s.judge(err)
		case !bytes.Equal(sum, checksum(k, text)):
			return nil, fmt.Errorf("%w: %s: the result %s does not match its checksum", ErrDamaged, s.path, k)
		}
	}
	r, err := Unpack(text)
	if err != nil {
		return nil, fmt.Errorf("%w: %s: the result %s: %v", ErrDamaged, s.path, k, err)
	}
	s.found++
	return r, nil
}

// put keeps a result. It is on the disk after the next commit: with the first
// result that comes a second or more after the last commit, the hundredth since,
// or when the ledger is closed. A result that is there already must be the same,
// bit by bit.
func (s *Store) put(k Key, r row) error {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if s.failed != nil {
		return s.failed
	}
	s.ran++
	if _, twice := s.waiting[k]; twice {
		return s.compare(k, r.result, r.worker)
	}
	s.waiting[k] = r
	s.order = append(s.order, k)
	if len(s.order) >= commitAfter || s.now().Sub(s.last) >= commitEvery {
		return s.commit()
	}
	return nil
}

// commit writes what waits. After a failure nothing more is written: what the
// disk has then is not known, and to go on would be to guess.
func (s *Store) commit() error {
	if len(s.order) == 0 || s.failed != nil {
		return s.failed
	}
	if s.failed = s.judge(s.write()); s.failed == nil {
		clear(s.waiting)
		s.order, s.last = s.order[:0], s.now()
	}
	return s.failed
}

func (s *Store) write() error {
	tx, err := s.db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback() // of no effect after the commit
	for _, k := range s.order {
		r := s.waiting[k]
		done, err := tx.Exec("INSERT INTO outcome VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, nullif(?, '')) ON CONFLICT DO NOTHING", k[:], r.works, r.name, int64(r.seed), r.replication, r.weeks,
			s.now().UTC().Format(time.RFC3339), r.result, checksum(k, r.result), r.worker)
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 1 {
			continue
		}
		var there row
		if err := there.find(tx, k); err != nil {
			return err
		}
		if err := there.must(k, r.result, r.worker); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// Path is where the ledger lies.
func (s *Store) Path() string { return s.path }

// Counts returns how many results were found, and how many had to be run.
func (s *Store) Counts() (found, ran int) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.found, s.ran
}

// Close writes what waits and lets the next one in.
func (s *Store) Close() error {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	var err error
	if s.hold != nil && s.db != nil {
		err = s.commit()
	}
	if s.db != nil {
		err = errors.Join(err, s.db.Close())
	}
	if s.hold != nil {
		err = errors.Join(err, s.hold.release())
	}
	return err
}

// checksum is that of a row: of its result and of the key it is under.
func checksum(k Key, result []byte) []byte {
	h := sha256.New()
	h.Write(k[:])
	h.Write(result)
	return h.Sum(nil)
}

// Pack writes a result small.
func Pack(r *plant.Result) []byte {
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, 6)
	if err == nil {
		if _, err = w.Write(Encode(r)); err == nil {
			err = w.Close()
		}
	}
	if err != nil {
		panic(fmt.Sprintf("ledger: packing into memory: %v", err))
	}
	return b.Bytes()
}

// same tells whether two packed results are one. What is packed is compared:
// another version of the packer may pack it otherwise.
func same(a, b []byte) bool {
	x, err := inflate(a)
	if err != nil {
		return false
	}
	y, err := inflate(b)
	return err == nil && bytes.Equal(x, y)
}

// mostResult bounds what a result may unpack to: a few bytes of a damaged or
// hostile file could fill the memory else.
const mostResult = 64 << 20

func inflate(text []byte) ([]byte, error) {
	b, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(text)), mostResult+1))
	if err != nil || len(b) > mostResult {
		return nil, errCut
	}
	return b, nil
}

// Unpack reads what Pack wrote. Damaged bytes give an error, and never more than 64 MiB.
func Unpack(text []byte) (*plant.Result, error) {
	b, err := inflate(text)
	if err != nil {
		return nil, err
	}
	r := new(plant.Result)
	return r, Decode(b, r)
}
