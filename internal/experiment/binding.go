package experiment

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potbank/internal/plant"
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
	// waitsFrom is the share of the time in % from which it is told that ware waits
	// for something of which there are only so many.
	waitsFrom = 5
)

// findBinding names what limits the works. Where ware piles up it is what takes
// it from there, however full other departments are. Else it is the resource with
// the highest simulated load; of several loaded alike one that ware waits for,
// then the one that the estimate by hand finds the tightest. The sentence says when
// the two ways of looking do not agree.
func findBinding(a *Answer) Binding {
	loads := measured(a.Group("load."))
	if len(loads) == 0 {
		return Binding{Load: math.NaN(), Sentence: "No resource of this works has a load to compare."}
	}
	if after := a.takers(a.Pile.Section, loads); len(after) > 0 {
		return a.bindingAfter(a.Pile, highest(after, ""), loads)
	}
	top := highest(loads, "")
	hand := a.tightest()
	first := top
	for _, f := range loads {
		if resource(f) == hand && f.Value >= top.Value-alike && !a.scarce(resource(top)) {
			first = f
		}
	}
	first = a.handsOf(first, loads)
	b := Binding{Load: first.Value}
	next := b.follow(first, loads)
	if top.Value < loadedFrom {
		b.Load = top.Value
		b.Sentence = fmt.Sprintf("No department is near its capacity: the highest load is %.1f %%, of %s.%s The plan or the moulds set the pace.%s", top.Value, resource(top), next, a.opinion(""))
		return b
	}
	b.Resource = resource(first)
	b.Sentence = fmt.Sprintf("The works is limited by %s: %s.%s%s%s", b.Resource, a.use(first), next, a.signs(b.Resource), a.opinion(b.Resource))
	return b
}

// bindingAfter is the limit of a works in which ware piles up: first is the most
// used of what takes it from there. Where that is not much used either, it is
// not its capacity that limits.
func (a *Answer) bindingAfter(pile Pile, first Figure, loads []Figure) Binding {
	b := Binding{Resource: resource(first), Load: first.Value}
	next := b.follow(first, loads)
	where := fmt.Sprintf("Ware piles up in %s, by about %s pieces a week", pile.Section, quantity.Grouped(pile.PerWeek, 0))
	if first.Value < loadedFrom {
		b.Sentence = fmt.Sprintf("%s, although what takes it from there, %s, is not at its capacity: %s. Its hours, a rule or something that it waits for holds it back.%s", where, b.Resource, a.use(first), a.opinion(b.Resource))
		return b
	}
	b.Sentence = fmt.Sprintf("%s: the works is limited by what takes it from there, %s: %s.%s%s", where, b.Resource, a.use(first), next, a.opinion(b.Resource))
	return b
}

// follow names what would limit next, and says so.
func (b *Binding) follow(first Figure, loads []Figure) string {
	second := highest(loads, first.Name)
	b.Next = resource(second)
	switch {
	case b.Next == "":
		return ""
	case second.Value >= first.Value-alike:
		return fmt.Sprintf(" Loaded much alike is %s, %.1f %%.", b.Next, second.Value)
	}
	return fmt.Sprintf(" Next is %s with %.1f %%.", b.Next, second.Value)
}

// takers are the loads of the resources that take ware out of a section.
func (a *Answer) takers(section string, loads []Figure) (some []Figure) {
	for _, f := range loads {
		if slices.ContainsFunc(a.Resources, func(r plant.Resource) bool {
			return r.Name == resource(f) && slices.Contains(r.Before, section)
		}) {
			some = append(some, f)
		}
	}
	return some
}

// handsOf is the crew of a bench that waits for loaded casters: every place that
// is ready is filled all the same, so that the bench looks fully used.
func (a *Answer) handsOf(bench Figure, loads []Figure) Figure {
	for _, r := range a.Resources {
		for _, f := range loads {
			if r.Name == resource(bench) && r.Hands != "" && resource(f) == r.Hands && f.Value >= loadedFrom {
				return f
			}
		}
	}
	return bench
}

// scarce tells whether a resource is one of which there are only so many.
func (a *Answer) scarce(name string) bool {
	return slices.ContainsFunc(a.Resources, func(r plant.Resource) bool { return r.Name == name && r.Kind == "scarce" })
}

// use says what a load is.
func (a *Answer) use(f Figure) string {
	if a.scarce(resource(f)) {
		return fmt.Sprintf("ware waits for one %.1f %% of the time", f.Value)
	}
	return fmt.Sprintf("used %.1f %% of the time there was to use", f.Value)
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
var slack = []string{"idle", "no work", "waiting", "blocked", "holding", "free"}

// signs gives what else speaks for the limit: it hardly waits itself, and ware
// stands where it stands.
func (a *Answer) signs(resource string) string {
	text := ""
	_, staffed := a.mean("state." + resource + ".off shift")
	for _, state := range slack {
		if state == "idle" && !staffed {
			continue // without hours of its own it is idle at night too
		}
		if v, ok := a.mean("state." + resource + "." + state); ok && v >= 0.05 {
			is := "is " + state
			if state == "no work" {
				is = "has no work"
			}
			text += fmt.Sprintf(" It %s %.1f %% of all hours.", is, v)
		}
	}
	for _, r := range a.Resources {
		if v, ok := a.mean("load." + r.Name); ok && r.Kind == "scarce" && r.Name != resource && v >= waitsFrom {
			text += fmt.Sprintf(" Ware waits for the %s %.1f %% of the time.", r.Name, v)
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
