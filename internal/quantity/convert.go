package quantity

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// readWhole reads a quantity of a whole-number type, rounded half to even to
// the step of the type. What is not zero must not become zero.
func (d *dimension) readWhole(key, s string) (int64, amount, error) {
	a, err := d.read(key, s)
	if err != nil {
		return 0, a, err
	}
	n := roundHalfEven(a.base)
	if !n.IsInt64() {
		return 0, a, d.tooLarge(a)
	}
	if n.Sign() == 0 && a.base.Sign() != 0 {
		return 0, a, d.roundsToZero(a)
	}
	return n.Int64(), a, nil
}

// readFloat reads a quantity of a float64 type, as the float64 nearest to the
// decimal written.
func (d *dimension) readFloat(key, s string) (float64, amount, error) {
	a, err := d.read(key, s)
	if err != nil {
		return 0, a, err
	}
	f, err := d.float(a)
	return f, a, err
}

// float returns the float64 nearest to the amount. What is not zero must not
// become zero, nor what is finite infinite.
func (d *dimension) float(a amount) (float64, error) {
	f, _ := a.base.Float64()
	if math.IsInf(f, 0) {
		return 0, d.tooLarge(a)
	}
	if f == 0 && a.base.Sign() != 0 {
		return 0, d.roundsToZero(a)
	}
	return f, nil
}

// tooLarge explains a value beyond what its type can hold.
func (d *dimension) tooLarge(a amount) *Fault {
	return &Fault{Offset: a.at, What: strings.TrimSpace(a.number+" "+a.unit) + " is too large for " + d.noun, Hint: "check the number and its unit", Limit: true}
}

// roundsToZero explains a value below half a step of its type.
func (d *dimension) roundsToZero(a amount) *Fault {
	thing := "the " + bareNoun(d.noun)
	step := ""
	if d.step != "" {
		step = "; the smallest step is " + d.step
	}
	return faultAt(a.at, writeAs("0", d.usual[len(d.usual)-1])+" if you mean no "+bareNoun(d.noun), "%s rounds to zero%s", thing, step)
}

// bareNoun drops the article.
func bareNoun(noun string) string {
	_, rest := cut(noun)
	return rest
}

// roundHalfEven returns the whole number nearest to v, the even one of two
// equally near.
func roundHalfEven(v *big.Rat) *big.Int {
	quotient, rest := new(big.Int).DivMod(v.Num(), v.Denom(), new(big.Int)) // rest >= 0
	switch rest.Lsh(rest, 1).Cmp(v.Denom()) {
	case +1:
		quotient.Add(quotient, big.NewInt(1))
	case 0:
		if quotient.Bit(0) == 1 {
			quotient.Add(quotient, big.NewInt(1))
		}
	}
	return quotient
}

// spellWhole prints n base steps in the unit that gives the shortest number.
func (d *dimension) spellWhole(n int64, currency string) string {
	return d.spell(new(big.Rat).SetInt64(n), currency)
}

// spellFloat prints x as the shortest decimal that reads back as x.
func (d *dimension) spellFloat(x float64) string {
	v, ok := new(big.Rat).SetString(strconv.FormatFloat(x, 'g', -1, 64))
	if !ok { // infinite or not a number: for debugging only, no parser gives it
		return strconv.FormatFloat(x, 'g', -1, 64) + " " + d.usual[0]
	}
	return d.spell(v, "")
}

// spell prints v base steps exactly. Of the printable units it takes the one
// with the shortest number: 90 min rather than 1.5 h, 18.1 kg rather than
// 18100 g. Among equals a number of at least 1 wins (500 kg, not 0.5 t), then
// the larger unit. Zero takes the smallest.
func (d *dimension) spell(v *big.Rat, currency string) string {
	one := big.NewRat(1, 1)
	best, unitName, bestBelowOne := "", "", false
	for _, u := range d.units {
		if !u.print {
			continue
		}
		inUnit := new(big.Rat).Quo(v, u.scale())
		text, ok := decimal(inUnit)
		if !ok {
			continue
		}
		belowOne := new(big.Rat).Abs(inUnit).Cmp(one) < 0
		if best == "" || len(text) < len(best) || len(text) == len(best) && v.Sign() != 0 && (bestBelowOne || !belowOne) {
			best, unitName, bestBelowOne = text, currency+u.name, belowOne
		}
	}
	return best + " " + unitName
}

// decimal writes v in plain decimals, and reports whether that is exact.
func decimal(v *big.Rat) (string, bool) {
	places, ok := v.FloatPrec()
	return v.FloatString(places), ok
}
