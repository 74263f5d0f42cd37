package web

import (
	"fmt"
	"net/http"
	"time"

	"potbank/internal/experiment"
)

// mostWalk bounds the week looked at: all weeks before it have to be run.
const mostWalk = 104

// floor runs one replication up to a week and sends what its pieces did in that
// week. One at a time: it takes a processor for a second or two.
func (s *Server) floor(w http.ResponseWriter, r *http.Request) {
	var in struct {
		File        string `json:"file"`
		Replication uint32 `json:"replication"`
		Week        int    `json:"week"`
		Piece       uint64 `json:"piece"`
		Ware        string `json:"ware"` // of the tool that is suspected
		Case        int    `json:"case"`
		Mould       int    `json:"mould"`
	}
	if !take(w, r, &in) {
		return
	}
	file := s.works(w, in.File)
	if file == nil {
		return
	}
	ready, more := file.Plant()
	switch {
	case ready == nil:
		refuse(w, http.StatusUnprocessableEntity, "%s", more[0])
		return
	case in.Replication < 1 || in.Week < 1 || in.Week > min(mostWalk, ready.Weeks()):
		refuse(w, http.StatusBadRequest, "give a replication from 1 and a week from 1 to %d", min(mostWalk, ready.Weeks()))
		return
	}
	var tool experiment.Tool
	if in.Case > 0 || in.Mould > 0 {
		tool = experiment.Tool{Ware: in.Ware, Case: in.Case, Mould: in.Mould}
	}
	s.walking.Lock()
	defer s.walking.Unlock()
	f, err := experiment.LookAt(ready, experiment.FloorQuestion{
		Seed: uint64(file.Works.Run.Seed), Replication: in.Replication, Week: in.Week, Piece: in.Piece, Suspect: tool,
	})
	if err != nil {
		refuse(w, http.StatusUnprocessableEntity, "%s", err)
		return
	}
	reply(w, http.StatusOK, floorOf(f))
}

// floorOf is a week as the page reads it.
func floorOf(f *experiment.Floor) map[string]any {
	type moment struct {
		Step  int    `json:"step"`
		Kind  string `json:"kind"`
		Text  string `json:"text"`
		Piece uint64 `json:"piece"`
	}
	type step struct {
		At      string `json:"at"`
		Step    int    `json:"step"`
		Section string `json:"section"`
		Event   string `json:"event"`
		Where   string `json:"where"`
		Detail  string `json:"detail"`
	}
	moments, story := []moment{}, []step{}
	for _, m := range f.Moments {
		moments = append(moments, moment(m))
	}
	for _, e := range f.Story {
		story = append(story, step{e.At.Format("Mon 2 Jan 15:04"), e.Step, e.Section, e.Event, e.Where, e.Detail})
	}
	times := make([]string, len(f.Stock))
	for i := range times {
		times[i] = f.Start.Add(time.Duration(i+1) * time.Duration(f.Step) * time.Millisecond).Format("Mon 2 Jan 15:04")
	}
	return map[string]any{
		"start": fmt.Sprint(f.Start.Format("Mon 2 January 2006 15:04")), "times": times, "wares": f.Wares, "sections": f.Sections,
		"stock": f.Stock, "most": f.Most(), "moved": f.Moved, "kilns": f.Kilns, "fire": f.Fire, "suspect": f.Suspect, "escaped": f.Escaped, "packed": f.Packed, "lost": f.Lost, "fired": f.Fired, "moments": moments, "story": story,
	}
}
