package scenario

import (
	"fmt"
	"math/big"
	"strings"

	"potbank/internal/quantity"
)

// A Telling is one difference between two scenarios in words. A set of keys that
// only one of them has, such as a kiln, is one difference.
type Telling struct {
	Path          string // its keys, such as "kilns.tunnel.push"
	Means         string // what the key is, as in the list of keys; empty for a set of keys
	Before, After string // as written, a default written out; empty where the scenario has no such value
	Values        int    // how many values differ
	Says          string // what the change comes to: "4.34 min less (-19.2 %)"; empty where it speaks for itself
}

// Tell says in words how b differs from a, in the order of Differences.
func Tell(a, b *File) []Telling {
	means := map[string]string{}
	for _, o := range append(append([]Origin{}, a.origins...), b.origins...) {
		means[o.Path] = meaning(o.field.doc)
	}
	inA, inB := a.prefixes(), b.prefixes()
	var all []Telling
	for _, d := range Differences(a, b) {
		other := inB
		if d.Before == "" {
			other = inA
		}
		whole := missingSet(d, other)
		if n := len(all); whole != d.Path && n > 0 && all[n-1].Path == whole {
			all[n-1].join(d, whole)
			continue
		}
		t := Telling{Path: whole, Values: 1}
		if whole == d.Path {
			t.Means, t.Before, t.After = means[d.Path], d.Before, d.After
			t.Says = changeOf(d.Before, d.After)
		} else {
			t.Says = "added"
			if d.After == "" {
				t.Says = "left out"
			}
			t.Values = 0
			t.join(d, whole)
		}
		all = append(all, t)
	}
	return all
}

// meaning is what a line of the list of keys says before it goes into cases
// and examples.
func meaning(doc string) string {
	doc, _, _ = strings.Cut(doc, "; ")
	doc, _, _ = strings.Cut(doc, ", such as")
	return doc
}

// join adds a value of a set of keys that only one scenario has.
func (t *Telling) join(d Difference, whole string) {
	add := func(to *string, text string) {
		if text == "" {
			return
		}
		if *to != "" {
			*to += ", "
		}
		*to += strings.TrimPrefix(d.Path, whole+".") + " " + text
	}
	add(&t.Before, d.Before)
	add(&t.After, d.After)
	t.Values++
}

// prefixes are the paths of all values and of the sets that they lie in.
func (f *File) prefixes() map[string]bool {
	all := map[string]bool{}
	for _, o := range f.origins {
		for at := range o.Path {
			if o.Path[at] == '.' {
				all[o.Path[:at]] = true
			}
		}
		all[o.Path] = true
	}
	return all
}

// missingSet is the largest set of keys around a value that the other scenario
// lacks altogether, or the value's own path if the set it lies in is there.
func missingSet(d Difference, other map[string]bool) string {
	if d.Before != "" && d.After != "" {
		return d.Path
	}
	for at := range d.Path {
		if d.Path[at] == '.' && !other[d.Path[:at]] {
			return d.Path[:at]
		}
	}
	return d.Path
}

// changeOf says what a change of one value comes to, if both texts are a number
// with one unit or a time.
func changeOf(before, after string) string {
	if before == "" {
		return "added"
	}
	if after == "" {
		return "left out"
	}
	was, wasRest, _ := strings.Cut(before, " from ")
	is, isRest, _ := strings.Cut(after, " from ")
	if was == is {
		return "the same value, " + restsNow(wasRest, isRest)
	}
	was, wasSpread, _ := strings.Cut(was, " +- ")
	is, isSpread, _ := strings.Cut(is, " +- ")
	if wasSpread != isSpread {
		return ""
	}
	if x, err := quantity.ParseTime("", was); err == nil {
		if y, err := quantity.ParseTime("", is); err == nil {
			return stepOf(big.NewRat(x, 1), big.NewRat(y, 1), func(step *big.Rat) string { return quantity.FormatTime(step.Num().Int64()) })
		}
	}
	x, unit, ok := amountOf(was)
	y, same, also := amountOf(is)
	if !ok || !also || unit != same {
		return ""
	}
	return stepOf(x, y, func(step *big.Rat) string {
		if unit == "%" {
			return decimalOf(step) + " points"
		}
		return strings.TrimSpace(decimalOf(step) + " " + unit)
	})
}

// restsNow says how a value that stayed rests on something else.
func restsNow(was, is string) string {
	switch {
	case is == "":
		return "no longer from " + was
	case was == "":
		return "now from " + is
	}
	return "from " + is + " instead of " + was
}

// amountOf takes a number and its unit apart.
func amountOf(text string) (x *big.Rat, unit string, ok bool) {
	number, unit, _ := strings.Cut(text, " ")
	x, ok = new(big.Rat).SetString(number)
	if strings.ContainsAny(number, "/eEpPxX_") {
		ok = false // not how a file writes numbers
	}
	return x, unit, ok
}

// decimalOf prints a decimal exactly, without zeros at its end.
func decimalOf(x *big.Rat) string {
	places, exact := x.FloatPrec()
	if !exact {
		places = 6
	}
	return x.FloatString(places)
}

// stepOf says by how much a number has changed, and by what share of it.
func stepOf(x, y *big.Rat, print func(step *big.Rat) string) string {
	step := new(big.Rat).Sub(y, x)
	if step.Sign() == 0 {
		return "the same, written otherwise"
	}
	word := "more"
	if step.Sign() < 0 {
		word = "less"
	}
	text := print(new(big.Rat).Abs(step)) + " " + word
	if x.Sign() == 0 {
		return text
	}
	share, _ := new(big.Rat).Quo(step, new(big.Rat).Abs(x)).Float64()
	return fmt.Sprintf("%s (%+.1f %%)", text, 100*share)
}
