package report

import "potbank/internal/experiment"

// jsonDoubt splits the width of the answer into luck and inputs; null when the
// inputs were taken as known. Widths are halves of ranges at the confidence of
// the document, for one run.
type jsonDoubt struct {
	Draws       int               `json:"draws"`
	RunsPerDraw int               `json:"runs_per_draw"`
	Refused     int               `json:"refused"`
	Inputs      []jsonEvidence    `json:"inputs"`
	Measures    []jsonSpread      `json:"measures"`
	Orders      []jsonOrderSpread `json:"orders"`
	MeasureNext []jsonNext        `json:"measure_next"`
}

// jsonEvidence is one input and what it rests on.
type jsonEvidence struct {
	Path  string `json:"path"`
	Rests string `json:"rests_on"`
	Of    int    `json:"of"`
}

// jsonSpread is the width of one measure; unknown_share is of its variance.
type jsonSpread struct {
	Name    string    `json:"name"`
	Unit    string    `json:"unit"`
	Luck    number    `json:"luck"`
	Unknown number    `json:"unknown"`
	Range   jsonRange `json:"range"`
	Share   jsonRange `json:"unknown_share"`
}

// jsonOrderSpread is the width of an order's end, in days and as dates; a date
// beyond the run is null, as is the range of too few draws.
type jsonOrderSpread struct {
	jsonSpread
	Low  *string `json:"low"`
	High *string `json:"high"`
}

// jsonNext is one input that a measure hangs on, and its share of what is not
// known of it.
type jsonNext struct {
	Measure string `json:"measure"`
	Path    string `json:"path"`
	Share   number `json:"share"`
}

// doubtOf copies the doubt.
func doubtOf(d *experiment.Doubt) *jsonDoubt {
	if d == nil {
		return nil
	}
	j := &jsonDoubt{Draws: d.Draws, RunsPerDraw: d.Runs, Refused: d.Refused,
		Inputs: []jsonEvidence{}, Measures: []jsonSpread{}, Orders: []jsonOrderSpread{}, MeasureNext: []jsonNext{}}
	for _, e := range d.Evidence {
		j.Inputs = append(j.Inputs, jsonEvidence(e))
	}
	for _, m := range d.Measures {
		j.Measures = append(j.Measures, spreadOf(m))
	}
	for _, o := range d.Orders {
		order := jsonOrderSpread{jsonSpread: spreadOf(o.Spread)}
		if o.HasInterval {
			order.Low, order.High = instant(o.Low), instant(o.High)
		}
		j.Orders = append(j.Orders, order)
	}
	for _, c := range d.Next {
		j.MeasureNext = append(j.MeasureNext, jsonNext{c.Measure, c.Path, number(c.Share)})
	}
	return j
}

// spreadOf copies the width of one measure.
func spreadOf(s experiment.Spread) jsonSpread {
	return jsonSpread{s.Name, s.Unit, number(s.Luck), number(s.Inputs), rangeOf(s.Range), rangeOf(s.Share)}
}
