package report

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"potbank/internal/proof"
)

// The document of a proof, an interface to other programs like that of an
// answer: keys are added, never renamed.
type jsonProof struct {
	Version    string      `json:"version"`
	Held       int         `json:"held"`
	Apply      int         `json:"apply"`
	Checks     []jsonCheck `json:"checks"`
	LawRuns    int         `json:"law_runs"`
	Equalities int64       `json:"equalities"`
	Caution    string      `json:"caution"`
}

// jsonCheck is one law or published value. Held is null where the check does
// not apply, and reason says why.
type jsonCheck struct {
	ID        string       `json:"id"`
	Topic     string       `json:"topic"`
	Inputs    string       `json:"inputs"`
	Quantity  string       `json:"quantity"`
	Expected  string       `json:"expected"`
	Got       string       `json:"got"`
	Held      *bool        `json:"held"`
	Power     string       `json:"power"`
	Tolerance string       `json:"tolerance"`
	Units     string       `json:"units"`
	Source    string       `json:"source"`
	HowKnown  string       `json:"how_known"`
	Path      string       `json:"path"`
	Reason    string       `json:"reason,omitempty"`
	Note      string       `json:"note,omitempty"`
	Figures   []jsonProven `json:"figures"`
}

// jsonProven is one figure; half_width and finds are shares of the value, and
// null where there is no chance in it.
type jsonProven struct {
	Name      string  `json:"name"`
	Expected  string  `json:"expected"`
	Got       string  `json:"got"`
	Held      bool    `json:"held"`
	HalfWidth *number `json:"half_width"`
	Finds     *number `json:"finds"`
}

// ProofJSON writes a proof as one JSON document with a newline at its end. The
// bytes depend on the program alone.
func ProofJSON(w io.Writer, r *proof.Report, version string) error {
	d := jsonProof{Version: version, LawRuns: r.Runs, Equalities: r.Equalities, Caution: ProofCaution, Checks: []jsonCheck{}}
	d.Held, d.Apply = r.Held()
	for _, c := range slices.Concat(r.Laws, r.Checks) {
		d.Checks = append(d.Checks, checkOf(&c))
	}
	text, err := json.MarshalIndent(d, "", "  ")
	if err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// checkOf copies a check.
func checkOf(c *proof.Check) jsonCheck {
	j := jsonCheck{
		ID: c.ID, Topic: c.Topic, Inputs: c.Inputs, Quantity: c.Quantity, Expected: c.Expected, Got: c.Got(),
		Tolerance: c.Tolerance, Units: c.Units, Source: c.Source, HowKnown: c.Known, Path: c.Path,
		Reason: c.Reason, Note: c.Note, Figures: []jsonProven{},
	}
	if c.Applies() {
		held := c.Held()
		j.Held, j.Power = &held, c.Power()
	}
	for _, f := range c.Figures {
		p := jsonProven{Name: f.Name, Expected: f.Want, Got: f.Got, Held: f.Held}
		if f.Random {
			half, finds := number(f.Half), number(f.Finds)
			p.HalfWidth, p.Finds = &half, &finds
		}
		j.Figures = append(j.Figures, p)
	}
	return j
}
