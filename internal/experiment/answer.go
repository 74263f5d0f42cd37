package experiment

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/plant"
	"potbank/internal/stats"
)

// Answer is what a study found. Everything that a screen shows is in it;
// renderers format and never compute. Every interval is at Level.
type Answer struct {
	Scenario   Scenario
	Unmeasured []Assumption // defaults that nobody measured; filled in by whoever read the file

	Seed         uint64
	Replications int // behind every figure
	Asked        int // replications at which the study would have stopped for certain
	Weeks        int // simulated weeks of one replication, warm-up included
	Fixed        bool
	LongRun      *LongRun // how one long run was cut up; nil: replications stand behind the figures
	Partial      string   // why the study ended before its time, one sentence; empty when it did not
	WarmUp       WarmUp
	Precision    Precision

	Measures  []Figure
	CostLines []Figure       // lines of the direct cost for one good piece; they add up to cost.per_good
	OneWeek   stats.Estimate // range of a single week of packed.total, not of its mean
	Hand      []HandFigure
	Loads     []plant.Department // capacity and load by department, by hand
	HandSays  string             // the department that limits the works by hand
	Resources []plant.Resource   // whose time by state is among the measures
	Pile      Pile
	Binding   Binding
	Orders    []Order
	Doubt     *Doubt // nil: the inputs were taken as known
	Audit     []Law
	Warnings  []string
	Pictures  Pictures
	Events    uint64 // handled by the kernel, all replications
}

// Scenario names what was asked about.
type Scenario struct {
	Name string
	Hash string // of the file's content
	Path string // as the user wrote it; not part of a stored answer

	Unmeasured []Assumption // of the works as it is, where a question is asked of several
}

// Assumption is a value of the scenario that nobody measured.
type Assumption struct {
	Path  string // keys, e.g. ware.pan.yields.casting
	Value string
}

// Figure is one measure with its interval.
type Figure struct {
	Name, Unit          string
	Definition, Formula string
	Headline            bool
	stats.Estimate
}

// Precision is how well the headline measures are known.
type Precision struct {
	Wanted  float64 // half-width relative to the value; 0: a number of replications was asked for
	Reached bool
	Driver  string  // the headline measure furthest from it
	At      float64 // its half-width relative to its value, headline measures judged together; NaN when not known
}

// Identify says which file was asked about and which of its values nobody
// measured; the latter adds a warning.
func (a *Answer) Identify(s Scenario, unmeasured []Assumption) {
	a.Scenario, a.Unmeasured = s, unmeasured
	if n := len(unmeasured); n > 0 {
		a.Warnings = append(a.Warnings, fmt.Sprintf("Values that nobody measured: %d, taken from trade practice; they are listed below the figures.", n))
	}
}

// Figure returns the measure of a name.
func (a *Answer) Figure(name string) (Figure, bool) {
	for _, f := range a.Measures {
		if f.Name == name {
			return f, true
		}
	}
	return Figure{}, false
}

// Group returns the measures whose names begin with prefix, in printing order.
func (a *Answer) Group(prefix string) []Figure {
	var group []Figure
	for _, f := range a.Measures {
		if strings.HasPrefix(f.Name, prefix) {
			group = append(group, f)
		}
	}
	return group
}

// mean returns the value of a measure and whether there is one.
func (a *Answer) mean(name string) (float64, bool) {
	f, ok := a.Figure(name)
	return f.Value, ok && !math.IsNaN(f.Value)
}
