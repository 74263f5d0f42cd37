package report

import (
	"encoding/json"
	"fmt"
	"io"

	"potbank/internal/experiment"
)

// The document below is an interface to other programs, as jsonAnswer is: keys
// are added, never renamed. Lists by option are in the order of options; the
// first option is what the others are compared with, and has no difference
// (null).
type jsonComparison struct {
	Version     string         `json:"version"`
	Seed        uint64         `json:"seed"`
	Weeks       int            `json:"weeks"`
	WarmUpWeeks int            `json:"warm_up_weeks"`
	Fixed       bool           `json:"fixed"`
	Partial     string         `json:"partial,omitempty"`
	Confidence  number         `json:"confidence"` // of all differences of one measure together
	Options     []jsonOption   `json:"options"`
	Measures    []jsonContrast `json:"measures"` // the one that decides first
	Choice      jsonChoice     `json:"choice"`
	Certified   *jsonCertified `json:"certified"` // null where the first option is as good, or nothing was certified
	Warnings    []string       `json:"warnings"`
	Caution     string         `json:"caution"`
}

// jsonOption is one option: its file, what differs in it, and every measure of
// its own replications.
type jsonOption struct {
	Name         string        `json:"name"`
	Scenario     jsonScenario  `json:"scenario"`
	Replications int           `json:"replications"`
	Changes      []jsonChange  `json:"changes"`
	Measures     []jsonMeasure `json:"measures"`
	OneWeek      jsonRange     `json:"one_week"` // of packed.total: where a single week lies, not the mean
	Audit        []jsonLaw     `json:"audit"`
}

// jsonCertified is the chosen option less the first on replications that were
// not used to choose.
type jsonCertified struct {
	Measure      string    `json:"measure"`
	Replications int       `json:"replications"`
	Chosen       jsonRange `json:"chosen"`
	First        jsonRange `json:"first"`
	Difference   jsonRange `json:"difference"`
	Verdict      string    `json:"verdict"`
	Partial      string    `json:"partial,omitempty"`
}

// jsonChange is a value that is not as in the first option; null where it is not
// there.
type jsonChange struct {
	Path   string  `json:"path"`
	Before *string `json:"before"`
	After  *string `json:"after"`
}

// jsonContrast is one measure; better is less, more, or neither.
type jsonContrast struct {
	Name        string            `json:"name"`
	Unit        string            `json:"unit"`
	Better      string            `json:"better"`
	Matters     number            `json:"matters"` // smallest difference that does
	Differences []*jsonDifference `json:"differences"`
}

// jsonDifference is an option less the first. variance_factor is the variance
// of the difference against that of independent runs.
type jsonDifference struct {
	Mean           number `json:"mean"`
	Low            number `json:"low"`
	High           number `json:"high"`
	N              int    `json:"n"`
	Relative       number `json:"relative"` // 0.01 is one per cent
	Correlation    number `json:"correlation"`
	VarianceFactor number `json:"variance_factor"`
	Verdict        string `json:"verdict"` // better, worse, more, less, alike, no evidence; empty without interval
}

// jsonChoice is the best by the first measure. best is null when there is
// nothing to measure; not decided, it is the option ahead. guaranteed says that
// the confidence holds for the choice.
type jsonChoice struct {
	Measure    string         `json:"measure"`
	Method     string         `json:"method"`
	First      int            `json:"first_stage"`
	Budget     int            `json:"budget,omitempty"`
	Best       *string        `json:"best"`
	Decided    bool           `json:"decided"`
	Guaranteed bool           `json:"guaranteed"`
	InRace     []string       `json:"in_race"`
	Required   []int          `json:"required,omitempty"` // rinott: replications by option
	Standings  []jsonStanding `json:"standings"`
}

// jsonStanding is how sure one can be of an option: a probability, and the
// expected regret in the measure's unit.
type jsonStanding struct {
	Option string `json:"option"`
	Best   number `json:"best_probability"`
	Regret number `json:"regret"`
}

// ComparisonJSON writes a comparison as one JSON document with a newline at its
// end; see JSON.
func ComparisonJSON(w io.Writer, r *experiment.Comparison, version string) error {
	text, err := json.MarshalIndent(comparisonOf(r, version), "", "  ")
	if err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// comparisonOf copies a comparison into the shape of the document.
func comparisonOf(r *experiment.Comparison, version string) jsonComparison {
	d := jsonComparison{
		Version: version, Seed: r.Seed, Weeks: r.Weeks, WarmUpWeeks: r.WarmUp.Weeks, Fixed: r.Fixed,
		Partial: r.Partial, Confidence: experiment.Level, Options: []jsonOption{}, Measures: []jsonContrast{},
		Choice: choiceOf(r), Warnings: append([]string{}, r.Warnings...), Caution: Caution,
	}
	for _, o := range r.Options {
		j := jsonOption{
			Name: o.Name, Scenario: jsonScenario{o.Answer.Scenario.Name, o.Answer.Scenario.Hash},
			Replications: o.Answer.Replications, Changes: []jsonChange{},
			Measures: figuresOf(o.Answer.Measures), OneWeek: rangeOf(o.Answer.OneWeek), Audit: []jsonLaw{},
		}
		for _, c := range o.Changes {
			j.Changes = append(j.Changes, jsonChange{c.Path, orNull(c.Before), orNull(c.After)})
		}
		for _, l := range o.Answer.Audit {
			j.Audit = append(j.Audit, jsonLaw{l.Law, l.Checked, l.Held()})
		}
		d.Options = append(d.Options, j)
	}
	for _, m := range r.Measures {
		d.Measures = append(d.Measures, contrastOf(m))
	}
	if c := r.Certified; c != nil {
		d.Certified = &jsonCertified{c.Measure, c.Replications, rangeOf(c.Chosen), rangeOf(c.Than), rangeOf(c.Difference), string(r.FreshVerdict), c.Partial}
	}
	return d
}

// orNull is null for an empty text.
func orNull(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}

// contrastOf copies one measure across the options.
func contrastOf(m experiment.Contrast) jsonContrast {
	j := jsonContrast{
		Name: m.Name, Unit: m.Unit, Matters: number(m.Margin), Differences: []*jsonDifference{},
		Better: map[experiment.Direction]string{experiment.Less: "less", experiment.More: "more", experiment.Neither: "neither"}[m.Way],
	}
	for i, x := range m.Differences {
		if i == 0 {
			j.Differences = append(j.Differences, nil)
			continue
		}
		j.Differences = append(j.Differences, &jsonDifference{
			Mean: number(x.Value), Low: number(x.Low), High: number(x.High), N: x.N, Relative: number(x.Relative),
			Correlation: number(x.Correlation), VarianceFactor: number(x.VarianceFactor), Verdict: string(x.Verdict),
		})
	}
	return j
}

// choiceOf copies the choice.
func choiceOf(r *experiment.Comparison) jsonChoice {
	c := r.Choice
	j := jsonChoice{
		Measure: c.Measure, Method: string(c.Method), First: c.First, Budget: c.Budget,
		Decided: c.Decided, Guaranteed: c.Guaranteed(), InRace: []string{}, Required: c.Required, Standings: []jsonStanding{},
	}
	if c.Best >= 0 {
		j.Best = &r.Options[c.Best].Name
	}
	for _, i := range c.InRace {
		j.InRace = append(j.InRace, r.Options[i].Name)
	}
	for i, s := range r.Standings {
		j.Standings = append(j.Standings, jsonStanding{r.Options[i].Name, number(s.Best.Value), number(s.Loss.Value)})
	}
	return j
}
