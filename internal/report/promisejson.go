package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"time"

	"potbank/internal/decision"
	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// The document below is an interface to other programs, as jsonAnswer is. Dates
// are RFC 3339, empty where beyond the run; money is in whole units.
type jsonPromise struct {
	Version     string            `json:"version"`
	Scenario    jsonScenario      `json:"scenario"`
	Title       string            `json:"title"`
	Recommended string            `json:"recommended"` // in one sentence
	Order       jsonPromisedOrder `json:"order"`
	Seed        uint64            `json:"seed"`
	Runs        int               `json:"runs"`
	Unfinished  int               `json:"unfinished"`
	Refused     int               `json:"works_refused"`
	Partial     string            `json:"partial,omitempty"`
	Confidence  number            `json:"confidence"`
	Service     number            `json:"service"`
	Promise     string            `json:"promise"` // date; empty: none
	Chance      jsonMean          `json:"promise_probability"`
	InTime      jsonMean          `json:"in_time_probability"`
	Penalty     number            `json:"expected_lateness_cost"`
	Currency    string            `json:"currency"`
	Dates       []jsonPromiseDate `json:"dates"`
	Lots        []jsonPromiseLot  `json:"lots"`
	Casts       jsonPromiseCasts  `json:"casts"`
	Weeks       []jsonPromiseWeek `json:"weeks"`
	Days        []jsonPromiseDay  `json:"days"`
	SpreadDays  number            `json:"standard_deviation_working_days"`
	Causes      []jsonCause       `json:"causes"`
	Unknown     []jsonUnknown     `json:"unknown"`
	Binding     string            `json:"binding"`
	Fullest     []jsonFull        `json:"fullest_by_hand"`
	ByHand      *jsonOrderByHand  `json:"by_hand"` // null: the works has no estimate for the ware
	Slips       []jsonSlip        `json:"slips"`
	Levers      []jsonLever       `json:"levers"`
	Drift       *jsonDrift        `json:"drift,omitempty"`
	Flips       []string          `json:"flips"`
	Assumptions []string          `json:"assumptions"`
	Warnings    []string          `json:"warnings"`
	Caution     string            `json:"caution"`
}

// jsonFull is the load of a department by hand, as a share.
type jsonFull struct {
	Name string `json:"name"`
	Load number `json:"load"`
}

// jsonOrderByHand is the order worked out by hand, the time from cast to pallet
// left out.
type jsonOrderByHand struct {
	Yield  number `json:"yield"`
	Casts  number `json:"casts"`
	PerDay number `json:"casts_a_working_day"`
	Good   number `json:"good_a_working_day"`
	Days   int    `json:"working_days_of_casting"`
}

type jsonPromisedOrder struct {
	Name     string `json:"name"`
	Ware     string `json:"ware"`
	Quantity int    `json:"quantity"`
	Packed   int    `json:"packed"`
	Start    string `json:"start"`
	Due      string `json:"due"`
	Priority int    `json:"priority"`
}

type jsonPromiseDate struct {
	P        number   `json:"p"`
	Date     string   `json:"date"`
	Low      string   `json:"low"`
	High     string   `json:"high"`
	Ranks    []int    `json:"ranks"` // of the sorted runs; empty: too few
	Coverage number   `json:"coverage"`
	WorkDays jsonMean `json:"working_days"`
	Calendar jsonMean `json:"calendar_days"`
}

type jsonPromiseLot struct {
	Name   string   `json:"name"`
	Want   int      `json:"good_pieces_so_far"`
	Due    string   `json:"due"`
	Median string   `json:"median"`
	Safe   string   `json:"at_service"`
	InTime jsonMean `json:"in_time_probability"`
}

type jsonPromiseCasts struct {
	Mean      number     `json:"mean"`
	Batch     int        `json:"one_batch"`
	Inflation number     `json:"variance_inflation"`
	Yield     jsonMean   `json:"yield"`
	TopUp     *jsonTopUp `json:"topped_up,omitempty"`
	Life      number     `json:"mould_life_casts"`
	Moulds    number     `json:"moulds"`
	LeadDays  number     `json:"mould_lead_days"`
}

type jsonTopUp struct {
	Casts jsonMean `json:"casts"`
	Mean  number   `json:"mean"`
	Spare jsonMean `json:"good_pieces_beyond"`
	Later jsonMean `json:"date_later_calendar_days"`
	Pairs int      `json:"pairs"`
}

type jsonPromiseWeek struct {
	Begins   string `json:"begins"`
	Low      number `json:"good_5"`
	Mid      number `json:"good_50"`
	High     number `json:"good_95"`
	Casts    number `json:"casts"`
	AllCast  number `json:"casts_so_far"`
	Worn     number `json:"moulds_worn"`
	WornMost number `json:"moulds_worn_95"`
	PourBy   string `json:"moulds_poured_from"`
}

type jsonPromiseDay struct {
	End  string `json:"end"`
	Low  number `json:"good_5"`
	Mid  number `json:"good_50"`
	High number `json:"good_95"`
	Done number `json:"done_probability"`
}

type jsonCause struct {
	Name  string   `json:"name"`
	Where string   `json:"where"`
	Share jsonMean `json:"variance_share"`
	Days  number   `json:"standard_deviation_working_days"`
	Pairs int      `json:"pairs"`
}

type jsonUnknown struct {
	Path  string `json:"path"`
	Rests string `json:"rests_on"`
	Share number `json:"variance_share"`
}

type jsonSlip struct {
	Order     string   `json:"order"`
	Ware      string   `json:"ware"`
	Due       string   `json:"due"`
	AtService jsonMean `json:"later_at_service_calendar_days"`
	Mean      jsonMean `json:"later_mean_calendar_days"`
	With      jsonMean `json:"in_time_with"`
	Without   jsonMean `json:"in_time_without"`
	Pairs     int      `json:"pairs"`
}

type jsonLever struct {
	Name      string    `json:"name"`
	Why       string    `json:"not_tried,omitempty"`
	Cost      number    `json:"cost"`
	Saved     number    `json:"lateness_cost_saved"`
	AtService jsonMean  `json:"sooner_at_service_calendar_days"`
	Mean      jsonMean  `json:"sooner_mean_calendar_days"`
	WorkDays  jsonMean  `json:"sooner_mean_working_days"`
	PerDay    number    `json:"cost_per_day_won"`
	InTime    jsonMean  `json:"in_time_probability"`
	Sure      bool      `json:"sure"`
	Fresh     *jsonMean `json:"fresh_sooner_at_service,omitempty"`
	FreshMean *jsonMean `json:"fresh_sooner_mean,omitempty"`
	Pairs     int       `json:"pairs"`

	Changes []jsonChange `json:"changes"`
}

type jsonDrift struct {
	At      string         `json:"at"`
	Good    int            `json:"good"`
	Low     number         `json:"forecast_5"`
	Mid     number         `json:"forecast_50"`
	High    number         `json:"forecast_95"`
	Chance  number         `json:"share_of_runs_with_no_more"`
	Outside bool           `json:"outside"`
	Since   string         `json:"since"`
	Later   number         `json:"date_moved_calendar_days"`
	Days    []jsonDriftDay `json:"days"`
}

type jsonDriftDay struct {
	Date string `json:"date"`
	Good int    `json:"good"`
	Low  number `json:"forecast_5"`
	Mid  number `json:"forecast_50"`
	High number `json:"forecast_95"`
}

// hand copies what the estimate by hand says.
func (d *jsonPromise) hand(r *decision.PromiseAnswer) {
	d.Fullest = []jsonFull{}
	for _, f := range r.Fullest {
		d.Fullest = append(d.Fullest, jsonFull{f.Name, number(f.Load)})
	}
	if h := r.ByHand; h.Known {
		d.ByHand = &jsonOrderByHand{number(h.Yield), number(math.Round(h.Starts())), number(h.Casts), number(h.PerDay), h.CastingDays()}
	}
}

// PromiseJSON writes when an order will be done as one JSON document with a
// newline at its end; see JSON.
func PromiseJSON(w io.Writer, name experiment.Scenario, r *decision.PromiseAnswer, version string) error {
	d := jsonPromise{
		Version: version, Scenario: jsonScenario{name.Name, name.Hash}, Title: r.Title, Recommended: r.Recommendation,
		Order: jsonPromisedOrder{r.Order, r.Ware, r.Quantity, r.Packed, timeStamp(r.Start), dayStamp(r.Due), r.Priority},
		Seed:  r.Seed, Runs: r.Runs, Unfinished: r.Unfinished, Refused: r.Refused, Partial: r.Partial, Confidence: experiment.Level, Service: number(r.Service),
		Chance: daysMean(r.Chance), InTime: daysMean(r.InTime), Penalty: number(r.Penalty), Currency: r.Currency,
		Dates: []jsonPromiseDate{}, Lots: []jsonPromiseLot{}, Weeks: []jsonPromiseWeek{}, Days: []jsonPromiseDay{},
		SpreadDays: number(r.Spread), Causes: []jsonCause{}, Unknown: []jsonUnknown{}, Binding: r.Binding, Slips: []jsonSlip{}, Levers: []jsonLever{},
		Flips: append([]string{}, r.Flips...), Assumptions: append([]string{}, r.Assumptions...), Warnings: append([]string{}, r.Warnings...), Caution: Caution,
	}
	if r.Promise >= 0 {
		d.Promise = r.Promise.String()
	}
	d.hand(r)
	d.dates(r)
	d.causes(r)
	d.levers(r)
	text, err := json.MarshalIndent(d, "", "  ")
	if err != nil {
		return fmt.Errorf("writing JSON: %w", err)
	}
	_, err = w.Write(append(text, '\n'))
	return err
}

// dates copies dates, lots, casts and progress.
func (d *jsonPromise) dates(r *decision.PromiseAnswer) {
	for _, x := range r.Dates {
		p := jsonPromiseDate{P: number(x.P), Date: timeStamp(x.At), Low: timeStamp(x.Low), High: timeStamp(x.High), Ranks: []int{}, Coverage: number(x.Coverage), WorkDays: daysMean(x.WorkDays), Calendar: daysMean(x.Calendar)}
		if x.LowRank > 0 {
			p.Ranks = []int{x.LowRank, x.HighRank}
		}
		d.Dates = append(d.Dates, p)
	}
	for _, l := range r.Lots {
		d.Lots = append(d.Lots, jsonPromiseLot{l.Name, l.Want, dayStamp(l.Due), timeStamp(l.Median), timeStamp(l.Safe), daysMean(l.InTime)})
	}
	c := r.Casts
	d.Casts = jsonPromiseCasts{number(c.Mean), c.Batch, number(max(1, c.Inflation)), daysMean(c.Yield), nil, number(c.Life), number(c.Moulds), number(c.Lead.Hours() / 24)}
	if u := c.TopUp; u != nil {
		d.Casts.TopUp = &jsonTopUp{daysMean(u.Casts), number(u.Mean), daysMean(u.Spare), daysMean(u.Later), u.Pairs}
	}
	for _, w := range r.Weeks {
		d.Weeks = append(d.Weeks, jsonPromiseWeek{timeStamp(w.Begins), number(w.Low), number(w.Mid), number(w.High), number(w.Casts), number(w.AllCast), number(w.Worn), number(w.WornMost), timeStamp(w.PourBy)})
	}
	for _, x := range r.Days {
		d.Days = append(d.Days, jsonPromiseDay{timeStamp(x.End), number(x.Low), number(x.Mid), number(x.High), number(x.Done)})
	}
}

// causes copies what makes the date wide and who slips.
func (d *jsonPromise) causes(r *decision.PromiseAnswer) {
	for _, c := range r.Causes {
		d.Causes = append(d.Causes, jsonCause{c.Name, c.Where, daysMean(c.Share), number(c.Days), c.Pairs})
	}
	for _, u := range r.Unknown {
		d.Unknown = append(d.Unknown, jsonUnknown{u.Path, u.Rests, number(u.Share)})
	}
	for _, x := range r.Slips {
		d.Slips = append(d.Slips, jsonSlip{x.Order, x.Ware, dayStamp(x.Due), daysMean(x.AtService), daysMean(x.Mean), daysMean(x.With), daysMean(x.Without), x.Pairs})
	}
}

// levers copies what might bring the date forward, and the drift.
func (d *jsonPromise) levers(r *decision.PromiseAnswer) {
	for _, l := range r.Levers {
		j := jsonLever{Name: l.Name, Why: l.Why, Cost: number(l.Cost), Saved: number(l.Saved), AtService: daysMean(l.AtService), Mean: daysMean(l.Mean),
			WorkDays: daysMean(l.WorkDays), PerDay: number(l.PerDay), InTime: daysMean(l.InTime), Sure: l.Sure, Pairs: l.Pairs, Changes: []jsonChange{}}
		for _, c := range l.Changes {
			j.Changes = append(j.Changes, jsonChange{c.Path, orNull(c.Before), orNull(c.After)})
		}
		if l.Fresh != nil {
			shift, mean := daysMean(*l.Fresh), daysMean(*l.FreshMean)
			j.Fresh, j.FreshMean = &shift, &mean
		}
		d.Levers = append(d.Levers, j)
	}
	if x := r.Drift; x != nil {
		d.Drift = &jsonDrift{timeStamp(x.At), x.Good, number(x.Low), number(x.Mid), number(x.High), number(x.Chance), x.Outside, dayStamp(x.Since), number(x.Later), []jsonDriftDay{}}
		for _, day := range x.Days {
			d.Drift.Days = append(d.Drift.Days, jsonDriftDay{day.Date.String(), day.Good, number(day.Low), number(day.Mid), number(day.High)})
		}
	}
}

// daysMean copies an estimate; ends beyond the run are null.
func daysMean(e stats.Estimate) jsonMean {
	end := func(v float64) number {
		if math.Abs(v) > 1e17 {
			return number(math.NaN())
		}
		return number(v)
	}
	return jsonMean{Mean: end(e.Value), Low: end(e.Low), High: end(e.High), N: e.N}
}

// timeStamp prints an instant, dayStamp a date; both are empty for none.
func timeStamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}

func dayStamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}
