package ledger

import (
	"fmt"

	"potbank/internal/plant"
)

// Group is the results of one works under one seed.
type Group struct {
	Works, Name string // hash of the works, and what it was called
	Seed        uint64
	Weeks       int
	Results     int
	First, Last string // when stored, RFC 3339 in UTC
	Bytes       int64
}

// List tells what the ledger holds, by works and seed, the newest last.
func (s *Store) List() ([]Group, error) {
	rows, err := s.db.Query(`SELECT works, name, seed, weeks, count(*), min(stored), max(stored), sum(length(result))
		FROM outcome GROUP BY works, name, seed, weeks ORDER BY max(stored), works, seed, weeks`)
	if err != nil {
		return nil, s.judge(err)
	}
	defer rows.Close()
	var all []Group
	for rows.Next() {
		var g Group
		var seed int64
		if err := rows.Scan(&g.Works, &g.Name, &seed, &g.Weeks, &g.Results, &g.First, &g.Last, &g.Bytes); err != nil {
			return nil, s.judge(err)
		}
		g.Seed = uint64(seed)
		all = append(all, g)
	}
	return all, s.judge(rows.Err())
}

// Holds is how many results the ledger has of the works with a hash, under a seed
// and of a length.
func (s *Store) Holds(works string, seed uint64, weeks int) (n int, err error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	err = s.db.QueryRow("SELECT count(*) FROM outcome WHERE works = ? AND seed = ? AND weeks = ?", works, int64(seed), weeks).Scan(&n)
	return n, s.judge(err)
}

// Stored is about how many bytes a result takes in the file of a ledger. Of a long
// row the table keeps the start, and pages of its own hold the rest but for 4
// bytes each; the table's own pages are two in three full, as keys come in no
// order.
// Source: https://www.sqlite.org/fileformat2.html, section 1.6, index b-tree with
// U = 4096: X = 1002, M = 489.
func Stored(r *plant.Result) int64 {
	const page, least, most, besides = 4096, 489, 1002, 270
	row := int64(len(Pack(r))) + besides
	kept := least + (row-least)%(page-4)
	switch {
	case row <= most:
		kept = row
	case kept > most:
		kept = least
	}
	return (row-kept+page-5)/(page-4)*page + kept*3/2
}

// Verify reads every result and compares it with its checksum, after SQLite has
// looked at the file itself. It returns how many are sound.
func (s *Store) Verify() (int, error) {
	var word string
	if err := s.db.QueryRow("PRAGMA integrity_check(1)").Scan(&word); err != nil {
		return 0, s.judge(err)
	}
	if word != "ok" {
		return 0, fmt.Errorf("%w: %s: %s", ErrDamaged, s.path, word)
	}
	rows, err := s.db.Query("SELECT key, result, checksum FROM outcome ORDER BY key")
	if err != nil {
		return 0, s.judge(err)
	}
	defer rows.Close()
	sound := 0
	for rows.Next() {
		var key, result, sum []byte
		if err := rows.Scan(&key, &result, &sum); err != nil {
			return sound, s.judge(err)
		}
		k := Key(key)
		if string(sum) != string(checksum(k, result)) {
			return sound, fmt.Errorf("%w: %s: the result %s does not match its checksum", ErrDamaged, s.path, k)
		}
		if _, err := Unpack(result); err != nil {
			return sound, fmt.Errorf("%w: %s: the result %s: %v", ErrDamaged, s.path, k, err)
		}
		sound++
	}
	return sound, s.judge(rows.Err())
}

// Forget drops the results of the works whose hash begins so, and gives their
// room back. It returns how many there were.
func (s *Store) Forget(works string) (int64, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	done, err := s.db.Exec("DELETE FROM outcome WHERE substr(works, 1, length(?1)) = ?1", works)
	if err == nil {
		_, err = s.db.Exec("DELETE FROM failure WHERE substr(works, 1, length(?1)) = ?1", works)
	}
	if err != nil {
		return 0, s.judge(err)
	}
	n, err := done.RowsAffected()
	if err == nil {
		_, err = s.db.Exec("VACUUM")
	}
	return n, s.judge(err)
}

// Export calls back with every result in a fixed order, by works, seed, weeks
// and replication: the same results give the same calls however they came in.
func (s *Store) Export(each func(g Group, replication uint32, key Key, encoded []byte) error) error {
	rows, err := s.db.Query("SELECT key, works, name, seed, weeks, replication, result FROM outcome ORDER BY works, seed, weeks, replication, key")
	if err != nil {
		return s.judge(err)
	}
	defer rows.Close()
	for rows.Next() {
		var g Group
		var key, result []byte
		var seed int64
		var replication uint32
		if err := rows.Scan(&key, &g.Works, &g.Name, &seed, &g.Weeks, &replication, &result); err != nil {
			return s.judge(err)
		}
		g.Seed = uint64(seed)
		b, err := inflate(result)
		if err == nil {
			err = each(g, replication, Key(key), b)
		}
		if err != nil {
			return err
		}
	}
	return s.judge(rows.Err())
}
