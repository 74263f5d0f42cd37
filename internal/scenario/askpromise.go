package scenario

import (
	"slices"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// PromiseSection is what a question about a date asks besides its options, which
// are the levers that might bring the date forward: the order, what levers and
// lateness cost, and how far the works has come.
type PromiseSection struct {
	Order    string      `key:"order" default:"order" doc:"name of the order: one of the base's, or a name for the one described here"`
	Ware     string      `key:"ware" optional:"yes" doc:"ware ordered; left out, the order stands in the base"`
	Quantity int         `key:"quantity" optional:"yes" doc:"good pieces ordered"`
	Start    string      `key:"start" optional:"yes" doc:"ware filled at or after this date and time counts; left out, the start of the base"`
	Due      string      `key:"due" optional:"yes" doc:"date asked for"`
	Priority int         `key:"priority" default:"2" doc:"1 goes before 2 in every queue, and so on"`
	Stock    bool        `key:"counts-stock" default:"no" doc:"yes: pieces of the opening state count too"`
	Lots     []plant.Lot `key:"lots" optional:"yes" doc:"part deliveries, by name; what is left is due with the order"`

	RunIn   des.Time                  `key:"run-in" default:"4 wk" doc:"simulated before the order starts where the base has no opening state, so that the works is as full as it usually is; whole weeks"`
	Weekly  map[string]quantity.Money `key:"per-week" optional:"yes" doc:"what an option costs for each week begun until the order is done, on top of its capital: {saturday: 2400 EUR}"`
	Late    quantity.Money            `key:"late-per-day" default:"0 EUR" doc:"what a calendar day of delay costs"`
	Runs    int                       `key:"replications" default:"300" doc:"runs behind the date; the 95 % date needs 59 to have an interval at all"`
	Pairs   int                       `key:"pairs" default:"40" doc:"pairs of runs behind each lever, each cause and each order that may slip"`
	Service quantity.Share            `key:"service" default:"95 %" doc:"probability with which a date is promised"`
	Today   *PromiseToday             `key:"today" optional:"yes" doc:"how far the order has come: the date is forecast anew from here, and held against the first forecast"`
}

// PromiseToday is what is known of an order that is under way.
type PromiseToday struct {
	At      string         `key:"at" doc:"date and time of the counts"`
	Good    int            `key:"good" doc:"good pieces packed for the order up to then"`
	ByDay   map[string]int `key:"by-day" optional:"yes" doc:"good pieces of single days, by date: {2027-03-08: 430}; they tell when the order left the first forecast"`
	Changes Changes        `key:"changes" doc:"keys of the scenario that are otherwise now; above all opening-state, the ware counted today"`
}

// promise checks the section of a question about a date.
func (r *asker) promise(d *decoder) {
	s := r.asked.Promise
	if s == nil {
		return
	}
	base := r.asked.Works(0, 0)
	at := func(key string) place {
		if p, ok := d.places["promise."+key]; ok {
			return p
		}
		return d.places["promise"]
	}
	known, made := false, s.Ware == ""
	for i := range base.Works.Ware {
		made = made || base.Works.Ware[i].Name == s.Ware
	}
	for _, o := range base.Works.Orders {
		known = known || o.Name == s.Order
	}
	switch {
	case !made:
		r.fault(at("ware"), "name a ware of the base", "the works makes no %q", s.Ware)
	case s.Ware == "" && !known:
		r.fault(at("order"), "name an order of the base, or add ware: and quantity:", "there is no order %q", s.Order)
	case s.Ware != "" && s.Quantity < 1:
		r.fault(at("quantity"), "give the good pieces ordered", "an order of %d pieces", s.Quantity)
	}
	if s.RunIn < 0 || s.RunIn%des.Week != 0 {
		r.fault(at("run-in"), "write 4 wk", "the run-in must be whole weeks, got %s", quantity.FormatTime(int64(s.RunIn)))
	}
	if s.Runs < 2 || s.Pairs < 2 {
		r.fault(at("replications"), "leave both out for 300 and 40", "%d replications and %d pairs; a date has no spread from fewer than 2", s.Runs, s.Pairs)
	}
	for _, name := range sortedKeys(s.Weekly) {
		var known []string
		for _, o := range r.asked.Options[1:] {
			known = append(known, o.Name)
		}
		if !slices.Contains(known, name) {
			hint := "name one of the options of this question"
			if near, ok := nearest(name, known); ok {
				hint = "did you mean " + near + "?"
			}
			r.fault(d.places["promise.per-week."+name], hint, "there is no option %q", name)
		}
	}
}
