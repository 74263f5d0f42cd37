package report

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// The document below is an interface to other programs, as jsonAnswer is: keys
// are added, never renamed. Options are in their order, the works as it is first.
type jsonCompared struct {
	Version     string              `json:"version"`
	Question    jsonScenario        `json:"question"`
	Seed        uint64              `json:"seed"`
	Weeks       int                 `json:"weeks"`
	WarmUpWeeks int                 `json:"warm_up_weeks"`
	Fixed       bool                `json:"fixed"`
	Partial     string              `json:"partial,omitempty"`
	Confidence  number              `json:"confidence"`
	By          string              `json:"by"`
	Unit        string              `json:"unit"`
	Matters     number              `json:"matters"`
	Currency    string              `json:"currency"`
	Best        string              `json:"best"`
	Met         bool                `json:"limits_kept"`
	Decided     bool                `json:"decided"`
	Sentence    string              `json:"sentence"`
	Paper       string              `json:"paper"` // how the estimate by hand and the simulation differ, in words
	Certified   *jsonFresh          `json:"certified"`
	Limits      []jsonLimit         `json:"limits"`             // what must hold, in the order of the options' probabilities
	Service     number              `json:"service"`            // probability with which
	PaperBest   string              `json:"paper_best"`         // by hand; empty: none that it can tell
	MainFuture  string              `json:"main_future"`        // of crews, kilns, windows and pours
	RulesFrom   string              `json:"rules_from"`         // source of the rules on working time
	Serves      string              `json:"not_beaten_service"` // what stands for service among those not beaten
	Turns       string              `json:"turns"`              // what turns the answer, in one sentence
	Futures     []jsonProspect      `json:"futures"`
	Options     []jsonPattern       `json:"options"`
	Measures    []jsonWeighed       `json:"measures"`
	Pareto      []string            `json:"not_beaten"`
	Flips       []jsonComparedFlip  `json:"flips"`
	Trials      []jsonComparedTrial `json:"trials"`
	Warnings    []string            `json:"warnings"`
	Caution     string              `json:"caution"`
}

// jsonFresh is the choice on replications that were not used to make it.
type jsonFresh struct {
	Than         string    `json:"than"`
	Replications int       `json:"replications"`
	Chosen       jsonRange `json:"chosen"`
	Base         jsonRange `json:"base"`
	Difference   jsonRange `json:"difference"`
	Verdict      string    `json:"verdict"`

	Limits            []jsonRange `json:"limits"` // probability that each holds, in the order of the options' limits
	LimitReplications int         `json:"limit_replications"`
}

// jsonLimit is what a measure must not be below or above; null where there is
// none.
type jsonLimit struct {
	Measure string `json:"measure"`
	Least   number `json:"least"`
	Most    number `json:"most"`
}

// jsonLimitsOf copies limits.
func jsonLimitsOf(limits []decision.Limit) []jsonLimit {
	all := []jsonLimit{}
	for _, l := range limits {
		all = append(all, jsonLimit{l.Measure, number(l.Least), number(l.Most)})
	}
	return all
}

type jsonProspect struct {
	Name   string `json:"name"`
	Weight number `json:"weight"`
}

// jsonPattern is one option. The mean of good pieces has an interval of
// confidence; single weeks are a range of their own.
type jsonPattern struct {
	Name         string           `json:"name"`
	Replications int              `json:"replications"`
	Eligible     bool             `json:"eligible"`
	Good         jsonRange        `json:"good_mean"`
	SingleWeek   jsonQuantiles    `json:"good_single_week"`
	Cost         jsonRange        `json:"cost_per_good"`
	LeadP95      jsonRange        `json:"lead_time_p95"`
	Late         jsonRange        `json:"window_late"`
	TooDry       jsonRange        `json:"window_too_dry"`
	OnTime       jsonRange        `json:"orders_in_time"`
	Limits       []jsonRange      `json:"limits"` // probability that each holds
	Paid         number           `json:"hours_paid"`
	Night        number           `json:"hours_night"`
	People       number           `json:"people"`
	Premiums     number           `json:"premiums_per_week"`
	Best         number           `json:"best_probability"`
	Regret       number           `json:"regret"`
	RegretIn     []number         `json:"regret_by_future"`
	PaperGood    number           `json:"paper_good"`
	PaperCost    number           `json:"paper_cost_per_good"`
	PaperLoad    number           `json:"paper_load_of_finishers"` // share
	Growth       string           `json:"growth,omitempty"`
	Why          string           `json:"why"`
	Crews        []jsonCrewUse    `json:"crews"`
	Kilns        []jsonKilnUse    `json:"kilns_without_ware"`
	Windows      []jsonWindowNeed `json:"windows"`
	Pours        []jsonPour       `json:"pours"`
	Staircases   []jsonStand      `json:"staircases"`
	Breaches     []jsonBreach     `json:"rule_breaches"`
	Unchecked    []string         `json:"hours_not_checked"`
	Changes      []jsonChange     `json:"changes"`
}

type jsonQuantiles struct {
	P5  number `json:"p5"`
	P50 number `json:"p50"`
	P95 number `json:"p95"`
	N   int    `json:"weeks"`
}

// jsonCrewUse has shares of the hours attended, 0 to 1.
type jsonCrewUse struct {
	Name    string `json:"name"`
	Paid    number `json:"hours_paid"`
	Night   number `json:"hours_night"`
	Working number `json:"working"`
	Change  number `json:"changing"`
	NoWork  number `json:"no_work"`
	Waiting number `json:"waiting"`
	Blocked number `json:"blocked"`
}

type jsonKilnUse struct {
	Kiln  string    `json:"kiln"`
	Share jsonRange `json:"percent"`
}

type jsonWindowNeed struct {
	Ware  string `json:"ware"`
	From  string `json:"from"`
	To    string `json:"to"`
	Need  number `json:"needed"`
	There number `json:"there"`
	Least number `json:"fewest"`
}

type jsonPour struct {
	Ware   string    `json:"ware"`
	Hour   int       `json:"hour"`
	Poured number    `json:"poured_per_week"`
	Missed jsonRange `json:"missed"` // share, 0 to 1
	N      int       `json:"n"`
}

type jsonStand struct {
	Bench string      `json:"bench"`
	Ware  string      `json:"ware"`
	Steps []jsonStair `json:"steps"`
	Hours number      `json:"hours"`
	Casts number      `json:"casts"`
	Need  number      `json:"hours_needed"`
}

type jsonStair struct {
	Hours number `json:"hours"`
	Casts number `json:"casts"`
}

type jsonBreach struct {
	Who   string `json:"hours"`
	Rule  string `json:"rule"`
	Limit string `json:"limit"`
	Worst string `json:"worst"`
	Times int    `json:"times"`
	First string `json:"first"`
}

// jsonWeighed is one measure: levels by option, and differences from the first.
type jsonWeighed struct {
	jsonContrast
	Levels []jsonRange `json:"levels"`
}

type jsonComparedFlip struct {
	Input string    `json:"input"`
	Unit  string    `json:"unit"`
	Now   number    `json:"now"`
	At    jsonRange `json:"at"`
	Above bool      `json:"above"`
	To    string    `json:"to"`
}

type jsonComparedTrial struct {
	Input string    `json:"input"`
	At    string    `json:"at"`
	Than  string    `json:"than"`
	Lead  jsonRange `json:"lead"`
	Flips bool      `json:"flips"`

	Impossible bool `json:"impossible,omitempty"` // no works can be had there
}

// ComparedJSON writes the answer as one JSON document with a newline at its end;
// see JSON.
func ComparedJSON(w io.Writer, name experiment.Scenario, r *decision.Compared, version string) error {
	text, err := json.MarshalIndent(comparedOf(name, r, version), "", "  ")
	if err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// comparedOf copies the answer into the shape of the document.
func comparedOf(name experiment.Scenario, r *decision.Compared, version string) jsonCompared {
	d := jsonCompared{
		Version: version, Question: jsonScenario{name.Name, name.Hash}, Seed: r.Seed, Weeks: r.Weeks, WarmUpWeeks: r.WarmUp,
		Fixed: r.Fixed, Partial: r.Partial, Confidence: experiment.Level, By: r.By, Unit: r.Unit, Matters: number(r.Margin), Currency: r.Currency,
		Best: r.Options[r.Best].Name, Met: r.Met, Decided: r.Decided, Sentence: (&weighed{r}).title(), Paper: r.PaperSays,
		Futures: []jsonProspect{}, Options: []jsonPattern{}, Measures: []jsonWeighed{}, Pareto: []string{},
		Flips: []jsonComparedFlip{}, Trials: []jsonComparedTrial{}, Warnings: append([]string{}, r.Warnings...), Caution: HoursCaution + " " + Caution,
	}
	d.Limits, d.Service, d.Serves, d.Turns = jsonLimitsOf(r.CompareQuestion.Limits), number(r.Service), r.Serves, (&weighed{r}).turns()
	d.MainFuture, d.RulesFrom = r.Futures[r.Main].Name, r.Terms.Rules.Source
	if r.PaperBest >= 0 {
		d.PaperBest = r.Options[r.PaperBest].Name
	}
	if c := r.Certified; c != nil {
		d.Certified = &jsonFresh{r.Options[c.Than].Name, c.Runs, rangeOf(c.Chosen), rangeOf(c.Base), rangeOf(c.Difference), string(c.Verdict), rangesOf(c.Limits), c.Trials}
	}
	for _, f := range r.Futures {
		d.Futures = append(d.Futures, jsonProspect{f.Name, number(f.Weight)})
	}
	for o := range r.Options {
		d.Options = append(d.Options, patternOf(r, o))
	}
	for _, m := range r.Contrasts {
		d.Measures = append(d.Measures, jsonWeighed{contrastOf(m), rangesOf(m.Values)})
	}
	for _, o := range r.Pareto {
		d.Pareto = append(d.Pareto, r.Options[o].Name)
	}
	for _, f := range r.Flips {
		d.Flips = append(d.Flips, jsonComparedFlip{f.Input, f.Unit, number(f.Now), rangeOf(f.At), f.Above, r.Options[f.To].Name})
	}
	for _, t := range r.Trials {
		d.Trials = append(d.Trials, jsonComparedTrial{t.Path, t.At, r.Options[t.Than].Name, rangeOf(t.Lead), t.Flips, t.Impossible})
	}
	return d
}

// rangesOf copies estimates.
func rangesOf(all []stats.Estimate) []jsonRange {
	ranges := []jsonRange{}
	for _, e := range all {
		ranges = append(ranges, rangeOf(e))
	}
	return ranges
}

// inHours is a time as a number of hours.
func inHours(t des.Time) number { return number(float64(t) / float64(des.Hour)) }

// patternOf copies one option.
func patternOf(r *decision.Compared, o int) jsonPattern {
	x := &r.Options[o]
	p := jsonPattern{
		Name: x.Name, Replications: x.Replications, Eligible: x.Eligible,
		Good: rangeOf(x.Good), SingleWeek: jsonQuantiles{number(x.OneWeek[0]), number(x.OneWeek[1]), number(x.OneWeek[2]), x.WeeksOf},
		Cost: rangeOf(x.Cost), LeadP95: rangeOf(x.LeadP95), Late: rangeOf(x.Late), TooDry: rangeOf(x.TooDry), OnTime: rangeOf(x.OnTime),
		Limits: rangesOf(x.Limits), Paid: number(x.Paid), Night: number(x.Night), People: number(x.People), Premiums: number(x.Premiums),
		RegretIn: []number{}, PaperGood: number(x.Paper.Good), PaperCost: number(x.Paper.Cost), PaperLoad: number(x.Paper.Load), Growth: x.Growth, Why: x.Why,
		Crews: []jsonCrewUse{}, Kilns: []jsonKilnUse{}, Windows: []jsonWindowNeed{}, Pours: []jsonPour{},
		Staircases: []jsonStand{}, Breaches: []jsonBreach{}, Unchecked: append([]string{}, x.Shared...), Changes: []jsonChange{},
	}
	if r.Standings != nil {
		p.Best, p.Regret = number(r.Standings[o].Best.Value), number(r.Standings[o].Loss.Value)
	}
	for _, v := range r.Regret[o] {
		p.RegretIn = append(p.RegretIn, number(v))
	}
	for _, c := range x.Crews {
		p.Crews = append(p.Crews, jsonCrewUse{c.Name, number(c.Paid), number(c.Night), number(c.Working), number(c.Change), number(c.NoWork), number(c.Waiting), number(c.Blocked)})
	}
	for _, k := range x.Starved {
		p.Kilns = append(p.Kilns, jsonKilnUse{k.Kiln, rangeOf(k.Estimate)})
	}
	for _, n := range x.Windows {
		p.Windows = append(p.Windows, jsonWindowNeed{n.Ware, clock(n.From), clock(n.To), number(n.Need), number(n.There), number(n.Least)})
	}
	for _, n := range x.Pours {
		p.Pours = append(p.Pours, pourOf(n))
	}
	for _, s := range x.Stands {
		p.Staircases = append(p.Staircases, standOf(s))
	}
	for _, b := range x.Breaches {
		p.Breaches = append(p.Breaches, jsonBreach{b.Who, b.Rule, b.Limit, b.Worst, b.Times, b.First.Format(time.DateOnly)})
	}
	for _, c := range x.Changes {
		p.Changes = append(p.Changes, jsonChange{c.Path, orNull(c.Before), orNull(c.After)})
	}
	return p
}

// pourOf copies the risk of one hour of pour.
func pourOf(p experiment.PourRisk) jsonPour {
	return jsonPour{p.Ware, p.Hour, number(p.Poured), rangeOf(p.Missed), p.Runs}
}

// standOf copies a staircase and where the works stands on it.
func standOf(s experiment.Stand) jsonStand {
	j := jsonStand{Bench: s.Bench, Ware: s.Ware, Steps: []jsonStair{}, Hours: inHours(s.Hours), Casts: number(s.Casts), Need: inHours(s.Need)}
	for _, step := range s.Steps {
		j.Steps = append(j.Steps, jsonStair{inHours(step.Hours), number(step.Casts)})
	}
	return j
}
