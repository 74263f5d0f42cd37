package web

import (
	"net/http"

	"potbank/internal/scenario"
)

// change is one difference between two works in words.
type change struct {
	Path   string `json:"path"`
	Means  string `json:"means"`
	Before string `json:"before"`
	After  string `json:"after"`
	Says   string `json:"says"`
}

// optionChanges is what an option has otherwise than the works as it is.
type optionChanges struct {
	Name    string   `json:"name"`
	Changes []change `json:"changes"`
}

// changes tells in words how the options of a question, or works set beside one
// another, differ from the first.
func (s *Server) changes(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Files []string `json:"files"`
	}
	if !take(w, r, &in) {
		return
	}
	all := []optionChanges{}
	for i, name := range in.Files {
		text, err := s.load(name)
		if err != nil {
			refuse(w, http.StatusNotFound, "there is no file %q", name)
			return
		}
		switch {
		case describe(name, text).Question:
			all = append(all, s.changesOfQuestion(name)...)
		case i > 0:
			first, _ := scenario.ReadIn(s.root.FS(), in.Files[0])
			other, _ := scenario.ReadIn(s.root.FS(), name)
			if first != nil && other != nil { // a fault is told where the file is edited
				all = append(all, optionChanges{name, told(first, other)})
			}
		}
	}
	reply(w, http.StatusOK, map[string]any{"options": all})
}

// changesOfQuestion are those of every option in the first future.
func (s *Server) changesOfQuestion(name string) []optionChanges {
	asked, _ := scenario.ReadQuestionIn(s.root.FS(), name)
	if asked == nil {
		return nil
	}
	var all []optionChanges
	for i, o := range asked.Options[1:] {
		all = append(all, optionChanges{o.Name, told(asked.Works(0, 0), asked.Works(i+1, 0))})
	}
	return all
}

// told are the differences of b from a.
func told(a, b *scenario.File) []change {
	all := []change{}
	for _, t := range scenario.Tell(a, b) {
		all = append(all, change{t.Path, t.Means, t.Before, t.After, t.Says})
	}
	return all
}
