package randomworks

import (
	"fmt"
	"sync"
	"time"

	"pgregory.net/rapid"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// maker draws one works. Its methods each fill in one department; what they
// draw first decides whether the department is there at all, so that rapid,
// which shrinks towards zero and false, shrinks towards the plainest works.
type maker struct {
	t     *rapid.T
	w     *plant.Works
	weeks int
	start time.Time // a civil date
	crews []string  // that may work anywhere but at benches
}

// Works draws a works. Pass it to plant.New.
func Works() *rapid.Generator[*plant.Works] {
	return rapid.Custom(func(t *rapid.T) *plant.Works {
		m := &maker{t: t, w: &plant.Works{Format: 1, Name: "Random works", Currency: "EUR"}}
		m.frame()
		m.hours()
		m.people()
		m.wares()
		m.casting()
		m.finishing()
		m.dryers()
		m.glazing()
		m.kilns()
		m.fired()
		m.shop()
		m.closures()
		m.opening()
		return m.w
	})
}

// yes draws whether something rare is there. The plain case is no.
func (m *maker) yes(what string) bool { return rapid.Bool().Draw(m.t, what) }

// no draws whether something common is left out. The plain case is that it is
// left out; one works in four does without.
func (m *maker) have(what string) bool { return rapid.IntRange(0, 3).Draw(m.t, what) > 0 }

// count draws a whole number.
func (m *maker) count(what string, low, high int) int {
	return rapid.IntRange(low, high).Draw(m.t, what)
}

// minutes draws a time of whole minutes.
func (m *maker) minutes(what string, low, high int) des.Time {
	return des.Time(m.count(what+" (min)", low, high)) * des.Minute
}

// share draws a share of whole percents.
func (m *maker) share(what string, low, high int) quantity.Share {
	return quantity.Share(float64(m.count(what+" (%)", low, high)) / 100)
}

// euros draws an amount of tenths of the currency, in millionths.
func (m *maker) euros(what string, high int) int64 {
	return int64(m.count(what+" (0.1 EUR)", 0, 10*high)) * 100_000
}

// word draws one of some words.
func (m *maker) word(what string, words ...string) string {
	return rapid.SampledFrom(words).Draw(m.t, what)
}

// some draws a non-empty part of some names, or nil for all of them.
func (m *maker) some(what string, names []string) []string {
	if !m.yes(what + " restricted") {
		return nil
	}
	var part []string
	for _, n := range names {
		if m.yes(what + " takes " + n) {
			part = append(part, n)
		}
	}
	return part
}

// must returns a law whose parameters this package has chosen.
func must(l random.Law, err error) random.Law {
	if err != nil {
		panic("randomworks: " + err.Error())
	}
	return l
}

// drawn is a law of times by what it was drawn from.
type drawn struct {
	family string
	mean   des.Time
}

// laws keeps the laws made so far: some tabulate their inverse, which takes
// longer than a week of a small works.
var laws sync.Map

// span draws a law of times, from any family that has parameters, whose mean
// lies about between two numbers of minutes.
func (m *maker) span(what string, low, high int) random.Law {
	d := drawn{mean: m.minutes(what, low, high)}
	d.family = m.word(what+" law", "constant", "uniform", "triangular", "pert", "normal", "lognormal",
		"exponential", "gamma", "erlang", "weibull", "beta")
	if known, ok := laws.Load(d); ok {
		return known.(random.Law)
	}
	law := d.law()
	laws.Store(d, law)
	return law
}

// law makes the law. Bounds and parameters are in milliseconds.
func (d drawn) law() random.Law {
	mean := float64(d.mean)
	half, spread := mean/2, mean/4
	if mean == 0 {
		return must(random.Constant(0))
	}
	switch d.family {
	case "uniform":
		return must(random.Uniform(half, mean+half))
	case "triangular":
		return must(random.Triangular(half, mean, mean+half))
	case "pert":
		return must(random.PERT(half, mean, mean+half))
	case "normal":
		return must(random.TruncatedNormal(mean, spread, half, mean+half))
	case "lognormal":
		return must(random.LogNormal(mean, spread))
	case "exponential":
		return must(random.Exponential(mean))
	case "gamma":
		return must(random.Gamma(mean, spread))
	case "erlang":
		return must(random.Erlang(3, mean))
	case "weibull":
		return must(random.Weibull(1.5, mean))
	case "beta":
		return must(random.Beta(2, 3, half, mean+half))
	}
	return must(random.Constant(mean))
}

// perWare draws times by ware: one for all, or one for each, or one for the
// first and one for the others.
func (m *maker) perWare(what string, low, high int) plant.PerWare[random.Law] {
	first := m.w.Ware[0].Name
	switch m.word(what+" by ware", "all", "each", "others") {
	case "each":
		p := plant.PerWare[random.Law]{}
		for i := range m.w.Ware {
			p[m.w.Ware[i].Name] = m.span(what+" of "+m.w.Ware[i].Name, low, high)
		}
		return p
	case "others":
		return plant.PerWare[random.Law]{first: m.span(what+" of "+first, low, high), "others": m.span(what, low, high)}
	}
	return plant.PerWare[random.Law]{"": m.span(what, low, high)}
}

// breakdowns draws failures and repairs, or none.
func (m *maker) breakdowns(what string) *plant.Breakdowns {
	if !m.yes(what + " breaks down") {
		return nil
	}
	return &plant.Breakdowns{
		Between: m.span(what+" up time", 60, 3000),
		Repair:  m.span(what+" repair", 0, 300),
		Clock:   m.word(what+" clock", "working", "calendar"),
	}
}

// wareNames lists the wares.
func (m *maker) wareNames() []string {
	var names []string
	for i := range m.w.Ware {
		names = append(names, m.w.Ware[i].Name)
	}
	return names
}

// date writes the date so many days after the start.
func (m *maker) date(days int) string { return m.start.AddDate(0, 0, days).Format(time.DateOnly) }

// numbered names the k-th thing of a kind.
func numbered(kind string, k int) string { return fmt.Sprintf("%s-%d", kind, k+1) }
