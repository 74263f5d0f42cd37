package main

import (
	"encoding/json"
	"fmt"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// loaded is a scenario that was read, and the plant it describes.
type loaded struct {
	file  *scenario.File
	plant *plant.Plant
}

// load reads a scenario file and builds its plant. Every fault and warning is
// said on standard error, all at once; the error carries the code they ask
// for.
//
// With asJSON each fault is one JSON object on its line. change, if not nil,
// is what the command line changes of the works.
func (p *program) load(path string, asJSON bool, change func(*plant.Works)) (*loaded, error) {
	file, faults := scenario.Read(path)
	if file == nil {
		p.say(faults, asJSON)
		return nil, &exit{code: scenario.ExitCode(faults)}
	}
	return p.built(file, asJSON, change, faults...)
}

// built makes the plant of a file that was read. Faults found before are said
// with those of the plant, all at once.
func (p *program) built(file *scenario.File, asJSON bool, change func(*plant.Works), faults ...scenario.Fault) (*loaded, error) {
	if change != nil {
		change(file.Works)
	}
	p.noteRead(file)
	p.recall(file)
	ready, more := file.Plant()
	faults = append(faults, more...)
	p.say(faults, asJSON)
	if code := scenario.ExitCode(faults); code != 0 {
		return nil, &exit{code: code}
	}
	if ready == nil {
		return nil, exitf(ownFault, "%s: neither a plant nor a fault", file.Path)
	}
	if p.tables.inputs == nil {
		p.tables.inputs = values(file) // of several, the works as it is comes first
	}
	return &loaded{file, ready}, nil
}

// say says faults on standard error.
func (p *program) say(faults []scenario.Fault, asJSON bool) {
	if asJSON {
		p.faultsAsJSON(faults)
	} else {
		fmt.Fprint(p.err, scenario.Faults(faults))
	}
}

// faultsAsJSON says every fault as one JSON object a line.
func (p *program) faultsAsJSON(faults []scenario.Fault) {
	lines := json.NewEncoder(p.err)
	for _, f := range faults {
		kind := "error"
		if f.Warning {
			kind = "warning"
		}
		lines.Encode(map[string]any{"file": f.File, "line": f.Line, "column": f.Col, "kind": kind, "what": f.What, "hint": f.Hint})
	}
}

// scenario names the file in an answer.
func (l *loaded) scenario() experiment.Scenario {
	return experiment.Scenario{Name: l.file.Works.Name, Hash: l.file.Hash, Path: l.file.Path, Unmeasured: unmeasured(l.file)}
}

// unmeasured lists the values of the file that are defaults.
func (l *loaded) unmeasured() []experiment.Assumption { return unmeasured(l.file) }

func unmeasured(file *scenario.File) []experiment.Assumption {
	var list []experiment.Assumption
	for _, o := range file.Unmeasured() {
		list = append(list, experiment.Assumption{Path: o.Path, Value: o.Text})
	}
	return list
}
