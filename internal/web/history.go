package web

import (
	"net/http"
	"slices"
	"strings"
)

// Asked is a command line that was asked before, perhaps from the terminal.
type Asked struct {
	Command string   `json:"command"`
	Files   []string `json:"files"` // by their names in the folder, or by their paths if they lie elsewhere
	Flags   []string `json:"flags"`
	At      string   `json:"at"`    // RFC 3339 in UTC
	Ended   string   `json:"ended"` // likewise; empty while it goes on, or if it was killed
	Code    int      `json:"code"`  // exit code, once it has ended
}

// line is the command line as one would type it in the folder.
func (a Asked) line() string {
	line := "potbank " + a.Command
	for _, name := range a.Files {
		line += " " + name
	}
	for _, f := range a.Flags {
		line += " " + quoted(f)
	}
	return line
}

// again tells whether the page may ask it once more.
func (a Asked) again(s *Server) bool {
	return slices.Contains(asked, a.Command) && len(a.Files) > 0 &&
		!slices.ContainsFunc(a.Files, func(name string) bool { _, err := s.load(name); return err != nil }) &&
		!slices.ContainsFunc(a.Flags, func(f string) bool { return !plainFlag.MatchString(f) })
}

// quoted is a flag as a shell takes it.
func quoted(flag string) string {
	if strings.ContainsAny(flag, " %\"'$&|<>()*?;") {
		return "'" + strings.ReplaceAll(flag, "'", `'\''`) + "'"
	}
	return flag
}

// history lists what was asked before, if it is kept.
func (s *Server) history(w http.ResponseWriter, _ *http.Request) {
	type row struct {
		Asked
		Line  string `json:"line"`
		Again bool   `json:"again"`
	}
	all := []row{}
	if s.History != nil {
		before, err := s.History()
		if err != nil {
			refuse(w, http.StatusServiceUnavailable, "the ledger cannot be read now: %s", err)
			return
		}
		for _, a := range before {
			all = append(all, row{a, a.line(), a.again(s)})
		}
	}
	reply(w, http.StatusOK, map[string]any{"kept": s.History != nil, "asked": all})
}
