package decision

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// SizedKiln is one kiln of an option, in the main future.
type SizedKiln struct {
	Name, Kind string
	Inside     int            // cars inside a tunnel; shuttles of a group
	Slots      float64        // cars or loads a week that it can fire, by hand
	Need       float64        // of them needed, by hand
	Load       stats.Estimate // pushes with ware of all, %; of shuttles time not waiting
	Empty      stats.Estimate // pushes without ware, %
	Part       stats.Estimate // cars or loads part full, %

	// The store over the longest rest of glazing; 0 and without value where the
	// kiln has none.
	Needed float64        // car loads until fresh ware comes, by hand
	Held   stats.Estimate // car loads there at its beginning: the 95 % point of weeks
	Racks  stats.Estimate // the same in pieces
	Least  stats.Estimate // car loads left at the least: the 5 % point of weeks
	Cars   stats.Estimate // in use at once: the 95 % point of weeks
	Fleet  int            // cars there are; 0: no limit was set
	AsCars int            // cars it would take, by hand, if all that the weekend takes stood on cars
}

// HasStore tells whether the kiln lives on a store over the weekend.
func (k SizedKiln) HasStore() bool { return k.Needed > 0 }

// firstFires lists the kilns of a works that fire ware for the first time.
func firstFires(w *plant.Works) []*plant.Kiln {
	var kilns []*plant.Kiln
	for k := range w.Kilns {
		if w.Kilns[k].Fires != "refire" {
			kilns = append(kilns, &w.Kilns[k])
		}
	}
	return kilns
}

// kilns describes the kilns of an option in one cell.
func kilns(c *experiment.Cell, p *plant.Plant) []SizedKiln {
	var all []SizedKiln
	w := p.Works()
	for i := range w.Kilns {
		in := &w.Kilns[i]
		k := SizedKiln{Name: in.Name, Kind: in.Kind, Inside: in.Inside, Fleet: in.Fleet, Needed: p.WeekendSlots(in.Name)}
		if in.Kind == "shuttle" {
			k.Inside = in.Count
		}
		if in.Fires == "refire" {
			k.Needed = 0
		}
		if k.HasStore() {
			k.AsCars = CarsForSlots(in.Inside, k.Needed)
		}
		for _, d := range p.Hand().Departments {
			if d.Name == in.Name {
				k.Slots, k.Need = d.Capacity, d.Need
			}
		}
		name := "kiln." + in.Name
		k.Load, k.Part = c.Estimate("load."+in.Name), c.Estimate(name+".part")
		if k.Empty = none(); in.Kind != "shuttle" {
			k.Empty = c.Estimate(name + ".empty")
		}
		k.Held, k.Racks = ofWeeks(c, name+".weekend.held", 0.95), ofWeeks(c, name+".weekend.pieces", 0.95)
		k.Least, k.Cars = ofWeeks(c, name+".weekend.least", 0.05), ofWeeks(c, name+".cars", 0.95)
		all = append(all, k)
	}
	return all
}

// ofWeeks is a quantile over all single weeks of all replications. Weeks of one
// run are not independent, so it has no interval.
func ofWeeks(c *experiment.Cell, name string, p float64) stats.Estimate {
	weeks := slices.Concat(c.Weeks(name)...)
	if len(weeks) == 0 {
		return none()
	}
	e, _ := stats.QuantileInterval(weeks, p, experiment.Level)
	e.Low, e.High, e.Warnings = math.NaN(), math.NaN(), nil
	return e
}

// none is an estimate without a value.
func none() stats.Estimate {
	nan := math.NaN()
	return stats.Estimate{Value: nan, Low: nan, High: nan, SD: nan, Level: experiment.Level}
}

// energy splits fuel and its carbon for a good piece into what burns by the
// hour, whatever the load, and the rest, expected over the futures.
func (z *sizing) energy(o int) (energy, co2 Split) {
	for f, future := range z.Futures {
		w, a := z.Plant(o, f).Works(), z.accounts[o][f]
		base := baseFuel(w) / average(a.good)
		whole := average(a.fuel) / average(a.good)
		energy.Base += float64(future.Weight * base * 1000)
		energy.Variable += float64(future.Weight * (whole - base) * 1000)
		co2.Base += float64(future.Weight * base * float64(w.Fuel.Carbon))
		co2.Variable += float64(future.Weight * (whole - base) * float64(w.Fuel.Carbon))
	}
	return energy, co2
}

// baseFuel is the GJ a week that a works burns whatever it fires: kilns that
// never go out, and dryers kept hot.
func baseFuel(w *plant.Works) float64 {
	perHour := 0.0
	for k := range w.Kilns {
		if w.Kilns[k].Kind != "shuttle" {
			perHour += float64(w.Kilns[k].Base)
		}
	}
	for k := range w.Dryers {
		perHour += float64(w.Dryers[k].Hot)
	}
	return perHour * float64(des.Week/des.Hour) * 1e-6
}

// leaves says how the kilns of an option leave the range in which the shares of
// good ware were measured. The program does not change them: it knows how ware
// was lost, not why.
func leaves(today, option *plant.Works) []string {
	var all []string
	for _, k := range firstFires(option) {
		was := kilnNamed(today, k.Name)
		switch {
		case was == nil && !hasKind(today, k.Kind):
			all = append(all, fmt.Sprintf("%s is a %s kiln: losses of the first fire were measured in another kind", k.Name, k.Kind))
		case was == nil:
			all = append(all, fmt.Sprintf("%s is a new kiln: its losses are taken to be those of the present one", k.Name))
		case was.Kind != k.Kind:
			all = append(all, fmt.Sprintf("%s becomes a %s kiln: losses were measured in a %s", k.Name, k.Kind, was.Kind))
		default:
			all = append(all, otherFire(was, k)...)
		}
	}
	return all
}

// otherFire says how the fire of a kiln differs from what it was.
func otherFire(was, is *plant.Kiln) []string {
	var all []string
	if !reflect.DeepEqual(was.Curve, is.Curve) {
		all = append(all, fmt.Sprintf("%s has another firing curve: losses were measured on the present one", is.Name))
	}
	shortWas, longWas := stay(was)
	short, long := stay(is)
	measured := hours(shortWas)
	if longWas != shortWas {
		measured += " to " + hours(longWas)
	}
	if short < shortWas {
		all = append(all, fmt.Sprintf("%s fires in %s h, and losses were measured at %s h", is.Name, hours(short), measured))
	}
	if long > longWas {
		all = append(all, fmt.Sprintf("%s takes up to %s h, and losses were measured at %s h", is.Name, hours(long), measured))
	}
	return all
}

// stay is the shortest and the longest time from cold to cold at the pushes
// that a tunnel is set to, or the time of a shuttle's fire.
func stay(k *plant.Kiln) (short, long des.Time) {
	if k.Kind == "shuttle" {
		return k.Firing + k.Cooling, k.Firing + k.Cooling
	}
	n := des.Time(k.Inside)
	short, long = n*k.Push, n*k.Push
	for _, push := range k.SlowPush {
		short, long = min(short, n*push), max(long, n*push)
	}
	return short, max(long, n*k.Stretch)
}

// hours prints a time to a tenth of an hour, as it is spoken of.
func hours(t des.Time) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", float64(t)/float64(des.Hour)), ".0")
}

func kilnNamed(w *plant.Works, name string) *plant.Kiln {
	for k := range w.Kilns {
		if w.Kilns[k].Name == name {
			return &w.Kilns[k]
		}
	}
	return nil
}

// hasKind tells whether a works has a kiln of a kind that first-fires ware.
func hasKind(w *plant.Works, kind string) bool {
	return slices.ContainsFunc(firstFires(w), func(k *plant.Kiln) bool { return k.Kind == kind })
}
