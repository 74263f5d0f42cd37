package report

import (
	"encoding/json"
	"fmt"
	"io"

	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// The document below is an interface to other programs, as jsonAnswer is. Money
// is in the currency named, for one fault where nothing else is said.
type jsonMaster struct {
	Version        string       `json:"version"`
	Scenario       jsonScenario `json:"scenario"`
	Seed           uint64       `json:"seed"`
	Title          string       `json:"title"`
	Ware           string       `json:"ware"`
	Node           string       `json:"node"`
	Born           string       `json:"born"`
	Shows          number       `json:"shows"`
	PerYear        number       `json:"faults_per_year"`
	Currency       string       `json:"currency"`
	Weeks          int          `json:"weeks"`
	Replications   int          `json:"replications"`
	Redraws        int          `json:"redraws"`
	Certified      int          `json:"certified_replications"`
	Partial        string       `json:"partial,omitempty"`
	Recommendation string       `json:"recommendation"`
	Flips          []string     `json:"flips"`
	Confidence     number       `json:"confidence"`
	Constraint     string       `json:"constraint"`
	Gates          []jsonGate   `json:"gates"`
	Steps          []jsonStep   `json:"changes"`
	Traces         []jsonTrace  `json:"trace_levels"`
	Release        *jsonRelease `json:"release_check"`
	Pilot          *jsonRelease `json:"pilot"`
	Pulled         []jsonPulled `json:"pulled_today"`
	Orders         []jsonLate   `json:"orders"`
	True           number       `json:"alarm_true_probability"`
	StopAt         number       `json:"stop_at_probability"`
	Warnings       []string     `json:"warnings"`
	Caution        string       `json:"caution"`
}

// jsonMoney is a figure with its interval and the number of values behind it.
type jsonMoney struct {
	Value number `json:"value"`
	Low   number `json:"low"`
	High  number `json:"high"`
	N     int    `json:"n"`
}

func moneyOf(e stats.Estimate) jsonMoney {
	return jsonMoney{number(e.Value), number(e.Low), number(e.High), e.N}
}

type jsonGate struct {
	Name     string            `json:"name"`
	InUse    bool              `json:"in_use"`
	Cost     jsonMoney         `json:"cost"`
	P50      jsonMoney         `json:"p50"`
	P95      jsonMoney         `json:"p95"`
	CVaR     jsonMoney         `json:"cvar95"`
	Parts    map[string]number `json:"parts"`
	Days     map[string]number `json:"days_after_first_bad_cast"`
	Casts    number            `json:"bad_casts"`
	Moulds   number            `json:"moulds_broken"`
	Shipped  number            `json:"faulty_shipped"`
	Returned number            `json:"returned"`
	Lost     jsonMoney         `json:"good_pieces_lost"`
	Escape   number            `json:"escape_probability"`
	Running  number            `json:"running_per_year"`
	Year     number            `json:"cost_per_year"`
	Even     number            `json:"worth_it_from_faults_per_year"`
	Hand     map[string]number `json:"hand"`
	Replayed number            `json:"mean_of_replays"`
	Gap      jsonMoney         `json:"runs_less_replays"` // with the same luck of inspection
}

type jsonStep struct {
	Gate    string    `json:"gate"`
	From    number    `json:"inspects_now"`
	To      number    `json:"inspects_then"`
	Saves   jsonMoney `json:"saves"`
	Tail    number    `json:"saves_cvar95"`
	Running number    `json:"costs_per_year"`
	Year    jsonMoney `json:"gains_per_year"`
	Even    number    `json:"pays_from_faults_per_year"`
	Formula number    `json:"closed_form_fraction"`
	Floor   number    `json:"no_fraction_removes"`
	False   number    `json:"false_alarms_per_year"`
}

type jsonTrace struct {
	Level   string    `json:"level"`
	InUse   bool      `json:"in_use"`
	By      string    `json:"counted_by"`
	Faults  int       `json:"alarm_at"`
	Cost    jsonMoney `json:"cost"`
	Saves   jsonMoney `json:"saves"`
	Works   number    `json:"suspects_in_works"`
	Store   number    `json:"suspects_in_store"`
	Shipped number    `json:"suspects_shipped"`
	Good    number    `json:"good_among_works_and_store"`
	Moulds  number    `json:"moulds"`
	Allowed number    `json:"false_alarms_per_year_allowed"`
}

// jsonPulled is what is taken out in one section, means.
type jsonPulled struct {
	Section string `json:"section"`
	Pieces  number `json:"pieces"`
	Value   number `json:"value"`
}

// jsonLate is the days by which an order is later, by gate in their order.
type jsonLate struct {
	Name string   `json:"name"`
	Days []number `json:"days_later"`
}

// jsonRelease is a check before a release.
type jsonRelease struct {
	Finds   number `json:"finds"`
	Saves   number `json:"saves"`
	Running number `json:"costs_per_year"`
	Year    number `json:"gains_per_year"`
	Even    number `json:"pays_from_faults_per_year"`
}

// MasterJSON writes an answer as one JSON document with a newline at its end;
// version is that of the program.
func MasterJSON(w io.Writer, s experiment.Scenario, a *decision.MasterAnswer, version string) error {
	doc := jsonMaster{
		Version: version, Scenario: jsonScenario{Name: s.Name, Hash: s.Hash}, Seed: a.Seed,
		Title: a.Title, Ware: a.Ware, Node: a.Node, Born: a.Born, Shows: number(a.Shows), PerYear: number(a.PerYear), Currency: a.Currency,
		Weeks: a.Weeks, Replications: a.Replications, Redraws: a.Redraws, Certified: a.Certified, Partial: a.Partial,
		Recommendation: a.Recommendation, Flips: append([]string{}, a.Flips...), Confidence: experiment.Level, Constraint: a.Constraint,
		Pulled: []jsonPulled{}, Orders: []jsonLate{}, True: number(a.True), StopAt: number(a.StopAt),
		Gates: []jsonGate{}, Steps: []jsonStep{}, Traces: []jsonTrace{}, Release: releaseOf(a.Release), Pilot: releaseOf(a.Pilot),
		Warnings: append([]string{}, a.Warnings...), Caution: Caution,
	}
	for _, r := range a.Rows {
		doc.Gates = append(doc.Gates, gateOf(r))
	}
	for _, s := range a.Steps {
		doc.Steps = append(doc.Steps, jsonStep{s.Gate, number(s.From), number(s.To), moneyOf(s.Saves), number(s.Tail), number(s.Running),
			moneyOf(s.Year), number(s.Even), number(s.Formula), number(s.Floor), number(s.False)})
	}
	for _, r := range a.Traces {
		doc.Traces = append(doc.Traces, jsonTrace{r.Level, r.InUse, r.By, r.Faults, moneyOf(r.Cost), moneyOf(r.Saves),
			number(r.Works), number(r.Store), number(r.Shipped), number(r.Good), number(r.Moulds), number(r.Limit)})
	}
	for _, r := range a.Pulled {
		doc.Pulled = append(doc.Pulled, jsonPulled{r.Section, number(r.Pieces), number(r.Value)})
	}
	for _, o := range a.Orders {
		late := jsonLate{Name: o.Name, Days: []number{}}
		for _, d := range o.Days {
			late.Days = append(late.Days, number(d))
		}
		doc.Orders = append(doc.Orders, late)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	if err := e.Encode(doc); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	return nil
}

func releaseOf(c *decision.CheckWorth) *jsonRelease {
	if c == nil {
		return nil
	}
	return &jsonRelease{number(c.Finds), number(c.Saves), number(c.Running), number(c.Year), number(c.Even)}
}

func gateOf(r decision.GateRow) jsonGate {
	g := jsonGate{
		Name: r.Name, InUse: r.InUse, Cost: moneyOf(r.Cost), P50: moneyOf(r.P50), P95: moneyOf(r.P95), CVaR: moneyOf(r.CVaR),
		Parts: map[string]number{}, Casts: number(r.Casts), Moulds: number(r.Moulds), Shipped: number(r.Shipped), Returned: number(r.Returned),
		Lost: moneyOf(r.Lost), Escape: number(r.Escape), Running: number(r.Running), Year: number(r.Year), Even: number(r.Even),
		Days: map[string]number{
			"seen": number(r.Times.Seen), "alarm": number(r.Times.Alarm), "stop": number(r.Times.Stop),
			"released": number(r.Times.Released), "refilled": number(r.Times.Refilled),
		},
		Hand:     map[string]number{"casts": number(r.Hand.Casts), "cost": number(r.Hand.Cost), "lag": number(r.Hand.Lag)},
		Replayed: number(r.Replayed), Gap: moneyOf(r.Gap),
	}
	for k, part := range r.Parts.Parts() {
		g.Parts[decision.MasterParts[k]] = number(part)
	}
	return g
}
