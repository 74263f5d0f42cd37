package decision

import "math"

// An Outlay is what an option takes besides running the works, in whole units
// of the currency.
type Outlay struct {
	Capital  float64 // spent at once
	Residual float64 // left of it at the end of its life
	Upkeep   float64 // fixed cost a year that is in no other line
	Life     float64 // years over which the capital is written off; above 0
}

// PerYear is the outlay as a constant yearly cost at an interest rate (0.08 for
// 8 % a year): capital x recovery factor - residual x sinking-fund factor +
// upkeep.
func (o Outlay) PerYear(rate float64) float64 {
	return float64(o.Capital*CapitalRecovery(rate, o.Life)) - float64(o.Residual*SinkingFund(rate, o.Life)) + o.Upkeep
}

// NetPresentValue is what the outlay is worth today if it saves so much a year
// before its upkeep, at an interest rate over its life. It is above 0 exactly
// where the saving is above PerYear.
func (o Outlay) NetPresentValue(rate, saving float64) float64 {
	return (saving - o.PerYear(rate)) * Annuity(rate, o.Life)
}

// Payback is the years until the savings, less upkeep, add up to the capital,
// without interest; +Inf if they never do. It looks neither at interest nor at
// what comes after, so nothing is ranked by it.
func (o Outlay) Payback(saving float64) float64 {
	if o.Capital <= 0 {
		return 0
	}
	if saving <= o.Upkeep {
		return math.Inf(1)
	}
	return o.Capital / (saving - o.Upkeep)
}

// CapitalRecovery is the share of a capital that must be earned each year to
// write it off over some years with interest: i(1+i)^n / ((1+i)^n - 1), and 1/n
// without interest.
func CapitalRecovery(rate, years float64) float64 { return 1 / Annuity(rate, years) }

// SinkingFund is the share of an amount that must be put aside each year to
// have it after some years: i / ((1+i)^n - 1).
func SinkingFund(rate, years float64) float64 { return CapitalRecovery(rate, years) - rate }

// Annuity is what 1 a year, paid at the end of each of some years, is worth
// today. Expm1 and Log1p keep its digits at rates near 0.
func Annuity(rate, years float64) float64 {
	if rate == 0 {
		return years
	}
	return -math.Expm1(-years*math.Log1p(rate)) / rate
}

// PresentValue is what yearly amounts are worth today; the first is paid now,
// the next in a year. It serves demand and prices that change from year to year.
func PresentValue(rate float64, amounts []float64) float64 {
	sum, worth := 0.0, 1.0
	for _, a := range amounts {
		sum += float64(a * worth)
		worth /= 1 + rate
	}
	return sum
}

// BreakEven is the yearly output from which the option with the higher fixed
// and the lower variable cost is the cheaper: (F1 - F2) / (v2 - v1). It is NaN
// where the variable costs are alike, and below 0 where one option is the
// cheaper at any output.
func BreakEven(fixed1, variable1, fixed2, variable2 float64) float64 {
	if variable1 == variable2 {
		return math.NaN()
	}
	return (fixed1 - fixed2) / (variable2 - variable1)
}
