package experiment

import (
	"strings"

	"potbank/internal/stats"
)

// A Direction says which way a measure is better.
type Direction int

const (
	Neither Direction = iota // it depends on what is wanted
	Less                     // cost, time, stock, loss
	More                     // output, yield, contribution
)

// directions gives the way of the measures that have one, by how their names
// begin; the first that fits holds. How much is cast, how a resource spends its
// time, how full a kiln runs are no aims of their own.
var directions = []struct {
	begins string
	way    Direction
}{
	{"packed.", More}, {"yield.", More}, {"contribution", More},
	{"cost.reclaim", More}, {"cost.", Less},
	{"wip.", Less}, {"wip_working.", Less}, {"lead_time.", Less}, {"lead.", Less},
	{"window.", Less}, {"lost.", Less}, {"escaped", Less},
	{"refires.", Less}, {"firings.per_good", Less}, {"slip.fresh", Less}, {"moulds.worn.", Less},
	{"fuel.", Less}, {"energy.", Less}, {"co2.", Less},
}

// DirectionOf returns which way the measure of a name is better.
func DirectionOf(name string) Direction {
	for _, d := range directions {
		if strings.HasPrefix(name, d.begins) {
			return d.way
		}
	}
	return Neither
}

// goal is the direction in the words of package stats.
func (d Direction) goal() stats.Goal {
	if d == Less {
		return stats.Least
	}
	return stats.Most
}

// gain turns a difference so that more is better.
func (d Direction) gain(difference float64) float64 {
	if d == Less {
		return -difference
	}
	return difference
}
