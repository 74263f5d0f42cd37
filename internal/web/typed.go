package web

import (
	"io/fs"
	"path"
	"time"

	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// typedInfo describes a text that is being typed.
type typedInfo struct{ of edited }

func (t typedInfo) Name() string       { return path.Base(t.of.name) }
func (t typedInfo) Size() int64        { return int64(len(t.of.text)) }
func (t typedInfo) Mode() fs.FileMode  { return 0o444 }
func (t typedInfo) ModTime() time.Time { return time.Time{} }
func (t typedInfo) IsDir() bool        { return false }
func (t typedInfo) Sys() any           { return nil }

// fault is a fault as the editor shows it.
type fault struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Warning bool   `json:"warning"`
	What    string `json:"what"`
	Hint    string `json:"hint"`
}

// judged is what is said of a text: its faults, and what it comes to if there is
// none.
func judged(faults []scenario.Fault, sum any) map[string]any {
	all := []fault{}
	for _, f := range faults {
		all = append(all, fault{f.File, f.Line, f.Col, f.Warning, f.What, f.Hint})
	}
	return map[string]any{"faults": all, "runs": sum != nil, "sum": sum}
}

// handOf is the estimate by hand of a works.
func handOf(file *scenario.File, p *plant.Plant) map[string]any {
	type department struct {
		Name     string  `json:"name"`
		Capacity float64 `json:"capacity"`
		Need     float64 `json:"need"`
		Unit     string  `json:"unit"`
		Load     float64 `json:"load"`
	}
	type value struct {
		Name  string  `json:"name"`
		Value float64 `json:"value"`
		Unit  string  `json:"unit"`
		How   string  `json:"how"`
	}
	departments, values := []department{}, []value{}
	for _, d := range p.Hand().Departments {
		if d.Load == d.Load && d.Load < 1e6 { // JSON has no infinity
			departments = append(departments, department{d.Name, d.Capacity, d.Need, d.Unit, d.Load})
		}
	}
	for _, v := range p.Hand().Values {
		values = append(values, value{v.Name, v.Value, v.Unit, v.How})
	}
	return map[string]any{"departments": departments, "values": values, "binding": p.Hand().Binding,
		"unmeasured": len(file.Unmeasured()), "weeks": p.Weeks(), "hash": file.Hash}
}

// questionIn tells what a question asks, nil if it cannot be asked.
func questionIn(a *scenario.Asked) any {
	if a == nil {
		return nil
	}
	options, futures := []string{}, []string{}
	for _, o := range a.Options {
		options = append(options, o.Name)
	}
	for _, f := range a.Futures {
		futures = append(futures, f.Name)
	}
	return map[string]any{"ask": a.Ask, "title": a.Title, "options": options, "futures": futures}
}
