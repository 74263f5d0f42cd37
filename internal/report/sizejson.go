package report

import (
	"encoding/json"
	"fmt"
	"io"

	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// The document below is an interface to other programs, as jsonAnswer is. Lists
// by future are in the order of futures. Money is in whole units of the
// currency; money, pieces and fuel of options are expected over the futures.
type jsonSized struct {
	Version      string           `json:"version"`
	Scenario     jsonScenario     `json:"scenario"`
	Title        string           `json:"title"`
	Recommended  string           `json:"recommended"` // in one sentence
	Seed         uint64           `json:"seed"`
	Weeks        int              `json:"weeks"`
	WarmUpWeeks  int              `json:"warm_up_weeks"`
	Fixed        bool             `json:"fixed"`
	Partial      string           `json:"partial,omitempty"`
	Confidence   number           `json:"confidence"`
	Currency     string           `json:"currency"`
	Terms        jsonSizeTerms    `json:"terms"`
	Futures      []jsonSizeFuture `json:"futures"`
	MainFuture   string           `json:"main_future"` // of kilns, bottlenecks and curve
	Options      []jsonSizeOption `json:"options"`     // the works as it is first
	Best         string           `json:"best"`
	MeetsDemand  bool             `json:"meets_demand"`
	Decided      bool             `json:"decided"`
	Against      string           `json:"against"`
	Saving       jsonMean         `json:"saving_per_year"`       // of best against that, from the runs that chose
	FreshSaving  jsonMean         `json:"fresh_saving_per_year"` // from runs that did not choose
	FreshMeets   jsonMean         `json:"fresh_meets"`
	SmallestMost string           `json:"smallest_greatest_regret"`
	Knee         *string          `json:"knee"`
	Curve        []jsonSizePoint  `json:"curve"`
	Flips        []jsonFlip       `json:"flips"`
	Warnings     []string         `json:"warnings"`
	Caution      string           `json:"caution"`
	KilnCaution  string           `json:"kiln_caution"`
}

// jsonMean is a value with its interval; null where there is none.
type jsonMean struct {
	Mean number `json:"mean"`
	Low  number `json:"low"`
	High number `json:"high"`
	N    int    `json:"n"`
}

type jsonSizeTerms struct {
	Interest number `json:"interest"`
	Weeks    number `json:"weeks_a_year"`
	Service  number `json:"service"`
	Period   int    `json:"period_weeks"`
	Worth    number `json:"worth"`
	Matters  number `json:"matters"`

	Limits []jsonLimit `json:"limits"`
}

type jsonSizeFuture struct {
	Name   string           `json:"name"`
	Weight number           `json:"weight"`
	Demand []jsonSizeDemand `json:"demand"` // pieces a week; ware empty: all together
}

type jsonSizeDemand struct {
	Ware   string `json:"ware"`
	Pieces number `json:"pieces"`
}

type jsonSizeOption struct {
	Name         string         `json:"name"`
	Changes      []jsonChange   `json:"changes"`
	Replications int            `json:"replications"`
	Meets        jsonMean       `json:"meets"`
	MeetsIn      []jsonMean     `json:"meets_in"`
	Keeps        jsonMean       `json:"keeps_limits"`
	Eligible     bool           `json:"eligible"`
	WouldMeet    jsonMean       `json:"would_meet"`
	Good         jsonMean       `json:"good"`
	Short        jsonMean       `json:"short"`
	Capital      number         `json:"capital"`
	Residual     number         `json:"residual"`
	Upkeep       number         `json:"upkeep_per_year"`
	Life         number         `json:"life_years"`
	Outlay       number         `json:"outlay_per_year"`
	Yearly       jsonMean       `json:"cost_per_year"`
	YearlyIn     []jsonMean     `json:"cost_per_year_in"`
	Regret       []number       `json:"regret_in"`
	Difference   jsonMean       `json:"difference_per_year"` // from the works as it is
	PerGood      jsonMean       `json:"cost_per_good"`
	Worth        jsonMean       `json:"net_present_value"`
	Payback      number         `json:"payback_years"` // null: never, or nothing to pay
	EnergyBase   number         `json:"energy_base_mj"`
	Energy       number         `json:"energy_mj"`
	CO2Base      number         `json:"co2_base_kg"`
	CO2          number         `json:"co2_kg"`
	Kilns        []jsonSizeKiln `json:"kilns"`
	Limits       string         `json:"limits"`
	LimitsLoad   number         `json:"limits_load"`
	Next         string         `json:"next"`
	Growth       string         `json:"growth,omitempty"`
	Beyond       []string       `json:"outside_measured"`
}

type jsonSizeKiln struct {
	Name   string   `json:"name"`
	Kind   string   `json:"kind"`
	Slots  number   `json:"slots"`
	Need   number   `json:"need"`
	Load   jsonMean `json:"load"`
	Empty  jsonMean `json:"empty"`
	Part   jsonMean `json:"part"`
	Needed number   `json:"weekend_needs"`
	Held   number   `json:"weekend_held_p95"`
	Racks  number   `json:"weekend_pieces_p95"`
	Least  number   `json:"weekend_least_p05"`
	Cars   number   `json:"cars_p95"`
	Fleet  int      `json:"fleet"`         // 0: not limited
	AsCars int      `json:"cars_as_store"` // by hand
}

type jsonSizePoint struct {
	Option   string `json:"option"`
	Outlay   number `json:"outlay_per_year"`
	Could    number `json:"could"`
	Makes    number `json:"makes"`
	On       bool   `json:"on_curve"`
	PerPlace number `json:"per_place"`
	PerPiece number `json:"per_piece"`
}

type jsonFlip struct {
	Input string   `json:"input"`
	Unit  string   `json:"unit"`
	Now   number   `json:"now"`
	At    jsonMean `json:"at"`
	Over  jsonMean `json:"at_over_now"`
	Side  string   `json:"side"`
	To    *string  `json:"to"`
	How   string   `json:"how"`
}

// SizedJSON writes the answer as one JSON document with a newline at its end;
// see JSON.
func SizedJSON(w io.Writer, name experiment.Scenario, r *decision.Sized, version string) error {
	text, err := json.MarshalIndent(sizedOf(name, r, version), "", "  ")
	if err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

func sizedOf(name experiment.Scenario, r *decision.Sized, version string) jsonSized {
	t := r.Terms
	d := jsonSized{
		Version: version, Scenario: jsonScenario{name.Name, name.Hash}, Title: r.Title, Recommended: (&sized{r}).title(),
		Seed: r.Seed, Weeks: r.Weeks, WarmUpWeeks: r.WarmUp, Fixed: r.Fixed, Partial: r.Partial, Confidence: experiment.Level, Currency: r.Currency,
		Terms:      jsonSizeTerms{number(t.Rate), number(t.Weeks), number(t.Service), t.Period, number(t.Worth), number(t.Matters), jsonLimitsOf(t.Limits)},
		MainFuture: r.Futures[r.Main].Name, Best: r.Options[r.Best].Name, MeetsDemand: r.Met, Decided: r.Decided,
		Against: r.Options[r.Advantage.Than].Name, Saving: meanOf(r.Advantage.Yearly), FreshSaving: meanOf(r.Advantage.Fresh), FreshMeets: meanOf(r.Advantage.Meets),
		SmallestMost: r.Options[r.Minimax].Name, Curve: []jsonSizePoint{}, Flips: []jsonFlip{},
		Warnings: append([]string{}, r.Warnings...), Caution: Caution, KilnCaution: KilnCaution,
	}
	for _, f := range r.Futures {
		j := jsonSizeFuture{Name: f.Name, Weight: number(f.Weight)}
		for _, x := range f.Demand {
			j.Demand = append(j.Demand, jsonSizeDemand{x.Ware, number(x.Pieces)})
		}
		d.Futures = append(d.Futures, j)
	}
	for i, o := range r.Options {
		d.Options = append(d.Options, sizeOptionOf(o, r.Regret[i]))
	}
	for i, p := range r.Curve {
		option := r.Options[p.Option].Name
		if i == r.Knee {
			d.Knee = &option
		}
		d.Curve = append(d.Curve, jsonSizePoint{option, number(p.Outlay), number(p.Could), number(p.Makes), p.On, number(p.PerPlace), number(p.PerPiece)})
	}
	for _, f := range r.Flips {
		j := jsonFlip{Input: f.Input, Unit: f.Unit, Now: number(f.Now), At: meanOf(f.At), Over: meanOf(f.OverNow()), Side: either(f.Above, "above", "below"), How: f.How}
		if f.To >= 0 {
			j.To = &r.Options[f.To].Name
		}
		d.Flips = append(d.Flips, j)
	}
	return d
}

func meanOf(e stats.Estimate) jsonMean {
	return jsonMean{number(e.Value), number(e.Low), number(e.High), e.N}
}

func meansOf(all []stats.Estimate) []jsonMean {
	out := []jsonMean{}
	for _, e := range all {
		out = append(out, meanOf(e))
	}
	return out
}

// sizeOptionOf copies one option.
func sizeOptionOf(o decision.SizedOption, regret []float64) jsonSizeOption {
	j := jsonSizeOption{
		Name: o.Name, Changes: []jsonChange{}, Replications: o.Replications, Meets: meanOf(o.Meets), MeetsIn: meansOf(o.MeetsIn), Keeps: meanOf(o.Keeps), Eligible: o.Eligible,
		WouldMeet: meanOf(o.UpTo), Good: meanOf(o.Good), Short: meanOf(o.Short),
		Capital: number(o.Outlay.Capital), Residual: number(o.Outlay.Residual), Upkeep: number(o.Outlay.Upkeep), Life: number(o.Outlay.Life), Outlay: number(o.Fixed),
		Yearly: meanOf(o.Yearly), YearlyIn: meansOf(o.YearlyIn), Difference: meanOf(o.Difference), PerGood: meanOf(o.PerGood), Worth: meanOf(o.Worth), Payback: number(o.Payback),
		EnergyBase: number(o.Energy.Base), Energy: number(o.Energy.Total()), CO2Base: number(o.CO2.Base), CO2: number(o.CO2.Total()), Kilns: []jsonSizeKiln{},
		Limits: o.Bottleneck.Resource, LimitsLoad: number(o.Bottleneck.Load), Next: o.Bottleneck.Next, Growth: o.Growth, Beyond: append([]string{}, o.Leaves...),
	}
	for _, c := range o.Changes {
		j.Changes = append(j.Changes, jsonChange{c.Path, orNull(c.Before), orNull(c.After)})
	}
	for _, x := range regret {
		j.Regret = append(j.Regret, number(x))
	}
	for _, k := range o.Kilns {
		j.Kilns = append(j.Kilns, jsonSizeKiln{k.Name, k.Kind, number(k.Slots), number(k.Need), meanOf(k.Load), meanOf(k.Empty), meanOf(k.Part),
			number(k.Needed), number(k.Held.Value), number(k.Racks.Value), number(k.Least.Value), number(k.Cars.Value), k.Fleet, k.AsCars})
	}
	return j
}
