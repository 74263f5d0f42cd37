package proof

import (
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// quality is the rows on learning and the cost of faults.
var quality = []method{
	{id: "J01", not: "no such model: times do not fall with practice"},
	{id: "J03", not: "folklore without data; costs come from the scenario alone"},
	{id: "J04", path: "plant: works/line.yaml", run: costOfFaults},
}

// costOfFaults: a piece that fails at the third stage takes with it what three
// stages have put into it. 6,098 pieces are cast in three weeks and worked off
// in a fourth; with randomness off the losses are 5 % to the nearest piece.
func costOfFaults(t *trial) {
	w := works("line.yaml")
	w.Hours = append(w.Hours, plant.Hours{Name: "casting", Weeks: []string{"always"}, Closed: []string{"2027-01-25..2027-12-31"}})
	w.Presses[0].Hours, w.Presses[0].Cycle = "casting", takes(3*des.Minute)
	w.Ware[0].Plan = 6098.0 / 21
	minute := plant.PerWare[random.Law]{"": takes(1 * des.Minute)}
	w.White.Time, w.Sorting.Time, w.Tests[0].Time, w.Packing.Time = minute, minute, minute, minute
	c := &w.Ware[0].Costs
	c.Casting, c.Finishing, c.White = 2e6, 3e6, 4e6 // cumulative 2, 5, 9
	w.Ware[0].Yields.White = 0.95
	p := build(w)
	r := still(p, 4, nil)
	total := func(name string) float64 { return 4 * r.figure(name, 0, 4) }
	added := total("cost.casting") + total("cost.finishing") + total("cost.white")
	bad := added - 9*total("packed.total")
	t.within("pieces", total("cast.total"), "6098", 1)
	t.within("cost of bad pieces", bad, "2744.18", 9*0.5+9*0.05)
	t.leave("to half a piece of 9, since pieces are whole")
}
