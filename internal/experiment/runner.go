package experiment

import (
	"potbank/internal/calendar"
	"potbank/internal/plant"
)

// A Runner is a plant as experiments see it; *plant.Plant is one. Simulate must
// be safe for several goroutines at once and give the same result whenever the
// options are the same.
type Runner interface {
	Works() *plant.Works
	Clock() calendar.Clock
	Weeks() int
	Simulate(plant.Options) (*plant.Result, error)
	Measures() []*plant.Measure
	Resources() []plant.Resource
	Hand() *plant.Hand
}

// A gauge reads one measure off a result. It stands between the study and
// plant.Measure, whose sums only a plant can fill in.
type gauge struct {
	*plant.Measure
	of func(r *plant.Result, from, to int) (num, den float64)
}

// gaugesOf gives the measures of a plant in printing order.
func gaugesOf(measures []*plant.Measure) []gauge {
	gauges := make([]gauge, len(measures))
	for i, m := range measures {
		gauges[i] = gauge{m, m.Of}
	}
	return gauges
}

// weekly returns the measure week by week; a week with nothing to measure
// counts as 0.
func (g gauge) weekly(r *plant.Result, weeks int) []float64 {
	series := make([]float64, weeks)
	for w := range series {
		if num, den := g.of(r, w, w+1); den != 0 {
			series[w] = num / den
		}
	}
	return series
}
