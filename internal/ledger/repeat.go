package ledger

import (
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Repeat compares a result that came a second time with the one that is kept: a
// replication has one outcome. One that differs by a bit is an error that names
// the key and who made which; nothing is stored after it, since one of the two
// is wrong and nobody knows which. A result that is not kept is not compared.
func (s *Store) Repeat(k Key, packed []byte, worker string) error {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if s.failed != nil {
		return s.failed
	}
	return s.compare(k, packed, worker)
}

// compare does what Repeat says; the caller holds the mutex.
func (s *Store) compare(k Key, packed []byte, worker string) error {
	there, waits := s.waiting[k]
	if !waits {
		switch err := there.find(s.db, k); {
		case errors.Is(err, sql.ErrNoRows):
			return nil
		case err != nil:
			return s.judge(err)
		}
	}
	s.failed = there.must(k, packed, worker)
	return s.failed
}

// find reads what a result is compared with, and what an error says of it.
func (r *row) find(db interface {
	QueryRow(query string, args ...any) *sql.Row
}, k Key) error {
	return db.QueryRow("SELECT name, replication, result, coalesce(worker, '') FROM outcome WHERE key = ?", k[:]).
		Scan(&r.name, &r.replication, &r.result, &r.worker)
}

// must holds a result against the one that is kept.
func (r *row) must(k Key, packed []byte, worker string) error {
	if same(r.result, packed) {
		return nil
	}
	return fmt.Errorf("%w: replication %d of %s, key %s: %s made another result than %s", ErrDiffers, r.replication, r.name, k, maker(worker), maker(r.worker))
}

// maker names who ran a replication.
func maker(worker string) string {
	if worker == "" {
		return "this machine"
	}
	return worker
}

// Failure is a replication that was given up.
type Failure struct {
	Key         Key
	Works, Name string
	Seed        uint64
	Replication uint32
	Noted       string // when, RFC 3339 in UTC
	Reason      string
}

// fail writes down that a replication was given up.
func (s *Store) fail(f Failure) error {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	_, err := s.db.Exec("INSERT OR REPLACE INTO failure VALUES (?, ?, ?, ?, ?, ?, ?)",
		f.Key[:], f.Works, f.Name, int64(f.Seed), f.Replication, s.now().UTC().Format(time.RFC3339), f.Reason)
	return s.judge(err)
}

// Failures lists what was given up and has not come out since, in the order of
// works, seed and replication.
func (s *Store) Failures() ([]Failure, error) {
	if s.version < 2 {
		return nil, nil
	}
	rows, err := s.db.Query(`SELECT key, works, name, seed, replication, noted, reason FROM failure
		WHERE key NOT IN (SELECT key FROM outcome) ORDER BY works, seed, replication, key`)
	if err != nil {
		return nil, s.judge(err)
	}
	defer rows.Close()
	var all []Failure
	for rows.Next() {
		var f Failure
		var key []byte
		var seed int64
		if err := rows.Scan(&key, &f.Works, &f.Name, &seed, &f.Replication, &f.Noted, &f.Reason); err != nil {
			return nil, s.judge(err)
		}
		f.Key, f.Seed = Key(key), uint64(seed)
		all = append(all, f)
	}
	return all, s.judge(rows.Err())
}
