package decision

import (
	"math"
	"slices"
)

// A SizePoint is an option on the sizing curve, in the main future.
type SizePoint struct {
	Option int
	Could  float64 // good pieces a week that its kilns could make of this mix, by hand
	Makes  float64 // good pieces a week that the works makes
	Outlay float64 // a year

	// On: no option that takes as little makes as much. What such a point adds to
	// the one before it that is on the curve; NaN where there is none.
	On       bool
	More     float64 // good pieces a week
	PerPlace float64 // good pieces made for each one more that the kilns could make
	PerPiece float64 // outlay for each good piece more
}

// leastStep is the share of the output by which a point must exceed all cheaper
// ones to be on the curve: less is the noise of the runs.
const leastStep = 0.002

// curve lists the options by outlay, and what each step adds.
func (z *sizing) curve(r *Sized) []SizePoint {
	var points []SizePoint
	for o := range z.Options {
		points = append(points, SizePoint{
			Option: o, Could: z.could(o, r.Main), Makes: average(z.accounts[o][r.Main].good), Outlay: r.Options[o].Fixed,
		})
	}
	slices.SortStableFunc(points, func(a, b SizePoint) int {
		switch {
		case a.Outlay < b.Outlay, a.Outlay == b.Outlay && a.Makes > b.Makes:
			return -1
		case a.Outlay > b.Outlay, a.Makes < b.Makes:
			return 1
		}
		return 0
	})
	step(points, z.Terms.Weeks)
	return points
}

// step marks the points on the curve, which must be in the order of their
// outlays, and fills in what each adds in a year of so many weeks.
func step(points []SizePoint, weeks float64) {
	last := -1
	for i := range points {
		p := &points[i]
		p.More, p.PerPlace, p.PerPiece = math.NaN(), math.NaN(), math.NaN()
		if last >= 0 && !(p.Makes > points[last].Makes*(1+leastStep)) {
			continue
		}
		p.On = true
		if last >= 0 {
			before := points[last]
			p.More = p.Makes - before.Makes
			p.PerPiece = (p.Outlay - before.Outlay) / (p.More * weeks)
			if p.Could > before.Could {
				p.PerPlace = p.More / (p.Could - before.Could)
			}
		}
		last = i
	}
}

// could is the good pieces a week that the kilns of an option could make: what
// the works makes by hand, over the load of the tightest kiln of the first fire.
func (z *sizing) could(o, f int) float64 {
	p := z.Plant(o, f)
	good, _ := p.Hand().Value("packed.total")
	load := 0.0
	for _, k := range firstFires(p.Works()) {
		for _, d := range p.Hand().Departments {
			if d.Name == k.Name {
				load = max(load, d.Load)
			}
		}
	}
	if load == 0 {
		return math.NaN()
	}
	return good / load
}

// leastBend is how far the knee must lie above the chord, as a share of the
// curve's height: less is no knee.
const leastBend = 0.05

// knee is the point of the curve beyond which more outlay gives clearly less:
// the one farthest above the straight line from its first to its last point,
// both axes scaled to 1 (Satopää et al. 2011, from memory). It is -1 where the
// curve has fewer than three points, or no bend.
func knee(points []SizePoint) int {
	var on []int
	for i, p := range points {
		if p.On {
			on = append(on, i)
		}
	}
	if len(on) < 3 {
		return -1
	}
	first, last := points[on[0]], points[on[len(on)-1]]
	best, most := -1, leastBend
	for _, i := range on[1 : len(on)-1] {
		x := (points[i].Outlay - first.Outlay) / (last.Outlay - first.Outlay)
		y := (points[i].Makes - first.Makes) / (last.Makes - first.Makes)
		if y-x > most {
			best, most = i, y-x
		}
	}
	return best
}
