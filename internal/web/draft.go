package web

import (
	"net/http"
	"path"
	"strconv"

	"potbank/internal/draft"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// sheet sends the dozen questions for a kind of works.
func (s *Server) sheet(w http.ResponseWriter, r *http.Request) {
	sheet, err := draft.NewSheet(r.PathValue("kind"))
	if err != nil {
		refuse(w, http.StatusNotFound, "%s", err)
		return
	}
	type question struct {
		Key   string `json:"key"`
		Asks  string `json:"asks"`
		Usual string `json:"usual"`
		Unit  string `json:"unit"`
	}
	all := []question{}
	for _, q := range sheet.Questions() {
		all = append(all, question(q))
	}
	reply(w, http.StatusOK, map[string]any{"kinds": draft.Kinds, "questions": all})
}

// draftWorks writes a works from the answers, without storing it. Wrong answers
// are told all at once, each by its key.
func (s *Server) draftWorks(w http.ResponseWriter, r *http.Request) {
	var in struct {
		File    string            `json:"file"`
		Kind    string            `json:"kind"`
		Answers map[string]string `json:"answers"`
	}
	if !take(w, r, &in) {
		return
	}
	sheet, err := draft.NewSheet(in.Kind)
	if err != nil {
		refuse(w, http.StatusBadRequest, "%s", err)
		return
	}
	wrong := map[string]string{}
	for _, q := range sheet.Questions() {
		if err := sheet.Answer(q.Key, in.Answers[q.Key]); err != nil {
			wrong[q.Key] = err.Error()
		}
	}
	if !plainName.MatchString(in.File) {
		wrong["file"] = "a file is called like my-works.yaml"
	}
	if len(wrong) > 0 {
		reply(w, http.StatusOK, map[string]any{"wrong": wrong})
		return
	}
	text, err := sheet.Scenario(in.File, s.Now())
	if err != nil {
		refuse(w, http.StatusUnprocessableEntity, "%s", err)
		return
	}
	reply(w, http.StatusOK, map[string]any{"text": string(text), "wrong": wrong})
}

// works reads a scenario of the folder, or says why it cannot be asked about.
func (s *Server) works(w http.ResponseWriter, name string) *scenario.File {
	if _, err := s.load(name); err != nil {
		refuse(w, http.StatusNotFound, "there is no file %q", name)
		return nil
	}
	file, faults := scenario.ReadIn(s.root.FS(), name)
	if file == nil {
		refuse(w, http.StatusUnprocessableEntity, "%s", faults[0])
	}
	return file
}

// about tells what of a works the forms of questions offer to choose from.
func (s *Server) about(w http.ResponseWriter, r *http.Request) {
	file := s.works(w, r.PathValue("name"))
	if file == nil {
		return
	}
	type crew struct {
		Name  string   `json:"name"`
		Hours []string `json:"hours"`
		Heads int      `json:"heads"`
		Usual bool     `json:"usual"`
	}
	crews, wares, kilns := []crew{}, []string{}, []string{}
	for _, c := range draft.Crews(file.Works) {
		crews = append(crews, crew(c))
	}
	for i := range file.Works.Ware {
		wares = append(wares, file.Works.Ware[i].Name)
	}
	for i := range file.Works.Kilns {
		kilns = append(kilns, file.Works.Kilns[i].Name)
	}
	reply(w, http.StatusOK, map[string]any{"title": file.Works.Name, "start": file.Works.Start, "crews": crews, "wares": wares, "kilns": kilns})
}

// drafted is a question that a form can write.
type drafted interface {
	Question(w *plant.Works) ([]byte, error)
}

// draftQuestion writes a question about a works from the fields of a form,
// without storing it, or tells what of them is wrong.
func (s *Server) draftQuestion(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Ask     string    `json:"ask"`
		Base    string    `json:"base"`
		Title   string    `json:"title"`
		Weeks   int       `json:"weeks"`
		Crews   []string  `json:"crews"`
		By      string    `json:"by"`
		Premium [3]string `json:"premium"`
		Demand  string    `json:"demand"`
		Worth   string    `json:"worth"`
		Car     string    `json:"car"`
		Kiln    string    `json:"kiln"`
	}
	if !take(w, r, &in) {
		return
	}
	file := s.works(w, in.Base)
	if file == nil {
		return
	}
	base := "../" + in.Base // questions lie in a folder below
	if path.Dir(in.Base) != "." {
		refuse(w, http.StatusBadRequest, "a question is about a works at the top of the folder, not %s", in.Base)
		return
	}
	var q drafted = draft.Shifts{Base: base, Title: in.Title, Crews: in.Crews, By: in.By, Premium: in.Premium, Weeks: in.Weeks}
	switch in.Ask {
	case "compare":
	case "size":
		demand, _ := strconv.Atoi(in.Demand) // what is no number is refused as too little
		q = draft.Kilns{Base: base, Title: in.Title, Demand: demand, Worth: in.Worth, Car: in.Car, Kiln: in.Kiln, Weeks: in.Weeks}
	default:
		refuse(w, http.StatusBadRequest, "no form writes a question that asks %q", in.Ask)
		return
	}
	text, err := q.Question(file.Works)
	wrong := ""
	if err != nil {
		wrong = err.Error()
	}
	reply(w, http.StatusOK, map[string]any{"text": string(text), "wrong": wrong})
}
