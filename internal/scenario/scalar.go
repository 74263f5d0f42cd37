package scenario

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"potbank/internal/des"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// longestTime is the greatest time a scenario may hold. A century of kiln
// pushes is not a plan, and every sum of such times fits the clock.
const longestTime = 50 * 365 * des.Day

// A scalar says how values of one type are read and printed.
type scalar struct {
	// figure marks types that are measured, so that a default of theirs
	// stands in for a measurement.
	figure bool
	// parse reads a text. Faults are *quantity.Fault and point into it.
	parse func(d *decoder, f field, s string) (any, error)
	// print gives the text that parse reads as the value.
	print func(v reflect.Value, f field, currency string) string
}

// scalars lists every type that is written as one text. A new quantity in
// plant.Works needs one line here, and nothing else in this package. The table
// is filled by init, since the laws among them are read by a decoder, which
// itself uses the table.
var scalars map[reflect.Type]scalar

func init() {
	scalars = map[reflect.Type]scalar{
		reflect.TypeFor[int]():                    {parse: parseCount, print: printWith(func(n int) string { return strconv.Itoa(n) })},
		reflect.TypeFor[float64]():                {parse: parseNumber, print: printWith(func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) })},
		reflect.TypeFor[bool]():                   {parse: parseYes, print: printWith(func(yes bool) string { return yesNo(yes) })},
		reflect.TypeFor[string]():                 {parse: parseWord, print: printWith(func(s string) string { return s })},
		reflect.TypeFor[random.Law]():             {figure: true, parse: parseLaw, print: printLaw},
		reflect.TypeFor[des.Time]():               {figure: true, parse: parseTime, print: printWith(func(t des.Time) string { return quantity.FormatTime(int64(t)) })},
		reflect.TypeFor[quantity.Mass]():          plain(quantity.ParseMass),
		reflect.TypeFor[quantity.Share]():         plain(quantity.ParseShare),
		reflect.TypeFor[quantity.Moisture]():      plain(quantity.ParseMoisture),
		reflect.TypeFor[quantity.PerDay]():        plain(quantity.ParsePerDay),
		reflect.TypeFor[quantity.Temperature]():   plain(quantity.ParseTemperature),
		reflect.TypeFor[quantity.ThermalRate]():   plain(quantity.ParseThermalRate),
		reflect.TypeFor[quantity.Length]():        plain(quantity.ParseLength),
		reflect.TypeFor[quantity.BuildRate]():     plain(quantity.ParseBuildRate),
		reflect.TypeFor[quantity.DryingRate]():    plain(quantity.ParseDryingRate),
		reflect.TypeFor[quantity.Energy]():        plain(quantity.ParseEnergy),
		reflect.TypeFor[quantity.Power]():         plain(quantity.ParsePower),
		reflect.TypeFor[quantity.EnergyPerMass](): plain(quantity.ParseEnergyPerMass),
		reflect.TypeFor[quantity.CarbonFactor]():  plain(quantity.ParseCarbonFactor),
		reflect.TypeFor[quantity.Money]():         priced(quantity.ParseMoney),
		reflect.TypeFor[quantity.Wage]():          priced(quantity.ParseWage),
		reflect.TypeFor[quantity.EnergyPrice]():   priced(quantity.ParseEnergyPrice),
		reflect.TypeFor[quantity.MassPrice]():     priced(quantity.ParseMassPrice),
	}
}

// plain is the scalar of a quantity that prints itself.
func plain[T fmt.Stringer](parse func(key, s string) (T, error)) scalar {
	return scalar{
		figure: true,
		parse:  func(_ *decoder, f field, s string) (any, error) { return parse(f.key, s) },
		print:  printWith(func(x T) string { return x.String() }),
	}
}

// priced is the scalar of a quantity that needs the works' currency. Amounts
// in another are refused, never converted: a rate is not this program's to
// know.
func priced[T interface{ In(currency string) string }](parse func(key, s, currency string) (T, string, error)) scalar {
	return scalar{
		figure: true,
		parse: func(d *decoder, f field, s string) (any, error) {
			x, _, err := parse(f.key, s, d.currency)
			return x, err
		},
		print: func(v reflect.Value, _ field, currency string) string { return v.Interface().(T).In(currency) },
	}
}

// printWith turns a typed printer into one of the table's.
func printWith[T any](print func(T) string) func(reflect.Value, field, string) string {
	return func(v reflect.Value, _ field, _ string) string { return print(v.Interface().(T)) }
}

// yesNo is how a scenario spells a truth.
func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// faultAt builds a fault at a character of a text.
func faultAt(offset int, hint, format string, args ...any) *quantity.Fault {
	return &quantity.Fault{Offset: offset, What: fmt.Sprintf(format, args...), Hint: hint}
}

// overLimit marks a fault as one of size.
func overLimit(f *quantity.Fault) *quantity.Fault {
	f.Limit = true
	return f
}

// parseTime reads a time within the longest one. Zero is refused where it
// would let the works do endlessly much at one instant.
func parseTime(_ *decoder, f field, s string) (any, error) {
	ms, err := quantity.ParseTime(f.key, s)
	switch {
	case err != nil:
		return nil, err
	case des.Time(ms) > longestTime:
		return nil, overLimit(faultAt(0, "shorten it", "%s is above the limit of 50 yr", f.key))
	case ms == 0 && neverZero[f.id()]:
		return nil, faultAt(0, "write the time it takes", "%s must be above zero", f.key)
	}
	return des.Time(ms), nil
}

// countWords are what may follow a count, for those who like to read "60
// moulds". The key itself may too. The word is not checked against the key:
// "60 moulds" under cavities is odd, but its number is not in doubt.
var countWords = []string{"pieces", "moulds", "casts", "trolleys", "cars", "heads", "places", "holes", "pours",
	"benches", "machines", "cavities", "chambers", "booths", "kilns", "firings", "rows", "casters", "sets"}

// largest are the limits of counts; where none is given it is mostOfAny. They
// stand where a slip of a digit becomes likelier than a works of that size,
// and below what would tire the machine.
var largest = map[string]int64{
	"Works.potbank": 1 << 30, "Question.question": 1 << 30, "Order.quantity": 10_000_000, "Refire.most": 5, "Run.seed": 1 << 53, "Tool.life": 1 << 30,
}

const mostOfAny = 1_000_000

// neverZero are the keys under which zero would mean that nothing can pass, or
// that no time does: a kiln pushed every 0 min would run for ever at one
// instant. Elsewhere zero is an honest answer, such as "no colour change".
var neverZero = map[string]bool{
	"Run.length": true, "Run.replications": true, "Run.most-replications": true,
	"Ware.per-trolley": true, "MouldShop.per-day": true, "MouldSupply.cases": true, "MouldSupply.case-pours": true,
	"MouldSupply.pours-per-case-day": true, "MouldSupply.block-sets": true,
	"Bench.benches": true, "Bench.moulds": true, "Bench.casters": true,
	"Press.machines": true, "Press.cavities": true, "Tool.holes": true, "Tool.life": true,
	"Dryer.chambers": true, "Dryer.trolleys": true, "Booth.booths": true,
	"Kiln.load": true, "Kiln.inside": true, "Kiln.push": true, "Kiln.slow-push": true, "Kiln.fastest-push": true,
	"Kiln.slowest-push": true, "Kiln.stretched-push": true, "Kiln.cars": true, "Kiln.cars-ahead": true,
	"Kiln.kilns": true, "Kiln.car-sets": true, "Test.one-in": true, "Suite.pieces": true, "Order.quantity": true,
}

// parseCount reads a whole number, bare or with a word behind it.
func parseCount(_ *decoder, f field, s string) (any, error) {
	limit, ok := largest[f.id()]
	if !ok {
		limit = mostOfAny
	}
	n, err := quantity.ParseCount(f.key, s, limit, append(slices.Clone(countWords), f.key)...)
	var fault *quantity.Fault
	switch {
	case errors.As(err, &fault) && limit < 100:
		fault.Hint = fmt.Sprintf("write a whole number from 0 to %d", limit)
		return nil, fault
	case err != nil:
		return nil, err
	case n == 0 && neverZero[f.id()]:
		return nil, faultAt(0, "write at least 1", "%s must be above zero", f.key)
	case (f.id() == "Works.potbank" || f.id() == "Question.question") && n != format:
		return nil, faultAt(0, "get a newer potbank; potbank version shows yours", "this file needs format %d; this program reads format %d", n, format)
	}
	return int(n), nil
}

// parseNumber reads a bare number, of which only the works knows the unit.
func parseNumber(_ *decoder, f field, s string) (any, error) {
	x, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) || strings.ContainsAny(s, "xX_") {
		return nil, faultAt(0, "write the number alone, in the unit of the measure", "%s is not a number", quote(s))
	}
	return x, nil
}

// format is the format of the file that this program reads.
const format = 1

// parseYes reads yes or no. The other spellings of YAML 1.1 are understood for
// the hint and refused, so that files look alike.
func parseYes(_ *decoder, f field, s string) (any, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "yes":
		return true, nil
	case "no":
		return false, nil
	case "true", "on", "y":
		return nil, faultAt(0, "write yes", "%s is answered by yes or no, got %s", f.key, quote(s))
	case "false", "off", "n":
		return nil, faultAt(0, "write no", "%s is answered by yes or no, got %s", f.key, quote(s))
	}
	return nil, faultAt(0, "write yes or no", "%s is answered by yes or no, got %s", f.key, quote(s))
}

// parseWord reads a text that may be one of several words, name something
// elsewhere in the file, or have a grammar of its own.
func parseWord(d *decoder, f field, s string) (any, error) {
	s = strings.TrimSpace(s)
	switch {
	case len(f.oneof) > 0 && !slices.Contains(f.oneof, s):
		return nil, faultAt(0, suggest(s, f.oneof), "%s must be one of %s, got %s", f.key, strings.Join(f.oneof, ", "), quote(s))
	case grammars[f.id()] != nil:
		return s, grammars[f.id()](d, s)
	}
	return s, nil
}
