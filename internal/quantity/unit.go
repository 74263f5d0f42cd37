package quantity

import (
	"math/big"
	"slices"
	"strings"
)

// A unit is one accepted spelling of a dimension's unit. Spelling is strict,
// and case counts: mWh is not MWh.
type unit struct {
	name  string   // as written; for prices, what follows the currency
	num   int64    // one unit is num/den base steps of the dimension
	den   int64    //
	print bool     // whether printing may choose it
	said  []string // other spellings, refused but understood in hints
}

// scale returns how many base steps one unit is.
func (u unit) scale() *big.Rat { return big.NewRat(u.num, u.den) }

// A trap is a spelling that looks like a unit of the dimension and would be
// misread. Its hint is given the number as written.
type trap struct{ spelling, what, hint string }

// A dimension is one kind of quantity with its table of units.
type dimension struct {
	noun   string   // with its article: "a time"
	plural string   // opens a sentence: "Times"
	usual  []string // one or two units to propose when none was given
	sample string   // a plausible whole value: "6 min"
	step   string   // smallest step of a whole-number type: "1 ms"
	signed bool     // whether a minus sign makes sense
	priced bool     // whether units begin with a currency code
	bare   bool     // whether the unit may be left out (counts)
	units  []unit   // ascending in scale
	traps  []trap
}

// subject names what a message is about.
func (d *dimension) subject(key string) string {
	if key == "" {
		return "the value"
	}
	return key
}

// suchAs returns the hint that shows what a value of the dimension looks like.
func (d *dimension) suchAs() string { return "write " + d.noun + " such as " + d.sample }

// find returns the unit of that exact name.
func (d *dimension) find(name string) (unit, bool) {
	i := slices.IndexFunc(d.units, func(u unit) bool { return u.name == name })
	if i < 0 {
		return unit{}, false
	}
	return d.units[i], true
}

// An amount is a quantity that has been read, before rounding.
type amount struct {
	written
	base     *big.Rat // in base steps of the dimension
	currency string   // of priced dimensions
}

// read takes s apart, looks its unit up and converts it to base steps.
func (d *dimension) read(key, s string) (amount, error) {
	w, err := split(d, key, s)
	if err != nil {
		return amount{}, err
	}
	if w.negative() && !d.signed {
		return amount{}, faultAt(w.at, writeAs(w.size(), w.unit), "%s cannot be negative", d.noun)
	}
	if w.unit == "" {
		return amount{}, d.unitless(key, w)
	}
	name, currency := w.unit, ""
	if d.priced {
		name, currency = stripCurrency(w.unit)
	}
	u, ok := d.find(name)
	if !ok || d.priced && currency == "" {
		return amount{}, d.unknown(key, w)
	}
	v, err := exact(w, d, key)
	if err != nil {
		return amount{}, err
	}
	return amount{w, v.Mul(v, u.scale()), currency}, nil
}

// unitless explains a bare number.
func (d *dimension) unitless(key string, w written) *Fault {
	if d == &shareUnits {
		v, _ := new(big.Rat).SetString(w.number)
		hint := d.suchAs()
		if v != nil && v.Cmp(big.NewRat(1, 1)) <= 0 {
			// Whoever writes 0.06 means 6 %, not 0.06 %.
			percent, _ := decimal(v.Mul(v, big.NewRat(100, 1)))
			hint = writeAs(percent, "%")
		}
		return faultAt(w.at, hint, "%s is a share and has no unit", d.subject(key))
	}
	var ways []string
	for _, u := range d.usual {
		ways = append(ways, w.number+" "+u)
	}
	return faultAt(w.at, "write "+strings.Join(ways, " or "), "%s has no unit", d.subject(key))
}

// unknown explains a unit that is not in the table: a known trap, a unit of
// another dimension, or a misspelling. The order matters: "m" is a length, but
// where a time is wanted its author meant minutes.
func (d *dimension) unknown(key string, w written) *Fault {
	name := w.unit
	if d.priced {
		name, _ = stripCurrency(name)
	}
	if i := strings.IndexAny(name, "€$£"); d.priced && i == 0 {
		return faultAt(w.unitAt, writeAs(w.number, d.usual[0]), "%q does not name its currency by three capital letters", w.unit)
	}
	for _, t := range d.traps {
		if t.spelling == name {
			return faultAt(w.unitAt, strings.ReplaceAll(t.hint, "#", w.number), "%s", t.what)
		}
	}
	if word, _ := cut(w.unit); word != w.unit && strings.ContainsAny(w.unit, "0123456789") {
		if _, ok := d.find(word); ok {
			return faultAt(w.at, "write one number and one unit, such as "+d.sample, "%s is written as two amounts", d.subject(key))
		}
	}
	if other := dimensionOf(w.unit); other != nil {
		return faultAt(w.unitAt, writeAs(w.number, d.usual[0]), "%s is %s, but %s is %s", d.subject(key), d.noun, w.unit, other.noun)
	}
	return faultAt(w.unitAt, d.nearest(name), "unknown unit %q", w.unit)
}

// dimensionOf returns the first dimension that has the unit, or nil.
func dimensionOf(name string) *dimension {
	bare, currency := stripCurrency(name)
	for _, d := range dimensions {
		wanted := name
		if d.priced {
			if currency == "" {
				continue
			}
			wanted = bare
		}
		if _, ok := d.find(wanted); ok {
			return d
		}
	}
	return nil
}

// nearest returns the hint for a misspelt unit: the likeliest unit, if one is
// near, and the units there are. Near means that at most half of the letters
// differ, so that no unit is proposed for what resembles none.
func (d *dimension) nearest(name string) string {
	var names []string
	best, closest := len(name)+1, ""
	for _, u := range d.units {
		shown := u.name
		if d.priced {
			shown = "EUR" + u.name
		}
		names = append(names, shown)
		for _, spelling := range append([]string{u.name}, u.said...) {
			gap := distance(strings.ToLower(name), strings.ToLower(spelling))
			if gap < best && 2*gap <= min(len(name), len(spelling)) {
				best, closest = gap, shown
			}
		}
	}
	list := d.plural + " take " + strings.Join(names, ", ")
	if closest == "" {
		return list
	}
	return "did you mean " + closest + "? " + list
}

// distance returns the Levenshtein distance of a and b in bytes: the least
// number of insertions, deletions and substitutions between them.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// stripCurrency separates a leading three-letter currency code (ISO 4217, in
// capitals) from what follows it. A unit without one comes back unchanged.
func stripCurrency(unit string) (rest, currency string) {
	if len(unit) < 3 || len(unit) > 3 && unit[3] != '/' {
		return unit, ""
	}
	for i := range 3 {
		if unit[i] < 'A' || unit[i] > 'Z' {
			return unit, ""
		}
	}
	return unit[3:], unit[:3]
}
