package scenario

import (
	"cmp"
	"errors"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"potbank/internal/des"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// A measure is the dimension of a law's values: what its parameters are read
// in, and how they are printed.
type measure struct {
	parse  func(key, s string) (float64, error)
	print  func(x float64) string
	sample string
}

// measures are the dimensions that a field's unit tag may name. Laws of time
// are in milliseconds, of moisture in percent of the dry mass.
var measures = map[string]measure{
	"time":     {quantity.ParseFineTime, quantity.FormatFineTime, "12 min"},
	"moisture": {parseMoisture, func(x float64) string { return quantity.Moisture(x).String() }, "22 %"},
	"casts":    {parseCasts, quantity.FormatNumber, "80 casts"},
}

func parseMoisture(key, s string) (float64, error) {
	m, err := quantity.ParseMoisture(key, s)
	return float64(m), err
}

func parseCasts(key, s string) (float64, error) { return quantity.ParseNumber(key, s, "casts") }

// A family is one kind of law: its parameters in order, and how it is made of
// them. A parameter with # is a plain number, one with ? may be left out; the
// others are in the measure of the law. Of parameters between bars one is
// given.
type family struct {
	parameters []string
	ascending  string // in what order the parameters must rise, if they must
	bare       bool   // printed without the names of the parameters
	build      func(p map[string]float64) (random.Law, error)
}

// families are the laws a scenario can name.
var families = map[string]family{
	"constant": {parameters: []string{"value"}, bare: true, build: func(p map[string]float64) (random.Law, error) {
		return random.Constant(p["value"])
	}},
	"uniform": {parameters: []string{"min", "max"}, ascending: "min, max", bare: true, build: func(p map[string]float64) (random.Law, error) {
		return random.Uniform(p["min"], p["max"])
	}},
	"triangular": {parameters: threePoints, ascending: "least, most likely, greatest", bare: true, build: func(p map[string]float64) (random.Law, error) {
		return random.Triangular(p["least"], p["likely"], p["greatest"])
	}},
	"pert": {parameters: threePoints, ascending: "least, most likely, greatest", bare: true, build: func(p map[string]float64) (random.Law, error) {
		return random.PERT(p["least"], p["likely"], p["greatest"])
	}},
	"lognormal": {parameters: []string{"mean", "sd"}, build: func(p map[string]float64) (random.Law, error) {
		return random.LogNormal(p["mean"], p["sd"])
	}},
	"exponential": {parameters: []string{"mean"}, build: func(p map[string]float64) (random.Law, error) {
		return random.Exponential(p["mean"])
	}},
	"gamma": {parameters: []string{"mean", "sd"}, build: func(p map[string]float64) (random.Law, error) {
		return random.Gamma(p["mean"], p["sd"])
	}},
	"erlang": {parameters: []string{"k#", "mean"}, build: func(p map[string]float64) (random.Law, error) {
		if p["k"] != math.Trunc(p["k"]) || p["k"] > 10_000 {
			return nil, errors.New("erlang: k counts stages, a whole number from 1 to 10000")
		}
		return random.Erlang(int(p["k"]), p["mean"])
	}},
	"weibull": {parameters: []string{"shape#", "scale|mean"}, build: func(p map[string]float64) (random.Law, error) {
		if mean, ok := p["mean"]; ok {
			return random.WeibullMean(mean, p["shape"])
		}
		return random.Weibull(p["shape"], p["scale"])
	}},
	"normal": {parameters: []string{"mean", "sd", "from?", "to?"}, build: func(p map[string]float64) (random.Law, error) {
		// Nothing that a scenario measures can be below zero.
		to, ok := p["to"]
		if !ok {
			to = math.Inf(1)
		}
		return random.TruncatedNormal(p["mean"], p["sd"], p["from"], to)
	}},
	"beta": {parameters: []string{"alpha#", "beta#", "min", "max"}, build: func(p map[string]float64) (random.Law, error) {
		return random.Beta(p["alpha"], p["beta"], p["min"], p["max"])
	}},
}

var threePoints = []string{"least", "likely", "greatest"}

// synonyms are the names under which the laws print what a file calls
// otherwise.
var synonyms = map[string]map[string]string{"normal": {"min": "from", "max": "to"}}

// familyNames lists the laws for messages.
const familyNames = "uniform, triangular, pert, normal, lognormal, exponential, gamma, erlang, weibull, beta, empirical or csv"

// An argument is one part of a law between commas, with the name in front of
// it taken off.
type argument struct {
	name, text string
	nameAt, at int // in characters of the whole text
}

// parseLaw reads a distribution: one value, a value and its spread
// ("12 min +- 25 %"), or a named law with its parameters
// ("lognormal(mean 75 min, sd 8 min)").
//
// Laws are made in the base unit of their measure, milliseconds for times,
// and not scaled afterwards: so their own spelling holds every parameter, and
// printLaw can turn it back into what a file says.
func parseLaw(d *decoder, f field, s string) (any, error) {
	m := measures[f.unit]
	open := strings.IndexByte(s, '(')
	switch {
	case open < 0 && (strings.Contains(s, "+-") || strings.Contains(s, "±")):
		return parseSpread(m, f, s)
	case open < 0 && lawWord(s):
		return nil, faultAt(0, "write a value such as "+m.sample+", or a law such as uniform(a, b)", "%s is no value of %s", quote(s), f.key)
	case open < 0:
		x, err := parameter(m, f, s)
		if err != nil {
			return nil, err
		}
		if f.unit == "time" && x > 0 && x < 0.5 {
			return nil, faultAt(0, "write 0 min if you mean no time", "the time rounds to zero; the smallest step is 1 ms")
		}
		return random.Constant(x)
	}
	name := strings.TrimSpace(s[:open])
	if end := strings.TrimRight(s, " "); !strings.HasSuffix(end, ")") {
		return nil, faultAt(utf8.RuneCountInString(end), "add ) at the end", "%s( is never closed", name)
	}
	arguments := split(s, open)
	switch name {
	case "empirical":
		return parseEmpirical(m, f, arguments)
	case "csv":
		return d.parseRecorded(m, f, arguments)
	}
	law, ok := families[name]
	if !ok {
		hint := "write " + familyNames
		if near, ok := nearest(name, append(sortedKeys(families), "empirical", "csv")); ok {
			hint = "did you mean " + near + "?"
		}
		return nil, faultAt(0, hint, "there is no law called %s", quote(name))
	}
	return law.read(name, m, f, arguments)
}

// lawWord reports whether a text begins with the name of something rather than
// with a number. A typeset minus or a currency sign is left to the parser of
// quantities, which knows what to say about it.
func lawWord(s string) bool {
	s = strings.TrimSpace(s)
	return s != "" && strings.IndexByte("0123456789.-+", s[0]) < 0 && s[0] < utf8.RuneSelf
}

// parameter reads one amount of a law, unrounded: the scale of a Weibull life
// of given mean is seldom a whole number of anything.
func parameter(m measure, f field, s string) (float64, error) {
	x, err := m.parse(f.key, s)
	if err == nil && f.unit == "time" && x > float64(longestTime/des.Millisecond) {
		err = overLimit(faultAt(0, "shorten it", "%s is above the limit of 50 yr", f.key))
	}
	return x, err
}

// parseSpread reads "12 min +- 25 %": anything within a quarter of 12 min is
// equally likely. The spread may also be an amount, "12 min +- 3 min". Of a
// moisture "22 % +- 1 %" could be either, and is refused.
func parseSpread(m measure, f field, s string) (random.Law, error) {
	s = strings.Replace(s, "±", "+-", 1)
	left, right, _ := strings.Cut(s, "+-")
	at := utf8.RuneCountInString(left) + len("+-")
	middle, err := parameter(m, f, left)
	if err != nil {
		return nil, err
	}
	var half float64
	switch percent := strings.HasSuffix(strings.TrimSpace(right), "%"); {
	case percent && f.unit == "moisture":
		return nil, faultAt(at-2, "write uniform(21.3 %, 22.7 %) with the two ends", "this could be points of moisture or a share of %s", strings.TrimSpace(left))
	case percent:
		var share quantity.Share
		share, err = quantity.ParseShare(f.key, right)
		half = middle * float64(share)
	default:
		half, err = parameter(m, f, right)
	}
	if err != nil {
		return nil, moved(err, at)
	}
	if half > middle {
		return nil, faultAt(at, "write a smaller spread", "the spread reaches below zero")
	}
	return random.Uniform(middle-half, middle+half)
}

// moved shifts a fault to where the text it is about begins.
func moved(err error, at int) error {
	var f *quantity.Fault
	if errors.As(err, &f) {
		shifted := *f
		shifted.Offset += at
		return &shifted
	}
	return err
}

// split takes the arguments of a law apart. The text is known to end in ")".
// Places count characters, as faults do, not bytes.
func split(s string, open int) []argument {
	inside := s[open+1 : strings.LastIndexByte(s, ')')]
	at := utf8.RuneCountInString(s[:open]) + 1
	var arguments []argument
	for part := range strings.SplitSeq(inside, ",") {
		trimmed := strings.TrimLeft(part, " ")
		a := argument{nameAt: at + len(part) - len(trimmed), text: strings.TrimRight(trimmed, " ")}
		a.at = a.nameAt
		if word, rest, ok := strings.Cut(a.text, " "); ok && lawWord(word) {
			rest = strings.TrimLeft(rest, " ")
			a.at += utf8.RuneCountInString(a.text) - utf8.RuneCountInString(rest)
			a.name, a.text = word, rest
		}
		arguments = append(arguments, a)
		at += utf8.RuneCountInString(part) + 1
	}
	return arguments
}

// read builds a law of the family from its arguments. Order and completeness
// are checked here, where the place of each argument is known; what makes a
// law impossible, package random knows.
func (l family) read(name string, m measure, f field, arguments []argument) (random.Law, error) {
	values := make(map[string]float64)
	var inOrder []float64
	for i, a := range arguments {
		p, number, err := l.which(name, i, a)
		if err != nil {
			return nil, err
		}
		if _, twice := values[p]; twice {
			return nil, faultAt(a.nameAt, "give each once", "%s has two values of %s", name, p)
		}
		x, err := readAmount(m, f, p, number, a)
		if err != nil {
			return nil, err
		}
		values[p] = x
		inOrder = append(inOrder, x)
		if l.ascending != "" && i > 0 && x < inOrder[i-1] {
			return nil, faultAt(a.nameAt, "did you mean "+name+"("+ordered(m, f, arguments)+")?", "%s takes %s in that order", name, l.ascending)
		}
	}
	for _, p := range l.parameters {
		p = strings.TrimSuffix(p, "#")
		one, other, _ := strings.Cut(p, "|")
		_, first := values[one]
		_, second := values[other]
		if !first && !second && !strings.HasSuffix(p, "?") {
			return nil, faultAt(0, "write "+l.form(name), "%s lacks %s", name, strings.ReplaceAll(p, "|", " or "))
		}
	}
	law, err := l.build(values)
	if err != nil {
		// What the law says about its numbers is in milliseconds.
		what, _, _ := strings.Cut(err.Error(), ", got ")
		return nil, faultAt(0, "write "+l.form(name), "%s", what)
	}
	return law, nil
}

// which tells which parameter an argument is, by its name or, if it has none,
// by its position, and whether it is a plain number.
func (l family) which(name string, i int, a argument) (p string, number bool, err error) {
	for j, p := range l.parameters {
		number = strings.HasSuffix(p, "#")
		choices := strings.Split(strings.Trim(p, "#?"), "|")
		if a.name == "" && i == j {
			return choices[0], number, nil
		}
		if synonym := synonyms[name][a.name]; slices.Contains(choices, cmp.Or(synonym, a.name)) {
			return cmp.Or(synonym, a.name), number, nil
		}
	}
	if a.name == "" {
		return "", false, faultAt(a.nameAt, "write "+l.form(name), "%s takes %d values", name, len(l.parameters))
	}
	return "", false, faultAt(a.nameAt, "write "+l.form(name), "%s has no %s", name, quote(a.name))
}

// form shows how the law is written.
func (l family) form(name string) string {
	var parts []string
	for _, p := range l.parameters {
		p = strings.Trim(p, "#?")
		p, _, _ = strings.Cut(p, "|")
		parts = append(parts, p)
	}
	return name + "(" + strings.Join(parts, ", ") + ")"
}

// readAmount reads the value of one parameter. The message about a negative
// one names the parameter, since "a time cannot be negative" would be puzzling
// of a standard deviation.
func readAmount(m measure, f field, p string, number bool, a argument) (float64, error) {
	if strings.HasPrefix(a.text, "-") {
		return 0, faultAt(a.at, "write "+strings.TrimSpace(a.name+" "+strings.TrimLeft(a.text, "-")), "%s cannot be negative", p)
	}
	var x float64
	var err error
	if number {
		x, err = quantity.ParseNumber(p, a.text)
	} else {
		named := f
		named.key = p
		x, err = parameter(m, named, a.text)
	}
	return x, moved(err, a.at)
}

// ordered writes arguments in rising order, for a hint.
func ordered(m measure, f field, arguments []argument) string {
	rising := slices.Clone(arguments)
	size := func(a argument) float64 { x, _ := parameter(m, f, a.text); return x }
	slices.SortStableFunc(rising, func(a, b argument) int { return cmp.Compare(size(a), size(b)) })
	var texts []string
	for _, a := range rising {
		texts = append(texts, a.text)
	}
	return strings.Join(texts, ", ")
}

// A recorded law is one of measured values. It keeps its own text, since the
// law inside spells only a summary of them, and those of a table themselves.
type recorded struct {
	random.Law
	written string
	table   string    // name of the table; empty if the file holds the values
	data    []float64 // of the table, in the base unit of the law
}

// String gives the law as a scenario file spells it.
func (r recorded) String() string { return r.written }

// parseEmpirical reads recorded values, each with the times it was seen:
// "empirical(12 min x 3, 15 min x 5)".
func parseEmpirical(m measure, f field, arguments []argument) (random.Law, error) {
	var values, weights []float64
	var texts []string
	for _, a := range arguments {
		value, seen, weighted := strings.Cut(a.text, " x ")
		if a.name != "" {
			return nil, faultAt(a.nameAt, "write values such as "+m.sample+" x 3", "empirical has no %s", quote(a.name))
		}
		x, err := parameter(m, f, value)
		if err != nil {
			return nil, moved(err, a.at)
		}
		weight := 1.0
		if weighted {
			if weight, err = quantity.ParseNumber("the weight", seen); err != nil {
				return nil, moved(err, a.at+utf8.RuneCountInString(value)+len(" x "))
			}
		}
		values, weights = append(values, x), append(weights, weight)
		texts = append(texts, m.print(x)+" x "+quantity.FormatNumber(weight))
	}
	law, err := random.Empirical(values, weights)
	if err != nil {
		return nil, faultAt(0, "write empirical("+m.sample+" x 3, ...)", "%s", err)
	}
	return recorded{Law: law, written: "empirical(" + strings.Join(texts, ", ") + ")"}, nil
}

// parseRecorded reads the name of a table beside the scenario, of the column
// with the values, and their unit: "csv(times.csv, column minutes, min)".
func (d *decoder) parseRecorded(m measure, f field, arguments []argument) (random.Law, error) {
	const form = "write csv(times.csv, column minutes, min)"
	if len(arguments) != 3 || arguments[1].name != "column" {
		return nil, faultAt(0, form, "csv takes a file, a column and a unit")
	}
	name, column, unit := arguments[0], arguments[1].text, arguments[2]
	factor, err := m.parse(f.key, "1 "+unit.text)
	if err != nil {
		return nil, moved(err, unit.at-len("1 "))
	}
	table, err := d.folder.open(strings.TrimSpace(name.name + " " + name.text))
	if err != nil {
		return nil, moved(err, name.nameAt)
	}
	values, err := random.ColumnCSV(table, column)
	var law random.Law
	if err == nil {
		law, err = random.Empirical(values, nil)
	}
	switch {
	case err != nil:
		return nil, faultAt(name.nameAt, "a table has a heading, commas and numbers such as 8.5", "%s: %s", name.text, strings.TrimPrefix(err.Error(), "empirical: "))
	case law.Min() < 0:
		return nil, faultAt(name.nameAt, "check the table", "%s: a value is below zero", name.text)
	}
	for i := range values {
		values[i] *= factor
	}
	return recorded{random.Scaled(law, factor), "csv(" + name.text + ", column " + column + ", " + unit.text + ")", name.text, values}, nil
}

// printLaw spells a law as parseLaw reads it: the numbers of the law's own
// spelling put back into their units.
func printLaw(v reflect.Value, f field, _ string) string {
	law := v.Interface().(random.Law)
	if r, ok := law.(recorded); ok {
		return r.written
	}
	m, s := measures[f.unit], law.String()
	open := strings.IndexByte(s, '(')
	name := s[:open]
	l := families[name]
	var parts []string
	for i, a := range split(s, open) {
		p, number, _ := l.which(name, i, a)
		x, _ := strconv.ParseFloat(a.text, 64)
		written := m.print(x)
		if number {
			written = quantity.FormatNumber(x)
		}
		if !l.bare {
			written = p + " " + written
		}
		parts = append(parts, written)
	}
	if name == "constant" {
		return parts[0]
	}
	return name + "(" + strings.Join(parts, ", ") + ")"
}
