package report

import (
	"fmt"
	"strings"

	"potbank/internal/ledger"
)

// LedgerDocument lays out what a ledger holds, and what was given up.
func LedgerDocument(path string, studies []ledger.Study, groups []ledger.Group, failures []ledger.Failure) Document {
	d := Document{Title: "What " + path + " holds"}
	s := &Table{Columns: []Column{{Head: "Study"}, {Head: "Command line", Text: true, Wide: 50}, {Head: "Asked, UTC", Text: true}, {Head: "Ended", Text: true, Wide: 18}}}
	for _, st := range studies {
		s.add(fmt.Sprint(st.ID), "potbank "+strings.Join(st.Args, " "), minute(st.Asked), ending(st))
	}
	g := &Table{Columns: []Column{{Head: "Works", Text: true, Wide: 26}, {Head: "Hash", Text: true}, {Head: "Seed"}, {Head: "Weeks"}, {Head: "Results"}, {Head: "kB"}, {Head: "Last stored, UTC", Text: true}}}
	total := 0
	for _, x := range groups {
		total += x.Results
		g.add(x.Name, shortHash(x.Works), fmt.Sprint(x.Seed), fmt.Sprint(x.Weeks), count(int64(x.Results)), count((x.Bytes+1023)/1024), minute(x.Last))
	}
	d.add(Part{Heading: "Studies", Table: s, After: []string{"A study that has not ended goes on where it was: potbank runs resume LEDGER STUDY, or the same command again."}},
		Part{Heading: fmt.Sprintf("Results: %s", count(int64(total))), Table: g})
	if len(failures) > 0 {
		f := &Table{Columns: []Column{{Head: "Works", Text: true, Wide: 26}, {Head: "Replication"}, {Head: "Seed"}, {Head: "Noted, UTC", Text: true}, {Head: "Why", Text: true, Wide: 50}}}
		for _, x := range failures {
			f.add(x.Name, fmt.Sprint(x.Replication), fmt.Sprint(x.Seed), minute(x.Noted), x.Reason)
		}
		d.add(Part{Heading: "Given up", Table: f, After: []string{"They are tried again when a study asks for them again."}})
	}
	return d
}

// minute is a time to the minute.
func minute(rfc3339 string) string {
	if len(rfc3339) < len("2006-01-02T15:04") {
		return missing
	}
	return strings.Replace(rfc3339[:len("2006-01-02T15:04")], "T", " ", 1)
}

// ending says how a study ended.
func ending(s ledger.Study) string {
	switch {
	case s.Ended == "":
		return "not yet"
	case s.Code == 0:
		return minute(s.Ended)
	}
	return fmt.Sprintf("with exit %d", s.Code)
}
