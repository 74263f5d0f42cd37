package quantity

import (
	"math/big"
	"slices"
	"strconv"
	"strings"
)

// countWords are the things a scenario counts. One of something may be
// written in the singular.
var countWords = []string{"pieces", "moulds", "trolleys", "cars", "casts"}

// ParseCount reads a whole number from 0 to limit, bare or followed by the
// word for what is counted: "60", "10000 pieces". The words accepted are those
// given, or pieces, moulds, trolleys, cars and casts if none is.
func ParseCount(key, s string, limit int64, words ...string) (int64, error) {
	if len(words) == 0 {
		words = countWords
	}
	d := &countUnits
	w, err := split(d, key, s)
	if err != nil {
		return 0, err
	}
	if w.negative() {
		return 0, faultAt(w.at, writeAs(w.size(), w.unit), "%s cannot be negative", d.subject(key))
	}
	if w.unit != "" && !counts(w.unit, words) {
		return 0, wrongWord(key, w, words)
	}
	v, err := exact(w, d, key)
	if err != nil {
		return 0, err
	}
	if v.Cmp(new(big.Rat).SetInt64(limit)) > 0 {
		return 0, &Fault{Offset: w.at, What: d.subject(key) + " is above the limit of " + strconv.FormatInt(limit, 10), Hint: "check the number", Limit: true}
	}
	if !v.IsInt() {
		below := new(big.Int).Div(v.Num(), v.Denom()).Int64()
		return 0, faultAt(w.at, writeAs(strconv.FormatInt(below, 10)+" or "+strconv.FormatInt(below+1, 10), w.unit),
			"%s must be a whole number, got %s", d.subject(key), w.number)
	}
	return v.Num().Int64(), nil
}

// counts reports whether word is one of words, in the plural or singular.
func counts(word string, words []string) bool {
	return slices.ContainsFunc(words, func(plural string) bool {
		return word == plural || word == strings.TrimSuffix(plural, "s")
	})
}

// wrongWord explains a unit that does not belong after a count.
func wrongWord(key string, w written, words []string) *Fault {
	subject := countUnits.subject(key)
	if other := dimensionOf(w.unit); other != nil {
		return faultAt(w.unitAt, writeAs(w.number, words[0]), "%s is a whole number, but %s is %s", subject, w.unit, other.noun)
	}
	return faultAt(w.unitAt, writeAs(w.number, words[0]), "%s counts %s, not %q", subject, strings.Join(words, ", "), w.unit)
}

// FormatCount prints a count as ParseCount reads it.
func FormatCount(n int64) string { return strconv.FormatInt(n, 10) }
