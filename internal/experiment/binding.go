package experiment

import (
	"fmt"
	"math"
	"strings"

	"potbank/internal/quantity"
)

// Binding is the department that limits the works.
type Binding struct {
	Resource string  // empty when none is near its capacity
	Load     float64 // of the resource or, if none limits, the highest of all, in %
	Next     string  // the one that would limit next
	Sentence string  // with the figures behind it
}

const (
	// loadedFrom is the load in % below which no resource is said to limit the
	// works. Above 98 % queues grow without end under any variation; between
	// the two a resource limits when the others are less loaded.
	loadedFrom = 85
	// alike is the difference of loads in points within which two resources
	// are loaded alike. Loads of unlike things (hands, places, cars) have
	// different divisors, so a smaller lead proves nothing.
	alike = 3
)

// findBinding names the resource with the highest simulated load. Of several
// loaded alike it is the one that the estimate by hand finds the tightest; the
// sentence says when the two ways of looking do not agree.
func findBinding(a *Answer) Binding {
	loads := measured(a.Group("load."))
	if len(loads) == 0 {
		return Binding{Load: math.NaN(), Sentence: "No resource of this works has a load to compare."}
	}
	top := highest(loads, "")
	hand := a.tightest()
	first := top
	for _, f := range loads {
		if resource(f) == hand && f.Value >= top.Value-alike {
			first = f
		}
	}
	second := highest(loads, first.Name)
	b := Binding{Load: first.Value, Next: resource(second)}
	next := ""
	switch {
	case b.Next == "":
	case second.Value >= first.Value-alike:
		next = fmt.Sprintf(" Loaded much alike is %s, %.1f %%.", b.Next, second.Value)
	default:
		next = fmt.Sprintf(" Next is %s with %.1f %%.", b.Next, second.Value)
	}
	if top.Value < loadedFrom {
		b.Load = top.Value
		b.Sentence = fmt.Sprintf("No department is near its capacity: the highest load is %.1f %%, of %s.%s The plan or the moulds set the pace.%s", top.Value, resource(top), next, a.opinion(""))
		return b
	}
	b.Resource = resource(first)
	b.Sentence = fmt.Sprintf("The works is limited by %s: used %.1f %% of the time there was to use.%s%s%s",
		b.Resource, b.Load, next, a.signs(b.Resource), a.opinion(b.Resource))
	return b
}

// measured leaves out figures without a value.
func measured(figures []Figure) []Figure {
	var some []Figure
	for _, f := range figures {
		if !math.IsNaN(f.Value) {
			some = append(some, f)
		}
	}
	return some
}

// highest returns the figure with the largest value, but for one.
func highest(figures []Figure, except string) Figure {
	var top Figure
	for _, f := range figures {
		if f.Name != except && (top.Name == "" || f.Value > top.Value) {
			top = f
		}
	}
	return top
}

// resource is the thing whose load a figure is.
func resource(f Figure) string { return strings.TrimPrefix(f.Name, "load.") }

// slack are the states in which a resource could work and does not.
var slack = []string{"idle", "waiting", "holding", "free"}

// signs gives what else speaks for the limit: it hardly waits itself, and ware
// stands where it stands.
func (a *Answer) signs(resource string) string {
	text := ""
	_, staffed := a.mean("state." + resource + ".off shift")
	for _, state := range slack {
		if state == "idle" && !staffed {
			continue // without hours of its own it is idle at night too
		}
		if v, ok := a.mean("state." + resource + "." + state); ok {
			text += fmt.Sprintf(" It is %s %.1f %% of all hours.", state, v)
		}
	}
	var fullest Figure
	for _, f := range measured(a.Group("wip.")) {
		if f.Name != "wip.total" && f.Value > fullest.Value {
			fullest = f
		}
	}
	if fullest.Name != "" {
		text += fmt.Sprintf(" Most ware stands in %s, %s pieces.", strings.TrimPrefix(fullest.Name, "wip."), quantity.Grouped(fullest.Value, 0))
	}
	return text
}

// tightest is the department with the highest load by hand, empty if there is
// no estimate.
func (a *Answer) tightest() string {
	name, load := "", 0.0
	for _, d := range a.Loads {
		if name == "" || d.Load > load {
			name, load = d.Name, d.Load
		}
	}
	return name
}

// opinion says whether the estimate by hand names the same resource.
func (a *Answer) opinion(resource string) string {
	hand := a.tightest()
	for _, d := range a.Loads {
		switch {
		case d.Name != hand || math.IsInf(d.Load, 0):
		case hand == resource:
			return fmt.Sprintf(" The estimate by hand names it too, with a load of %.0f %%.", 100*d.Load)
		default:
			return fmt.Sprintf(" By hand the tightest is %s, with a load of %.0f %%.", d.Name, 100*d.Load)
		}
	}
	return ""
}
