package scenario

import (
	"cmp"
	"slices"
	"strings"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/quantity"
)

// grammars are the texts that plant.Works keeps as they were written: dates,
// shifts, rules. They are read here only to point at what is wrong in them.
var grammars = map[string]func(d *decoder, s string) error{
	"Works.start":        func(d *decoder, s string) error { return last(calendar.ParseStart(s, d.zone)) },
	"Works.time-zone":    func(_ *decoder, s string) error { return last(calendar.LoadZone(s)) },
	"Works.currency":     func(_ *decoder, s string) error { return checkCurrency(s) },
	"Run.warm-up":        func(_ *decoder, s string) error { return checkWarmUp(s) },
	"Closures.dates":     func(_ *decoder, s string) error { return last(calendar.ParseDates(s)) },
	"Closures.rules":     func(_ *decoder, s string) error { return last(calendar.ParseRule(s)) },
	"Hours.weeks":        func(_ *decoder, s string) error { return last(calendar.ParsePattern(s)) },
	"Hours.from":         func(_ *decoder, s string) error { return last(calendar.ParseDates(s)) },
	"Hours.closed":       func(_ *decoder, s string) error { return last(calendar.ParseDates(s)) },
	"Hours.open":         func(_ *decoder, s string) error { return last(calendar.ParseExtra(s)) },
	"Order.start":        func(d *decoder, s string) error { return last(calendar.ParseStart(s, d.zone)) },
	"Order.due":          func(d *decoder, s string) error { return last(calendar.ParseStart(s, d.zone)) },
	"MasterSection.date": func(d *decoder, s string) error { return last(calendar.ParseStart(s, d.zone)) },
}

// last drops a result whose error alone is wanted.
func last[T any](_ T, err error) error { return err }

// checkCurrency wants a code as in ISO 4217. That such a currency exists is not
// checked: the list changes, and nothing depends on it.
func checkCurrency(s string) error {
	if len(s) != 3 || strings.Trim(s, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" {
		return faultAt(0, "write a code such as EUR or USD", "%s is not a currency code of three capital letters", quote(s))
	}
	return nil
}

// checkWarmUp wants auto, or whole weeks.
func checkWarmUp(s string) error {
	if s == "auto" {
		return nil
	}
	ms, err := quantity.ParseTime("warm-up", s)
	switch {
	case err != nil && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz") == "":
		return faultAt(0, "write auto, or whole weeks such as 8 wk", "warm-up is %s", quote(s))
	case err != nil:
		return err
	case des.Time(ms)%des.Week != 0:
		return faultAt(0, "write auto, or whole weeks such as 8 wk", "the warm-up must be whole weeks, got %s", s)
	}
	return nil
}

var dayNames = []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}

// workdays lists the days that a week of shifts names; the shifts themselves
// were read before.
func workdays(week string) []string {
	var days []string
	for word := range strings.FieldsFuncSeq(week, func(r rune) bool { return r == ' ' || r == ',' }) {
		head, tail, _ := strings.Cut(word, "-")
		first, last := slices.Index(dayNames, head), slices.Index(dayNames, cmp.Or(tail, head))
		switch {
		case word == "daily" || word == "always":
			return dayNames
		case first < 0 || last < 0:
			continue
		}
		for d := first; ; d = (d + 1) % len(dayNames) {
			days = append(days, dayNames[d])
			if d == last {
				break
			}
		}
	}
	return days
}
