package main

import (
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// ask reads a question, and says every fault and warning on standard error.
func (p *program) ask(path string, asJSON bool) (*scenario.Asked, error) {
	asked, faults := scenario.ReadQuestion(path)
	p.say(faults, asJSON)
	if code := scenario.ExitCode(faults); code != 0 {
		return nil, &exit{code: code}
	}
	for option := range asked.Options {
		for future := range asked.Futures {
			p.recall(asked.Works(option, future))
		}
	}
	p.tables.inputs = values(asked.Works(0, 0))
	return asked, nil
}

// askAlone reads a question that was given alone: it names its own options, and
// has keys for what some flags say of a scenario.
func (p *program) askAlone(c *cobra.Command, paths, terms []string, asJSON bool) (*scenario.Asked, error) {
	if len(paths) > 1 {
		return nil, exitf(misused, "%s is a question and names its own options; hint: leave out %s", paths[0], strings.Join(paths[1:], " "))
	}
	for _, flag := range terms {
		if c.Flags().Changed(flag) {
			return nil, exitf(misused, "--%s goes with a scenario; hint: write it in the question %s", flag, paths[0])
		}
	}
	return p.ask(paths[0], asJSON)
}

// nameOf is a question as an answer names it: by its title, or by its works.
func nameOf(asked *scenario.Asked, works string) experiment.Scenario {
	title := asked.Title
	if title == "" {
		title = works
	}
	return experiment.Scenario{Name: title, Hash: asked.Hash, Path: asked.Path, Unmeasured: unmeasured(asked.Works(0, 0))}
}

// builtAll makes the plants of a question, and says all faults before it gives
// up; those that works share once.
func (p *program) builtAll(c *cobra.Command, asked *scenario.Asked, f *studyFlags) ([][]*plant.Plant, error) {
	if len(asked.Options) < 2 {
		return nil, p.refuse(f.json, asked.Wrong("ask", "", "add options: or grid:", "the question has no option"))
	}
	defer p.sayOnce()()
	var plants [][]*plant.Plant
	var refusal error
	for o := range asked.Options {
		var row []*plant.Plant
		for i := range asked.Futures {
			w, err := p.built(asked.Works(o, i), f.json, f.lengthen(c))
			if err != nil {
				refusal = err
				continue
			}
			row = append(row, w.plant)
		}
		plants = append(plants, row)
	}
	if refusal != nil {
		return nil, refusal
	}
	return plants, p.judged(asked, plants, f.json)
}

// judged refuses a question that judges by a measure which no option has.
func (p *program) judged(asked *scenario.Asked, plants [][]*plant.Plant, asJSON bool) error {
	var faults []scenario.Fault
	look := func(key, name string) {
		has := func(row []*plant.Plant) bool { m, _, _ := measureNamed(row[0], name); return m != nil }
		if !slices.ContainsFunc(plants, has) {
			_, what, hint := measureNamed(plants[0][0], name)
			faults = append(faults, asked.Wrong(key, name, hint, "%s", what))
		}
	}
	for _, name := range asked.Judge.By {
		look("judge.by", name)
	}
	for _, name := range slices.Sorted(maps.Keys(asked.Judge.AtLeast)) {
		look("judge.at-least", name)
	}
	for _, name := range slices.Sorted(maps.Keys(asked.Judge.AtMost)) {
		look("judge.at-most", name)
	}
	if faults == nil {
		return nil
	}
	return p.refuse(asJSON, faults...)
}

// sections show how the part begins that only one kind of question has.
var sections = map[string]string{
	"size":    "add size: {demand: 7200}",
	"promise": "add promise: {ware: pan, quantity: 10000}",
	"master":  "add master: with ware: and gates:",
}

// without refuses a question that lacks the part which the command is about.
func (p *program) without(asked *scenario.Asked, section string, asJSON bool) error {
	return p.refuse(asJSON, asked.Wrong("ask", "", sections[section], "the question has no %s section", section))
}

// refuse says faults, and ends a command that cannot go on because of them.
func (p *program) refuse(asJSON bool, faults ...scenario.Fault) error {
	p.say(faults, asJSON)
	return &exit{code: scenario.ExitCode(faults)}
}

// sayAll builds the plants of several works for their faults, those that they
// share said once.
func (p *program) sayAll(works []*scenario.File, asJSON bool) error {
	defer p.sayOnce()()
	var refusal error
	for _, f := range works {
		if _, err := p.built(f, asJSON, nil); err != nil {
			refusal = err
		}
	}
	return refusal
}
