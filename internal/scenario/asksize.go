package scenario

import (
	"slices"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// SizeSection is what a question about a new kiln asks besides its options and
// futures: what is wanted of the works, and the terms on which money is weighed.
type SizeSection struct {
	Demand  plant.PerWare[int] `key:"demand" doc:"good pieces wanted a week: of all wares together, or by ware"`
	Times   map[string]float64 `key:"demand-times" optional:"yes" doc:"by future, how many times the demand is wanted in it: {slow: 0.9}; left out, once. The casting plan of that future is for its changes to say"`
	Period  des.Time           `key:"period" default:"4 wk" doc:"time over which demand must be met: what one week lacks another may make up, within it"`
	Rate    quantity.Share     `key:"interest" default:"8 %" doc:"interest on capital, a year"`
	Weeks   int                `key:"weeks-a-year" default:"50" doc:"weeks worked in a year"`
	Worth   quantity.Money     `key:"worth" default:"0 EUR" doc:"what a good piece that is wanted brings; pieces short are charged with it; left out, with the works' own cost"`
	Matters quantity.Money     `key:"matters" default:"0 EUR" doc:"smallest difference in yearly cost that matters; left out, 0.2 % of today's"`
}

// size checks the section of a question about a new kiln. Which futures there
// are, only the question as a whole knows.
func (r *asker) size(d *decoder) {
	s := r.asked.Size
	if s == nil {
		return
	}
	for _, name := range sortedKeys(s.Demand) {
		if s.Demand[name] < 1 {
			r.fault(d.places["size.demand"], "give the good pieces wanted a week", "a demand of %d pieces", s.Demand[name])
		}
	}
	if s.Period < des.Week || s.Period%des.Week != 0 {
		r.fault(d.places["size.period"], "write 4 wk", "the period must be whole weeks, got %s", quantity.FormatTime(int64(s.Period)))
	}
	if s.Weeks < 1 || s.Weeks > 53 {
		r.fault(d.places["size.weeks-a-year"], "give the weeks worked, such as 50", "a year of %d weeks", s.Weeks)
	}
	var names []string
	for _, f := range r.asked.Futures {
		names = append(names, f.Name)
	}
	for _, name := range sortedKeys(s.Times) {
		at := d.places["size.demand-times."+name]
		if !slices.Contains(names, name) {
			hint := "name one of the futures of this question"
			if near, ok := nearest(name, names); ok {
				hint = "did you mean " + near + "?"
			}
			r.fault(at, hint, "there is no future %q", name)
		} else if s.Times[name] <= 0 {
			r.fault(at, "write how many times the demand is wanted, such as 0.9", "%q wants %g times the demand", name, s.Times[name])
		}
	}
}
