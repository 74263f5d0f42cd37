package quantity

import (
	"strconv"
	"strings"
)

// The parameters of a distribution are not counted in whole steps: the scale
// of a Weibull life of given mean is seldom a whole millisecond. The functions
// here read and print them without rounding.

// ParseFineTime reads a time under the rules of ParseTime and returns it in
// milliseconds, as the float64 nearest to the decimal written.
func ParseFineTime(key, s string) (ms float64, err error) {
	ms, _, err = timeUnits.readFloat(key, s)
	return ms, err
}

// FormatFineTime prints a time in milliseconds so that ParseFineTime gives it
// back: "75 min", "12.3456 s".
func FormatFineTime(ms float64) string { return timeUnits.spellFloat(ms) }

// ParseNumber reads a plain number that is not negative, such as the shape of
// a distribution. It may be followed by one of the words.
func ParseNumber(key, s string, words ...string) (float64, error) {
	w, err := split(&numberUnits, key, s)
	if err != nil {
		return 0, err
	}
	if w.negative() {
		return 0, faultAt(w.at, writeAs(w.size(), w.unit), "%s cannot be negative", numberUnits.subject(key))
	}
	switch {
	case w.unit == "" || counts(w.unit, words):
	case len(words) > 0:
		return 0, faultAt(w.unitAt, writeAs(w.number, words[0]), "%s counts %s, not %q", numberUnits.subject(key), strings.Join(words, ", "), w.unit)
	default:
		return 0, faultAt(w.unitAt, writeAs(w.number, ""), "%s takes a plain number, but is followed by %q", numberUnits.subject(key), w.unit)
	}
	v, err := exact(w, &numberUnits, key)
	if err != nil {
		return 0, err
	}
	return numberUnits.float(amount{written: w, base: v})
}

// FormatNumber prints a plain number so that ParseNumber gives it back.
func FormatNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// numberUnits serves the messages about plain numbers.
var numberUnits = dimension{noun: "a number", plural: "Numbers", usual: []string{""}, sample: "2.5"}
