package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// number is a float printed with ten significant digits: more than any
// interval allows, few enough that the same study gives the same bytes on
// machines that differ in the last bit. What is not a number is null.
type number float64

// MarshalJSON implements json.Marshaler.
func (n number) MarshalJSON() ([]byte, error) {
	v := float64(n)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return []byte("null"), nil
	}
	if v == 0 {
		v = 0 // no negative zero
	}
	return strconv.AppendFloat(nil, v, 'g', 10, 64), nil
}

// The document below is an interface to other programs: keys are added, never
// renamed or given another meaning.
//
// The first keys, up to audit, are those that any reader can count on; the
// rest is there for readers who want the whole answer. A value that does not
// exist, such as the interval of one replication, is null rather than left
// out, so that columns stay aligned when many documents are put side by side.
type jsonAnswer struct {
	Version      string          `json:"version"`
	Scenario     jsonScenario    `json:"scenario"`
	Seed         uint64          `json:"seed"`
	Replications int             `json:"replications"`
	Weeks        int             `json:"weeks"`
	WarmUpWeeks  int             `json:"warm_up_weeks"`
	Measures     []jsonMeasure   `json:"measures"`
	Hand         []jsonHand      `json:"hand"`
	Warnings     []string        `json:"warnings"`
	Audit        []jsonLaw       `json:"audit"`
	Partial      string          `json:"partial,omitempty"`
	Fixed        bool            `json:"fixed"`
	LongRun      *jsonLongRun    `json:"one_long_run,omitempty"` // left out: replications stand behind the figures
	Confidence   number          `json:"confidence"`
	Precision    jsonPrecision   `json:"precision"`
	WarmUp       jsonWarmUp      `json:"warm_up"`
	OneWeek      jsonRange       `json:"one_week"`
	CostLines    []jsonMeasure   `json:"cost_lines"`
	Departments  []jsonLoad      `json:"departments"`
	Binding      jsonBinding     `json:"binding"`
	Orders       []jsonOrder     `json:"orders"`
	Doubt        *jsonDoubt      `json:"doubt"`
	Unmeasured   []jsonUnmeasure `json:"unmeasured"`
	Pictures     jsonPictures    `json:"pictures"`
	Events       uint64          `json:"events"`
	Caution      string          `json:"caution"`
}

// jsonScenario names the file by its content: the same hash and seed give the
// same figures, whatever the file is called.
type jsonScenario struct {
	Name string `json:"name"`
	Hash string `json:"hash"`
}

// jsonLongRun is how one long run was cut into stretches that stand in for
// replications; n of a measure counts them.
type jsonLongRun struct {
	Stretches int `json:"stretches"`
	Weeks     int `json:"weeks"` // of one stretch
}

// jsonMeasure is one measure with its interval at the confidence of the
// document; sd is the spread of single replications about the mean.
type jsonMeasure struct {
	Name string `json:"name"`
	Unit string `json:"unit"`
	Mean number `json:"mean"`
	Low  number `json:"low"`
	High number `json:"high"`
	SD   number `json:"sd"`
	N    int    `json:"n"`
}

// jsonHand is the estimate by hand of the measure of the same name.
type jsonHand struct {
	Name      string `json:"name"`
	Unit      string `json:"unit"`
	Value     number `json:"value"`
	How       string `json:"how"`
	Explained string `json:"explained,omitempty"`
}

// jsonLaw is an exact law, with the equalities checked over all replications.
type jsonLaw struct {
	Law     string `json:"law"`
	Checked int64  `json:"checked"`
	Held    bool   `json:"held"`
}

// jsonPrecision is in shares of the value: 0.01 is one per cent.
type jsonPrecision struct {
	Wanted  number `json:"wanted"`
	Reached bool   `json:"reached"`
	Driver  string `json:"driver"`
	At      number `json:"at"`
}

// jsonWarmUp carries the week series from the empty works on, from which a
// reader can draw the picture that the cut was judged by.
type jsonWarmUp struct {
	Method string       `json:"method"`
	Series []jsonSeries `json:"series"`
}

// jsonSeries is one measure week by week, averaged over replications.
type jsonSeries struct {
	Name  string   `json:"name"`
	Unit  string   `json:"unit"`
	Weeks []number `json:"weeks"`
}

// jsonRange is a value between two ends.
type jsonRange struct {
	Mean number `json:"mean"`
	Low  number `json:"low"`
	High number `json:"high"`
}

// jsonLoad is one department by hand; load is in per cent, as the simulated
// loads among the measures are.
type jsonLoad struct {
	Name     string `json:"name"`
	Capacity number `json:"capacity"`
	Need     number `json:"need"`
	Unit     string `json:"unit"`
	Load     number `json:"load"`
	How      string `json:"how"`
}

// jsonBinding is the department that limits the works; resource is empty when
// none is near its capacity.
type jsonBinding struct {
	Resource string `json:"resource"`
	Load     number `json:"load"`
	Next     string `json:"next"`
	Sentence string `json:"sentence"`
	ByHand   string `json:"by_hand"`
}

// jsonOrder is when an order is finished; finished counts the replications, out
// of all, in which it was.
type jsonOrder struct {
	Name     string     `json:"name"`
	Ware     string     `json:"ware"`
	Quantity int        `json:"quantity"`
	Good     number     `json:"good"`
	Finished int        `json:"finished"`
	Of       int        `json:"of"`
	Dates    []jsonDate `json:"dates"`
	Due      *string    `json:"due"`
	InTime   jsonRange  `json:"in_time"`
	WorkDays number     `json:"working_days"`
}

// jsonDate is a date by which the order is finished with probability p. A date
// beyond the run is null: it is never extrapolated.
type jsonDate struct {
	P    number  `json:"p"`
	At   *string `json:"at"`
	Low  *string `json:"low"`
	High *string `json:"high"`
}

// jsonUnmeasure is a default that stands in for a measurement.
type jsonUnmeasure struct {
	Path  string `json:"path"`
	Value string `json:"value"`
}

// JSON writes the answer as one JSON document with a newline at its end.
// version is that of the program. The bytes depend on the answer alone: there
// is no clock time and no duration in them.
func JSON(w io.Writer, a *experiment.Answer, version string) error {
	text, err := json.MarshalIndent(documentOf(a, version), "", "  ")
	if err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// documentOf copies the answer into the shape of the document. Lists are never
// null, so that a reader may loop over them unseen.
func documentOf(a *experiment.Answer, version string) jsonAnswer {
	d := jsonAnswer{
		Version: version, Scenario: jsonScenario{a.Scenario.Name, a.Scenario.Hash},
		Seed: a.Seed, Replications: a.Replications, Weeks: a.Weeks, WarmUpWeeks: a.WarmUp.Weeks,
		Hand: []jsonHand{}, Warnings: append([]string{}, a.Warnings...), Audit: []jsonLaw{},
		Partial: a.Partial, Fixed: a.Fixed, Confidence: experiment.Level,
		Precision: jsonPrecision{number(a.Precision.Wanted), a.Precision.Reached, a.Precision.Driver, number(a.Precision.At)},
		WarmUp:    jsonWarmUp{a.WarmUp.Method, []jsonSeries{}},
		OneWeek:   rangeOf(a.OneWeek), Departments: []jsonLoad{},
		Binding: jsonBinding{a.Binding.Resource, number(a.Binding.Load), a.Binding.Next, a.Binding.Sentence, a.HandSays},
		Orders:  []jsonOrder{}, Unmeasured: []jsonUnmeasure{}, Events: a.Events, Caution: Caution,
	}
	if l := a.LongRun; l != nil {
		d.LongRun = &jsonLongRun{l.Stretches, l.Weeks}
	}
	d.Doubt, d.Pictures = doubtOf(a.Doubt), picturesOf(a)
	d.Measures, d.CostLines = figuresOf(a.Measures), figuresOf(a.CostLines)
	for _, h := range a.Hand {
		d.Hand = append(d.Hand, jsonHand{h.Name, h.Unit, number(h.Value), h.How, h.Explained})
	}
	for _, l := range a.Audit {
		d.Audit = append(d.Audit, jsonLaw{l.Law, l.Checked, l.Held()})
	}
	for _, s := range a.WarmUp.Series {
		d.WarmUp.Series = append(d.WarmUp.Series, seriesOf(s))
	}
	for _, l := range a.Loads {
		d.Departments = append(d.Departments, jsonLoad{l.Name, number(l.Capacity), number(l.Need), l.Unit, number(100 * l.Load), l.How})
	}
	for _, o := range a.Orders {
		d.Orders = append(d.Orders, orderOf(o))
	}
	for _, u := range a.Unmeasured {
		d.Unmeasured = append(d.Unmeasured, jsonUnmeasure(u))
	}
	return d
}

// figuresOf copies measures.
func figuresOf(figures []experiment.Figure) []jsonMeasure {
	list := []jsonMeasure{}
	for _, m := range figures {
		list = append(list, jsonMeasure{m.Name, m.Unit, number(m.Value), number(m.Low), number(m.High), number(m.SD), m.N})
	}
	return list
}

// rangeOf copies a value and its ends.
func rangeOf(e stats.Estimate) jsonRange {
	return jsonRange{number(e.Value), number(e.Low), number(e.High)}
}

// seriesOf copies one measure week by week.
func seriesOf(s experiment.Series) jsonSeries {
	series := jsonSeries{Name: s.Name, Unit: s.Unit, Weeks: []number{}}
	for _, v := range s.Weeks {
		series.Weeks = append(series.Weeks, number(v))
	}
	return series
}

// orderOf copies an order; a date beyond the run is null.
func orderOf(o experiment.Order) jsonOrder {
	j := jsonOrder{
		Name: o.Name, Ware: o.Ware, Quantity: o.Want, Good: number(o.Good),
		Finished: o.Finished, Of: o.Of, Dates: []jsonDate{},
		InTime: rangeOf(o.InTime), WorkDays: number(o.WorkDays),
	}
	if !o.Due.IsZero() {
		day := o.Due.Format(time.DateOnly)
		j.Due = &day
	}
	for _, d := range o.Dates {
		date := jsonDate{P: number(d.P), At: instant(d.At)}
		if d.HasInterval {
			date.Low, date.High = instant(d.Low), instant(d.High)
		}
		j.Dates = append(j.Dates, date)
	}
	return j
}

// instant prints a date and time of the works' own zone.
func instant(w experiment.When) *string {
	if w.Beyond {
		return nil
	}
	text := w.Civil.Format(time.RFC3339)
	return &text
}
