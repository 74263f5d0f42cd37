package experiment

import (
	"fmt"
	"strings"
)

// Binding is the department that limits the works.
type Binding struct {
	Resource string  // empty when none is near its capacity
	Load     float64 // busy share of attended time, in per cent; NaN without a resource
	Next     string  // the one that would limit next
	Sentence string  // with the figures behind it
}

// loadedFrom is the load in per cent below which no resource is said to limit
// the works. Above 98 % queues grow without end under any variation; between
// the two a resource limits when others are less loaded.
const loadedFrom = 85

// findBinding names the resource with the highest simulated load, the busy
// share of the time for which it is attended, and gives the evidence: what the
// others wait for, and whether the estimate by hand names it too.
func findBinding(a *Answer) Binding {
	var first, second Figure
	for _, f := range a.Group("load.") {
		switch {
		case first.Name == "" || f.Value > first.Value:
			first, second = f, first
		case second.Name == "" || f.Value > second.Value:
			second = f
		}
	}
	if first.Name == "" {
		return Binding{Sentence: "No resource of this works has a load to compare."}
	}
	b := Binding{Resource: strings.TrimPrefix(first.Name, "load."), Load: first.Value, Next: strings.TrimPrefix(second.Name, "load.")}
	next := ""
	if b.Next != "" {
		next = fmt.Sprintf(" Next is %s with %.1f %%.", b.Next, second.Value)
	}
	if first.Value < loadedFrom {
		b.Sentence = fmt.Sprintf("No department is near its capacity: the highest load is %.1f %%, of %s.%s The plan or the moulds set the pace.", first.Value, b.Resource, next)
		b.Resource = ""
		return b
	}
	b.Sentence = fmt.Sprintf("%s limits the works: it is busy %.1f %% of the time it is attended, more than any other.%s%s %s",
		upperFirst(b.Resource), b.Load, next, a.standing(b.Resource), a.secondOpinion(b.Resource))
	return b
}

// standing gives the signs of a limit: itself hardly starved or blocked,
// others blocked before it or starved behind it.
func (a *Answer) standing(resource string) string {
	var signs []string
	for _, state := range []string{"starved", "blocked"} {
		if v, ok := a.mean("state." + resource + "." + state); ok {
			signs = append(signs, fmt.Sprintf("%s %.1f %%", state, v))
		}
	}
	text := ""
	if len(signs) > 0 {
		text = fmt.Sprintf(" Of all hours it is %s.", join(signs))
	}
	for _, state := range []string{"blocked", "starved"} {
		if name, v := a.largest("state.", "."+state); v >= evidenceFrom && name != resource {
			text += fmt.Sprintf(" Most %s is %s, %.1f %% of all hours.", state, name, v)
		}
	}
	return text
}

// secondOpinion says whether the highest load by hand is of the same resource.
func (a *Answer) secondOpinion(resource string) string {
	highest := -1
	for i, d := range a.Loads {
		if highest < 0 || d.Load > a.Loads[highest].Load {
			highest = i
		}
	}
	if highest < 0 {
		return "There is no estimate by hand to compare with."
	}
	d := a.Loads[highest]
	if strings.EqualFold(d.Name, resource) {
		return fmt.Sprintf("The estimate by hand names it too, with a load of %.0f %%.", d.Load)
	}
	return fmt.Sprintf("The estimate by hand names %s, with a load of %.0f %%: the two ways of looking do not agree.", d.Name, d.Load)
}

// upperFirst begins a sentence with a name.
func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
