package main

import (
	"fmt"
	"strconv"
	"strings"

	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/quantity"
)

// marginOf reads the smallest difference that matters in a measure: a share of
// the first option's value, or an amount in the measure's own unit, of which
// what stands after the stroke may be left out (EUR for EUR/piece). A measure
// that is a share itself takes points, as 1 % of 80 % could mean two things.
func marginOf(text, measure, unit string) (experiment.Margin, error) {
	if text == "" {
		return experiment.Margin{}, nil
	}
	hint := fmt.Sprintf("write a share of the first option's value such as \"1 %%\", or an amount such as \"%s\"", example(unit))
	number, said, _ := strings.Cut(strings.TrimSpace(text), " ")
	if trimmed, ok := strings.CutSuffix(number, "%"); ok && said == "" {
		number, said = trimmed, "%"
	}
	said = strings.TrimSpace(said)
	value, err := strconv.ParseFloat(number, 64)
	switch {
	case err != nil || !(value > 0) || value > 1e12:
		return experiment.Margin{}, exitf(misused, "--matters is no amount above 0: %q; hint: %s", text, hint)
	case said == "%":
		return experiment.Margin{Share: value / 100}, nil
	case unit == "%" && said == "points", said == unit && unit != "%", said != "" && said == per(unit):
		return experiment.Margin{Absolute: value}, nil
	}
	if ms, err := quantity.ParseTime("--matters", text); err == nil && ms > 0 {
		switch unit {
		case "h":
			return experiment.Margin{Absolute: float64(ms) / float64(des.Hour)}, nil
		case "d":
			return experiment.Margin{Absolute: float64(ms) / float64(des.Day)}, nil
		}
	}
	return experiment.Margin{}, exitf(misused, "--matters: %q is no amount of %s, which is in %s; hint: %s", text, measure, unit, hint)
}

// per is a unit without what it is counted for: EUR of EUR/piece.
func per(unit string) string {
	of, _, _ := strings.Cut(unit, "/")
	return of
}

// example is an amount in a unit.
func example(unit string) string {
	if unit == "%" {
		return "0.5 points"
	}
	return "20 " + unit
}
