package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"

	"potbank/internal/decision"
	"potbank/internal/experiment"
)

// The document below is an interface to other programs, as jsonAnswer is.
type jsonTornado struct {
	Version      string       `json:"version"`
	Scenario     jsonScenario `json:"scenario"`
	Seed         uint64       `json:"seed"`
	Measure      string       `json:"measure"`
	Unit         string       `json:"unit"`
	Replications int          `json:"replications"`
	Confidence   number       `json:"confidence"` // of each interval by itself
	AsStated     jsonSwing    `json:"as_stated"`
	TurnsAt      number       `json:"turns_at"` // value of the measure at which the answer becomes another one; null: none
	Above        string       `json:"above,omitempty"`
	Below        string       `json:"below,omitempty"`
	Turns        string       `json:"turns,omitempty"` // in one sentence
	Bars         []jsonBar    `json:"bars"`            // the longest first
	Screened     []jsonEffect `json:"screened"`
	Screenings   int          `json:"screening_works"`
	Warnings     []string     `json:"warnings"`
	Caution      string       `json:"caution"`
}

// jsonInput is where an input is likely to lie, one chance in ten beyond either
// end.
type jsonInput struct {
	Path  string `json:"path"`
	Low   string `json:"low"`
	High  string `json:"high"`
	Rests string `json:"rests_on"`
}

// jsonSwing is a value or a difference with its interval; impossible says why
// there is none.
type jsonSwing struct {
	Mean       number `json:"mean"`
	Low        number `json:"low"`
	High       number `json:"high"`
	N          int    `json:"n"`
	Impossible string `json:"impossible,omitempty"`
}

type jsonBar struct {
	jsonInput
	AtLow  jsonSwing `json:"at_low"`
	AtHigh jsonSwing `json:"at_high"`
}

type jsonEffect struct {
	jsonInput
	Effect jsonSwing `json:"effect"` // of going from low to high
}

// TornadoJSON writes a tornado as one JSON document with a newline at its end;
// see JSON.
func TornadoJSON(w io.Writer, s experiment.Scenario, seed uint64, t *decision.Tornado, version string) error {
	d := jsonTornado{Version: version, Scenario: jsonScenario{s.Name, s.Hash}, Seed: seed, Measure: t.Name, Unit: t.Unit,
		Replications: t.Replications, Confidence: experiment.Level, TurnsAt: number(t.Turn.At), Above: t.Turn.Above, Below: t.Turn.Below, Turns: (&tornado{t}).turns(), AsStated: swingOf(decision.Swing{Estimate: t.AsStated}),
		Bars: []jsonBar{}, Screened: []jsonEffect{}, Screenings: t.Runs, Warnings: append([]string{}, t.Warnings...), Caution: Caution}
	for _, b := range t.Bars {
		d.Bars = append(d.Bars, jsonBar{jsonInput{b.Path, b.Low, b.High, b.Rests}, swingOf(b.AtLow), swingOf(b.AtHigh)})
	}
	for _, e := range t.Screened {
		d.Screened = append(d.Screened, jsonEffect{jsonInput{e.Path, e.Input.Low, e.Input.High, e.Rests}, swingOf(decision.Swing{Estimate: e.Estimate})})
	}
	text, err := json.MarshalIndent(d, "", "  ")
	if err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// swingOf copies a value; what cannot be had is null.
func swingOf(s decision.Swing) jsonSwing {
	if s.Impossible != "" {
		none := number(math.NaN())
		return jsonSwing{Mean: none, Low: none, High: none, Impossible: s.Impossible}
	}
	return jsonSwing{Mean: number(s.Value), Low: number(s.Low), High: number(s.High), N: s.N}
}
