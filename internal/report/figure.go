package report

import (
	"math"

	"potbank/internal/quantity"
	"potbank/internal/stats"
)

// missing stands where there is nothing to measure.
const missing = "-"

// mostDecimals bounds the digits after the point.
const mostDecimals = 6

// estimate prints a value with its half-width, "6,012 ± 31", to the digit that
// the half-width allows; without an interval the value alone.
func estimate(e stats.Estimate) string {
	mean, half := columns(e)
	if half == missing || half == "" {
		return mean
	}
	return mean + " ± " + half
}

// columns prints a value and its half-width apart, for the two columns of a
// table: "" for a half-width that does not exist.
func columns(e stats.Estimate) (mean, half string) {
	if math.IsNaN(e.Value) {
		return missing, ""
	}
	if !e.HasInterval() {
		return plain(e.Value), ""
	}
	h := e.HalfWidth()
	if h <= noSpread*math.Abs(e.Value) {
		decimals := plainDecimals(e.Value)
		return fixed(e.Value, decimals), fixed(0, decimals)
	}
	decimals := decimalsFor(h)
	if most := mostDigits(e.Value); decimals > most {
		decimals = most
		// Rounded up, so that no figure looks surer than it is.
		unit := math.Pow10(-decimals)
		h = math.Ceil(h/unit) * unit
	}
	return fixed(e.Value, decimals), fixed(h, decimals)
}

// noSpread is the half-width, as a share of the value, that is put down to
// rounding in the last bits: every replication gave the same.
const noSpread = 1e-12

// mostDigits returns the decimals that leave five digits: nobody reads more,
// however small the half-width.
func mostDigits(v float64) int {
	if v == 0 {
		return mostDecimals
	}
	return min(mostDecimals, max(0, 4-int(math.Floor(math.Log10(math.Abs(v))))))
}

// decimalsFor returns the decimals that a half-width allows: its first digit
// is the last one shown, and nothing finer than whole numbers is dropped.
func decimalsFor(half float64) int {
	if !(half > 0) {
		return 0
	}
	return min(mostDecimals, max(0, -int(math.Floor(math.Log10(half)))))
}

// plain prints a number whose doubt is not known to three significant digits,
// whole numbers in full.
func plain(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return missing
	}
	return fixed(v, plainDecimals(v))
}

// plainDecimals gives three significant digits; a whole number needs none.
func plainDecimals(v float64) int {
	if v == math.Trunc(v) {
		return 0
	}
	return min(mostDecimals, max(0, 2-int(math.Floor(math.Log10(math.Abs(v))))))
}

// fixed prints a number with so many decimals and its thousands apart.
func fixed(v float64, decimals int) string { return quantity.Grouped(v, decimals) }

// count prints a whole number with its thousands apart.
func count(n int64) string { return fixed(float64(n), 0) }

// addUp prints parts of a total so that what is printed adds up to the total
// as printed, by giving the units lost in rounding to the parts that lost most
// (the method of largest remainders). decimals is common to all.
func addUp(parts []float64, decimals int) (printed []string, total string) {
	scale := math.Pow10(decimals)
	floors, rest := make([]float64, len(parts)), make([]float64, len(parts))
	var exact, floored float64
	for i, p := range parts {
		exact += p
		floors[i] = math.Floor(p * scale)
		rest[i] = float64(p*scale) - floors[i]
		floored += floors[i]
	}
	for left := math.Round(exact*scale) - floored; left >= 1; left-- {
		most := 0
		for i := range rest {
			if rest[i] > rest[most] {
				most = i
			}
		}
		floors[most]++
		rest[most] = -1
	}
	for _, f := range floors {
		printed = append(printed, fixed(f/scale, decimals))
	}
	return printed, fixed(math.Round(exact*scale)/scale, decimals)
}
