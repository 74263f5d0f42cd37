package ledger

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"time"
)

// Study is one command line that used the ledger.
type Study struct {
	ID     int64
	Args   []string // as typed
	Folder string   // in which it was typed
	Asked  string   // RFC 3339 in UTC
	Ended  string   // likewise; empty while it goes on, or if it was killed
	Code   int      // exit code, once it has ended
}

// Begin writes down that a command line begins, and returns its number. One that
// is there is taken up again instead of listed twice.
func (s *Store) Begin(args []string, folder string) (int64, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	text, err := json.Marshal(args)
	if err != nil {
		return 0, err
	}
	var id int64
	err = s.db.QueryRow("SELECT id FROM study WHERE args = ? AND folder = ? ORDER BY id DESC LIMIT 1", string(text), folder).Scan(&id)
	if err == nil {
		_, err = s.db.Exec("UPDATE study SET ended = NULL, code = NULL WHERE id = ?", id)
		return id, s.judge(err)
	}
	done, err := s.db.Exec("INSERT INTO study (args, folder, asked) VALUES (?, ?, ?)", string(text), folder, s.now().UTC().Format(time.RFC3339))
	if err != nil {
		return 0, s.judge(err)
	}
	id, err = done.LastInsertId()
	return id, s.judge(err)
}

// End writes down how a study ended.
func (s *Store) End(id int64, code int) error {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	_, err := s.db.Exec("UPDATE study SET ended = ?, code = ? WHERE id = ?", s.now().UTC().Format(time.RFC3339), code, id)
	return s.judge(err)
}

// Studies lists the command lines, the oldest first.
func (s *Store) Studies() ([]Study, error) {
	rows, err := s.db.Query("SELECT id, args, folder, asked, ended, code FROM study ORDER BY id")
	if err != nil {
		return nil, s.judge(err)
	}
	defer rows.Close()
	var all []Study
	for rows.Next() {
		var st Study
		var args string
		var ended sql.NullString
		var code sql.NullInt64
		if err := rows.Scan(&st.ID, &args, &st.Folder, &st.Asked, &ended, &code); err != nil {
			return nil, s.judge(err)
		}
		if err := json.Unmarshal([]byte(args), &st.Args); err != nil {
			return nil, fmt.Errorf("%w: %s: study %d: %v", ErrDamaged, s.path, st.ID, err)
		}
		st.Ended, st.Code = ended.String, int(code.Int64)
		all = append(all, st)
	}
	return all, s.judge(rows.Err())
}
