package report

import (
	"time"

	"potbank/internal/experiment"
)

// jsonPictures is what charts of the answer are drawn from. Lists by week begin
// with the first week, those of output with the first after the warm-up; what
// does not exist is null.
type jsonPictures struct {
	Weekly      []jsonWeekly     `json:"weekly"`
	Output      jsonOutput       `json:"output"`
	LeadTimes   jsonHistogram    `json:"lead_times"`
	Flow        []jsonStage      `json:"flow"`
	Curve       *jsonCurve       `json:"output_by_stock"`
	Energy      []jsonEnergyUse  `json:"energy"`
	EnergyAt    *jsonEnergyCurve `json:"energy_by_output"`
	Precision   []jsonPath       `json:"precision_by_runs"`
	Credibility []jsonCredit     `json:"credibility"`
	LeftOut     []string         `json:"left_out"`
	Week        *jsonWeek        `json:"week"` // only with a page
	Staircases  []jsonStand      `json:"staircases"`
	Pours       []jsonPour       `json:"pours"`
}

// jsonWeekly is one measure week by week, with the middle 90 % of the first runs.
type jsonWeekly struct {
	Name string   `json:"name"`
	Unit string   `json:"unit"`
	Mean []number `json:"mean"`
	P5   []number `json:"p5"`
	P95  []number `json:"p95"`
	Runs int      `json:"runs"`
}

// jsonOutput is the good pieces added up, and their distance from the estimate
// by hand.
type jsonOutput struct {
	P5       []number `json:"p5"`
	P50      []number `json:"p50"`
	P95      []number `json:"p95"`
	ByHand   []number `json:"by_hand"`
	AheadP5  []number `json:"ahead_p5"`
	AheadP50 []number `json:"ahead_p50"`
	AheadP95 []number `json:"ahead_p95"`
	Runs     int      `json:"runs"`
}

// jsonHistogram counts pieces by lead time in h: class i ends at to[i].
type jsonHistogram struct {
	From  number   `json:"from"`
	To    []number `json:"to"`
	Count []int64  `json:"count"`
}

// jsonStage is a stage of the flow, pieces a week.
type jsonStage struct {
	Name  string `json:"name"`
	In    number `json:"in"`
	Lost  number `json:"lost"`
	Again number `json:"again"`
	Out   number `json:"out"`
	What  string `json:"what"`
}

// jsonCurve is output against stock, pieces a week over pieces.
type jsonCurve struct {
	Rate           number   `json:"limit_rate"`
	Raw            number   `json:"raw_time"` // h
	Critical       number   `json:"critical_stock"`
	Stock          number   `json:"stock"`
	Output         number   `json:"output"`
	Of             []number `json:"stocks"`
	Best           []number `json:"best"`
	PracticalWorst []number `json:"practical_worst"`
	Worst          []number `json:"worst"`
}

// jsonEnergyUse is MJ for a good piece.
type jsonEnergyUse struct {
	Place string `json:"place"`
	Base  number `json:"base"`
	Load  number `json:"load"`
}

type jsonEnergyCurve struct {
	Output  []number `json:"output"`
	PerGood []number `json:"per_good"`
}

// jsonPath is half-widths in shares of the value.
type jsonPath struct {
	Name     string   `json:"name"`
	Runs     []int    `json:"runs"`
	Relative []number `json:"half_width"`
}

type jsonCredit struct {
	Factor string `json:"factor"`
	Level  int    `json:"level"`
	Why    string `json:"why"`
	Yours  bool   `json:"only_you_can_know_more"`
}

// jsonWeek is one week of the first run; hours count from its start.
type jsonWeek struct {
	Number int            `json:"number"`
	Start  string         `json:"start"`
	Stock  []jsonStock    `json:"stock"`
	Kilns  []jsonKilnWeek `json:"kilns"`
}

type jsonStock struct {
	Section string `json:"section"`
	Hourly  []int  `json:"hourly"`
}

type jsonKilnWeek struct {
	Kiln  string         `json:"kiln"`
	Unit  int            `json:"unit"`
	Spans []jsonKilnSpan `json:"spans"`
}

type jsonKilnSpan struct {
	From  number `json:"from"`
	To    number `json:"to"`
	State string `json:"state"`
	Ware  string `json:"ware"`
	Load  string `json:"load"`
	Share number `json:"share"`
	Full  bool   `json:"full"`
}

// numbers copies figures.
func numbers(values []float64) []number {
	list := []number{}
	for _, v := range values {
		list = append(list, number(v))
	}
	return list
}

// picturesOf copies what charts are drawn from.
func picturesOf(a *experiment.Answer) jsonPictures {
	p := a.Pictures
	j := jsonPictures{
		Weekly: []jsonWeekly{}, Flow: []jsonStage{}, Energy: []jsonEnergyUse{}, Precision: []jsonPath{}, Credibility: []jsonCredit{},
		Staircases: []jsonStand{}, Pours: []jsonPour{},
		LeftOut: experiment.LeftOut(), Week: weekOf(p.Week),
		Output: jsonOutput{numbers(p.Output.Low), numbers(p.Output.Mid), numbers(p.Output.High), numbers(p.Output.Plan),
			numbers(p.Output.AheadLow), numbers(p.Output.Ahead), numbers(p.Output.AheadHigh), p.Output.Runs},
		LeadTimes: jsonHistogram{number(p.Leads.From), []number{}, append([]int64{}, p.Leads.Count...)},
	}
	for _, w := range p.Weekly {
		j.Weekly = append(j.Weekly, jsonWeekly{w.Name, w.Unit, numbers(w.Mean), numbers(w.Low), numbers(w.High), w.Runs})
	}
	for i := range p.Leads.Count {
		j.LeadTimes.To = append(j.LeadTimes.To, number(p.Leads.End(i)))
	}
	for _, s := range p.Flow {
		j.Flow = append(j.Flow, jsonStage{s.Name, number(s.In), number(s.Lost), number(s.Again), number(s.Out), s.What})
	}
	if c := p.Curve; c != nil {
		j.Curve = &jsonCurve{number(c.Rate), number(c.Raw), number(c.Critical), number(c.Stock), number(c.Output),
			numbers(c.Of), numbers(c.Best), numbers(c.PracticalWorst), numbers(c.Worst)}
	}
	for _, u := range p.Energy {
		j.Energy = append(j.Energy, jsonEnergyUse{u.Place, number(u.Base), number(u.Load)})
	}
	if e := p.EnergyAt; e != nil {
		j.EnergyAt = &jsonEnergyCurve{numbers(e.Output), numbers(e.PerGood)}
	}
	for _, path := range p.Paths {
		j.Precision = append(j.Precision, jsonPath{path.Name, path.Runs, numbers(path.Relative)})
	}
	for _, s := range p.Stands {
		j.Staircases = append(j.Staircases, standOf(s))
	}
	for _, r := range p.Pours {
		j.Pours = append(j.Pours, pourOf(r))
	}
	for _, c := range a.Credibility() {
		j.Credibility = append(j.Credibility, jsonCredit(c))
	}
	return j
}

// weekOf copies a week; null if none was looked at.
func weekOf(w *experiment.Week) *jsonWeek {
	if w == nil {
		return nil
	}
	j := &jsonWeek{Number: w.Number, Start: w.Start.Format(time.RFC3339), Stock: []jsonStock{}, Kilns: []jsonKilnWeek{}}
	for s, hourly := range w.Stock {
		j.Stock = append(j.Stock, jsonStock{w.Sections[s], hourly})
	}
	for _, k := range w.Kilns {
		one := jsonKilnWeek{Kiln: k.Kiln, Unit: k.Unit, Spans: []jsonKilnSpan{}}
		for _, s := range k.Spans {
			one.Spans = append(one.Spans, jsonKilnSpan{number(s.From), number(s.To), s.State, s.Ware, s.Text, number(s.Share), s.Full})
		}
		j.Kilns = append(j.Kilns, one)
	}
	return j
}
