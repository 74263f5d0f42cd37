package decision

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"potbank/internal/quantity"
	"potbank/internal/stats"
)

// recommend writes the sentence and what would turn it. The certificate, if there
// is one, is what the best change saved on fresh replications.
func (s *masterStudy) recommend(a *MasterAnswer, certificate *stats.Estimate) {
	a.Flips = nil
	cur := a.Currency
	today := s.watchNow()
	if len(a.Steps) == 0 || a.Steps[0].Year.Value <= 0 {
		a.Recommendation = fmt.Sprintf("Leave the watch as it is (%s): of %d changes tried none is worth its price at %s (%d replications, each with and without the fault).",
			today, len(a.Steps), faultsYear(a.PerYear), a.Replications)
		if len(a.Steps) > 0 {
			b := a.Steps[0]
			a.Flips = append(a.Flips, fmt.Sprintf("The nearest, %s, would pay from %s faults a year.", b.change(), number(b.Even)))
		}
		s.flipChecks(a)
		s.onAlarm(a)
		return
	}
	b := a.Steps[0]
	year, n, kind := b.Year, a.Replications, "replications that also chose it"
	if certificate != nil {
		year, n, kind = scaled(*certificate, s.q.PerYear, -b.Running), certificate.N, "fresh replications"
	}
	verb := "saves"
	if certificate != nil && year.Low <= 0 {
		verb = "seems to save"
	}
	a.Recommendation = fmt.Sprintf("%s: against today's watch (%s) that %s %s %s a year at %s, its price of %s paid (%d %s, each with and without the fault).",
		upper(b.change()), today, verb, money(year), cur, faultsYear(a.PerYear), plain(b.Running), n, kind)
	if even := b.Even; even > 0 {
		a.Flips = append(a.Flips, fmt.Sprintf("It no longer pays below %s faults a year.", number(even)))
	}
	if certificate != nil && year.Low <= 0 {
		a.Flips = append(a.Flips, fmt.Sprintf("The fresh runs alone do not prove it: %s %s a year includes nothing gained. More replications would tell.", money(year), cur))
	}
	for _, o := range a.Steps[1:] {
		if o.Gate != b.Gate && o.Year.Value > 0 {
			a.Flips = append(a.Flips, fmt.Sprintf("If that cannot be done: %s, for %s %s a year (chosen and valued on the same runs).", o.change(), money(o.Year), cur))
			break
		}
	}
	s.flipChecks(a)
	s.onAlarm(a)
}

// onAlarm tells what an alarm of today's gates is worth believing.
func (s *masterStudy) onAlarm(a *MasterAnswer) {
	if math.IsNaN(a.True) {
		return
	}
	text := fmt.Sprintf("An alarm of today's gates is a true one with a chance of %s; stop casting from its parent while it is looked into where that chance is above %s, the margin of a cast against its value.", share(a.True), share(a.StopAt))
	a.Flips = append(a.Flips, text)
}

// flipChecks tells whether checks before the release would be worth more.
func (s *masterStudy) flipChecks(a *MasterAnswer) {
	for _, c := range []struct {
		name string
		of   *CheckWorth
	}{{"inspecting the tool before its release", a.Release}, {"a pilot firing before the release", a.Pilot}} {
		if c.of == nil {
			continue
		}
		if c.of.Year > 0 {
			a.Flips = append(a.Flips, fmt.Sprintf("Besides, %s is worth %s %s a year on today's watch.", c.name, plain(c.of.Year), a.Currency))
		} else {
			a.Flips = append(a.Flips, fmt.Sprintf("%s would pay from %s faults a year.", upper(c.name), number(c.of.Even)))
		}
	}
}

// watchNow says today's watch in words.
func (s *masterStudy) watchNow() string {
	var names []string
	for _, g := range s.q.used().gates {
		names = append(names, fmt.Sprintf("%s at %s", g.Name, share(g.Fraction)))
	}
	if names == nil {
		return "complaints only"
	}
	return strings.Join(names, ", ")
}

// change says a step in words.
func (st GateStep) change() string {
	switch {
	case st.To == 0:
		return "give up " + st.Gate
	case st.From == 0:
		return fmt.Sprintf("inspect %s at %s", share(st.To), st.Gate)
	}
	return fmt.Sprintf("inspect %s instead of %s at %s", share(st.To), share(st.From), st.Gate)
}

// upper begins a sentence.
func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// share prints a fraction in per cent.
func share(f float64) string { return strconv.FormatFloat(100*f, 'g', 3, 64) + " %" }

// number prints a rate to three digits.
func number(v float64) string {
	if math.IsNaN(v) {
		return "no number of"
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}

// plain prints a whole number as the tables of the answer do.
func plain(v float64) string { return quantity.Grouped(v, 0) }

// money prints an estimate of money, to the digits that its half-width allows.
func money(e stats.Estimate) string {
	if !e.HasInterval() {
		return plain(e.Value)
	}
	h := e.HalfWidth()
	unit := math.Pow10(max(0, int(math.Floor(math.Log10(max(1, h))))-1))
	return plain(math.Round(e.Value/unit)*unit) + " ± " + plain(math.Ceil(h/unit)*unit)
}

// faultsYear says a rate of faults.
func faultsYear(rate float64) string {
	if rate == 1 {
		return "one such fault a year"
	}
	return number(rate) + " such faults a year"
}
