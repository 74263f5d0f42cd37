package scenario

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"potbank/internal/quantity"
	"potbank/internal/random"
)

// Evidence is what a value of the scenario rests on, where the file says so.
// A share may say of how many pieces it was counted, a law on how many records
// it was fitted or which table holds them:
//
//	white: 92 % from 460 of 500
//	test: from 199 of 200
//	time: lognormal(mean 75 min, sd 8 min) from 40 records
//	time: lognormal(mean 75 min, sd 8 min) from csv(times.csv, column minutes, min)
//	time: csv(times.csv, column minutes, min)
//
// A value that rests on nothing says so, "92 % from guess", and is listed with
// the defaults that nobody measured.
type Evidence struct {
	Path string       // keys of the value, such as "ware.pan.yields.white"
	Kind EvidenceKind // what was done
	Hits int          // Counted: pieces that went right, or whatever the share is of
	Of   int          // pieces counted, or records
	// Data are the records, in milliseconds, percent or casts as the law is;
	// nil where the file gives their number alone.
	Data []float64

	source  string // table that the records are in
	written string // as Print puts it behind the value; empty for a table itself
	at      place  // of the value
}

// EvidenceKind is the way from evidence to value.
type EvidenceKind int

// The kinds of evidence.
const (
	Counted  EvidenceKind = iota // a share of pieces counted
	Fitted                       // a law fitted to records
	Recorded                     // the records themselves
)

// String says what the value rests on: "460 of 500", "40 records" or "40
// records in times.csv".
func (e Evidence) String() string {
	switch {
	case e.Kind == Counted:
		return fmt.Sprintf("%d of %d", e.Hits, e.Of)
	case e.source != "":
		return fmt.Sprintf("%d records in %s", e.Of, e.source)
	}
	return fmt.Sprintf("%d records", e.Of)
}

// Evidence returns what values of the works rest on, in the order of the
// sections; it is empty for a file that takes every value as known.
func (f *File) Evidence() []Evidence { return f.evidence }

var (
	shareType = reflect.TypeFor[quantity.Share]()
	lawType   = reflect.TypeFor[random.Law]()
)

// uncounted are the shares that are no part of anything counted: those that
// the works chooses, degrees of something, and correlations.
var uncounted = map[string]bool{
	"Run.precision": true, "Crew.premium": true, "Kiln.part-car": true, "Kiln.least-load": true,
	"CastingShop.humidity": true, "CastingShop.cover-factor": true, "Bench.damp-rate": true, "Bench.old-rate": true,
	"Ware.slip-return": true, "Yields.car-correlation": true, "Yields.day-correlation": true,
}

// evidenced reads the text of a value that may say what it rests on. The
// evidence is nil where it does not.
func (d *decoder) evidenced(f field, t reflect.Type, s string) (any, *Evidence, error) {
	stated, from, at := cutFrom(s)
	counted := t == shareType && !uncounted[f.id()]
	switch {
	case at < 0:
		x, err := scalars[t].parse(d, f, s)
		if r, ok := x.(recorded); ok && r.data != nil {
			return x, &Evidence{Kind: Recorded, Of: len(r.data), Data: r.data, source: r.table}, err
		}
		return x, nil, err
	case counted:
		return countedShare(f, stated, from, at)
	case t == lawType:
		return d.fittedLaw(f, stated, from, at)
	case t.Kind() == reflect.String:
		x, err := scalars[t].parse(d, f, s)
		return x, nil, err
	}
	return nil, nil, faultAt(at-len("from "), "take it away: shares that are counted and laws say what they rest on", "%s does not rest on anything counted", f.key)
}

// cutFrom cuts a text before the word "from", unless that stands between
// parentheses, where it is a bound of a normal law. at is where the rest
// begins, in characters, or -1.
func cutFrom(s string) (stated, from string, at int) {
	depth, word := 0, 0
	for i, r := range s + " " {
		if depth += parenthesis(r); r != ' ' {
			continue
		}
		if depth == 0 && s[word:i] == "from" {
			rest := strings.TrimLeft(s[i:], " ")
			return strings.TrimRight(s[:word], " "), strings.TrimRight(rest, " "), utf8.RuneCountInString(s) - utf8.RuneCountInString(rest)
		}
		word = i + 1
	}
	return s, "", -1
}

// guessed is what a value rests on that somebody guessed.
const guessed = "guess"

// cutGuess cuts "from guess" off the text of a figure or a count, and tells
// whether it was there.
func cutGuess(t reflect.Type, s string) (stated string, guess bool) {
	if !scalars[t].figure && t.Kind() != reflect.Int {
		return s, false
	}
	stated, from, at := cutFrom(s)
	if at < 0 || from != guessed || stated == "" {
		return s, false
	}
	return stated, true
}

// countedShare reads "92 % from 460 of 500", or "from 460 of 500" alone.
func countedShare(f field, stated, from string, at int) (any, *Evidence, error) {
	e, err := parseCounts(f, from)
	if err != nil {
		return nil, nil, moved(err, at)
	}
	share := quantity.Share(float64(e.Hits) / float64(e.Of))
	if stated == "" {
		return share, e, nil
	}
	written, err := quantity.ParseShare(f.key, stated)
	if err != nil {
		return nil, nil, err
	}
	if math.Abs(float64(written-share)) > float64(lastDigit(stated)/2/100)+1e-12 {
		near := quantity.Share(math.Round(float64(share)*1000) / 1000)
		return nil, nil, faultAt(0, fmt.Sprintf("write %s from %s, or leave the share away", near, e), "%s is not %s", stated, e)
	}
	return written, e, nil
}

// parseCounts reads "460 of 500".
func parseCounts(f field, s string) (*Evidence, error) {
	hits, of, ok := strings.Cut(s, " of ")
	if !ok {
		return nil, faultAt(0, "write how many of how many, such as from 460 of 500", "a share rests on counts, got %s", quote(s))
	}
	x, err := quantity.ParseCount(f.key, hits, mostOfAny, countWords...)
	if err != nil {
		return nil, err
	}
	n, err := quantity.ParseCount(f.key, of, mostOfAny, countWords...)
	if err != nil {
		return nil, moved(err, utf8.RuneCountInString(hits)+len(" of "))
	}
	switch {
	case n == 0:
		return nil, faultAt(0, "write how many were looked at, or take it away", "nothing was counted")
	case x > n:
		return nil, faultAt(0, fmt.Sprintf("did you mean %d of %d?", n, x), "%d of %d is more than all of them", x, n)
	}
	e := &Evidence{Kind: Counted, Hits: int(x), Of: int(n)}
	e.written = "from " + e.String()
	return e, nil
}

// lastDigit is the worth of the last digit of a number as written: 0.1 for
// "92.5 %". One with an exponent is taken to whole ones.
func lastDigit(s string) float64 {
	number, _, _ := strings.Cut(strings.TrimSpace(s), " ")
	number = strings.TrimRight(number, "%")
	_, decimals, _ := strings.Cut(number, ".")
	if strings.ContainsAny(decimals, "eE") {
		return 1
	}
	return math.Pow10(-len(decimals))
}

// fittedLaw reads "lognormal(mean 75 min, sd 8 min) from 40 records", or from
// the table that holds them.
func (d *decoder) fittedLaw(f field, stated, from string, at int) (any, *Evidence, error) {
	if stated == "" {
		return nil, nil, faultAt(0, "write the law first, or csv(times.csv, column minutes, min) alone", "%s says what it rests on, but not what it is", f.key)
	}
	x, err := parseLaw(d, f, stated)
	if err != nil {
		return nil, nil, err
	}
	law := x.(random.Law)
	if r, ok := law.(recorded); ok && r.data != nil {
		return nil, nil, faultAt(at-len("from "), "take it away", "a table brings its own records")
	}
	e, err := d.parseRecords(f, from)
	if err != nil {
		return nil, nil, moved(err, at)
	}
	if err := refits(law, e.Of); err != nil {
		return nil, nil, faultAt(0, "write lognormal(mean, sd), gamma(mean, sd), weibull(shape, scale), exponential(mean) or csv(...)", "%s", err)
	}
	return law, e, d.agrees(law, e, at)
}

// parseRecords reads "40 records", or the name of the table they are in.
func (d *decoder) parseRecords(f field, s string) (*Evidence, error) {
	e := &Evidence{Kind: Fitted, written: "from " + s}
	if strings.HasPrefix(s, "csv(") && strings.HasSuffix(s, ")") {
		law, err := d.parseRecorded(measures[f.unit], f, split(s, len("csv")))
		if err != nil {
			return nil, err
		}
		r := law.(recorded)
		e.Of, e.Data, e.source, e.written = len(r.data), r.data, r.table, "from "+r.written
	} else {
		n, err := quantity.ParseCount(f.key, s, mostOfAny, "records")
		if err != nil {
			return nil, err
		}
		e.Of = int(n)
		e.written = "from " + e.String()
	}
	if e.Of < random.LeastRecords {
		return nil, faultAt(0, "take it away, and more records before you rely on it", "%d records say nothing about a law; at least %d do", e.Of, random.LeastRecords)
	}
	return e, nil
}

// refits tells whether the law is one that records can be behind.
func refits(law random.Law, records int) error {
	if r, ok := law.(recorded); ok {
		law = r.Law
	}
	_, err := random.Refit(law, records, func(uint32) float64 { return 0.5 })
	switch {
	case errors.Is(err, random.ErrGuess) && law.SD() == 0:
		return errors.New("one value for all says nothing of how records differ")
	case errors.Is(err, random.ErrGuess):
		return err
	}
	return nil // a law at the edge of what can be had is for the draw to judge
}

// agrees checks a law against the table it is said to be fitted to: a mean off
// by more than three standard errors is a slip of unit or column, or an old
// fit.
func (d *decoder) agrees(law random.Law, e *Evidence, at int) error {
	if e.Data == nil {
		return nil
	}
	of, err := random.Empirical(e.Data, nil)
	if err != nil {
		return faultAt(at, "check the table", "%s", err)
	}
	off := math.Abs(of.Mean()-law.Mean()) / law.Mean()
	if math.Abs(of.Mean()-law.Mean()) > 3*max(of.SD(), law.SD())/math.Sqrt(float64(e.Of)) {
		return faultAt(0, "fit the law again, or check column and unit", "the mean of this law is %.0f %% off that of the records in %s", 100*off, e.source)
	}
	return nil
}

// checkEvidence wants the counts of one whole, such as the grades of a fire,
// to be counts of the same pieces, and no more than those.
func (d *decoder) checkEvidence() {
	for i, e := range d.evidence {
		group, ok := wholeOf(e)
		if !ok {
			continue
		}
		seen := 0
		for _, other := range d.evidence[:i+1] {
			if g, _ := wholeOf(other); g != group {
				continue
			}
			if seen += other.Hits; other.Of != e.Of {
				d.fault(e.at, "count all of them on the same pieces", "%s is counted on %d pieces, %s on %d", lastKey(e.Path), e.Of, lastKey(other.Path), other.Of)
				return
			}
		}
		if seen > e.Of {
			d.fault(e.at, "count each piece once", "more of %s are counted than the %d there were: %d", group, e.Of, seen)
			return
		}
	}
}

// wholes are the keys under which shares are parts of one whole: what one
// gains, others lose.
var wholes = []string{"first-fire", "refire", "fired-faults", "white-faults"}

// wholeOf returns the path of the whole that a counted share is part of.
func wholeOf(e Evidence) (path string, ok bool) {
	parent, _, _ := cutLast(e.Path)
	return parent, e.Kind == Counted && slices.Contains(wholes, lastKey(parent)) && strings.Contains(parent, ".yields.")
}

// lastKey is the last key of a path.
func lastKey(path string) string {
	_, key, _ := cutLast(path)
	return key
}
