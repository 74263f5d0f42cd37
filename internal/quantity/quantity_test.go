package quantity_test

import (
	"errors"
	"math"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"potbank/internal/quantity"
)

// whole adapts the parsers of whole-number types to a comparison of steps.
func whole[T ~int64](parse func(key, s string) (T, error)) func(s string) (float64, error) {
	return func(s string) (float64, error) {
		n, err := parse("key", s)
		return float64(n), err
	}
}

func measured[T ~float64](parse func(key, s string) (T, error)) func(s string) (float64, error) {
	return func(s string) (float64, error) {
		x, err := parse("key", s)
		return float64(x), err
	}
}

func readFloat(parse func(key, s string) (float64, error)) func(s string) (float64, error) {
	return func(s string) (float64, error) { return parse("key", s) }
}

func readNumber(key, s string) (float64, error) { return quantity.ParseNumber(key, s, "points") }

func amount[T ~int64](parse func(key, s, currency string) (T, string, error)) func(s string) (float64, error) {
	return func(s string) (float64, error) {
		n, _, err := parse("key", s, "")
		return float64(n), err
	}
}

var (
	times    = whole(quantity.ParseTime)
	masses   = whole(quantity.ParseMass)
	energies = whole(quantity.ParseEnergy)
	powers   = whole(quantity.ParsePower)
	heats    = whole(quantity.ParseEnergyPerMass)
	prices   = amount(quantity.ParseEnergyPrice)
	byMass   = amount(quantity.ParseMassPrice)
	builds   = measured(quantity.ParseBuildRate)
	dryings  = measured(quantity.ParseDryingRate)
	carbons  = measured(quantity.ParseCarbonFactor)
	ramps    = measured(quantity.ParseThermalRate)
	lengths  = measured(quantity.ParseLength)
	density  = measured(quantity.ParseDensity)
)

// unitCases holds every unit of every dimension, against its definition. The SI and the units
// accepted for use with it are as in the SI Brochure (BIPM, 9th ed. 2019).
var unitCases = []struct {
	read   func(string) (float64, error)
	text   string
	want   float64
	reason string
}{
	{times, "1.5 s", 1500, "ms"},
	{times, "6 min", 360_000, "60 s a minute"},
	{times, "36 h", 129_600_000, "3600 s an hour"},
	{times, "3 d", 259_200_000, "24 h a day"},
	{times, "26 wk", 26 * 7 * 86_400_000, "7 d a week"},
	{times, "1 yr", 365 * 86_400_000, "365 d by this package's rule"},
	{times, "0.0005 s", 0, "refused below"},
	{times, "0.0015 s", 2, "half rounds to even"},
	{times, "0.0025 s", 2, "half rounds to even"},
	{times, "0.0025000001 s", 3, "above half rounds up"},
	{times, "6min", 360_000, "the space may be left out"},
	{times, "0 min", 0, "none is a time too"},
	{times, "3.6e3 s", 3_600_000, "a power of ten is a number"},
	{masses, "18.1 kg", 18_100, "g"},
	{masses, "0.25 t", 250_000, "1000 kg a tonne"},
	{energies, "9.5 GJ", 9_500_000, "kJ"},
	{energies, "1.9 MWh", 6_840_000, "3.6 GJ a MWh"},
	{energies, "1 kWh", 3_600, "3.6 MJ a kWh"},
	{energies, "1 GWh", 3_600_000_000, "3.6 TJ a GWh"},
	{energies, "1 TJ", 1_000_000_000, "SI prefix"},
	{energies, "5 MJ", 5_000, "SI prefix"},
	{energies, "9500 J", 10, "half rounds to even"},
	{powers, "1.6 GJ/h", 1_600_000, "kJ/h"},
	{powers, "450 kW", 1_620_000, "1 kW is 3.6 MJ/h"},
	{powers, "1 MW", 3_600_000, "1 MW is 3.6 GJ/h"},
	{powers, "10 W", 36, "1 W is 3.6 kJ/h"},
	{powers, "2 MJ/h", 2_000, "SI prefix"},
	{powers, "7 kJ/h", 7, "kJ/h"},
	{heats, "3.2 MJ/kg", 3_200, "kJ/kg"},
	{heats, "3.2 GJ/t", 3_200, "1 GJ/t is 1 MJ/kg"},
	{heats, "1 kWh/kg", 3_600, "3.6 MJ a kWh"},
	{heats, "5 J/g", 5, "1 J/g is 1 kJ/kg"},
	{prices, "0.045 EUR/kWh", 45_000, "millionths per kWh"},
	{prices, "45 EUR/MWh", 45_000, "1000 kWh a MWh"},
	{prices, "12.5 EUR/GJ", 45_000, "12.5 x 0.0036 GJ a kWh"},
	{prices, "0.0125 EUR/MJ", 45_000, "0.0125 x 3.6 MJ a kWh"},
	{byMass, "30 EUR/t", 30_000_000, "millionths per t"},
	{byMass, "0.03 EUR/kg", 30_000_000, "1000 kg a tonne"},
	{builds, "1.0 mm2/min", 1, "mm2/min"},
	{builds, "60 mm2/h", 1, "60 min an hour"},
	{dryings, "1.5 %/h", 1.5, "%/h"},
	{dryings, "24 %/d", 1, "24 h a day"},
	{dryings, "0.5 %/min", 30, "60 min an hour"},
	{carbons, "56.1 kg/GJ", 56.1, "kg/GJ"},
	{carbons, "56.1 t/TJ", 56.1, "1 t/TJ is 1 kg/GJ"},
	{carbons, "56.1 g/MJ", 56.1, "1 g/MJ is 1 kg/GJ"},
	{carbons, "0.36 kg/kWh", 100, "0.36 kg per 0.0036 GJ"},
	{carbons, "360 g/kWh", 100, "0.36 kg per 0.0036 GJ"},
	{ramps, "120 degC/h", 120, "degC/h"},
	{ramps, "-2 K/min", -120, "cooling; 60 min an hour"},
	{ramps, "5 K/h", 5, "a kelvin is a degree"},
	{ramps, "2 degC/min", 120, "60 min an hour"},
	{lengths, "10 mm", 10, "mm"},
	{lengths, "1.2 m", 1200, "SI prefix"},
	{lengths, "1.5 cm", 15, "SI prefix"},
	{lengths, "250 um", 0.25, "SI prefix"},
	{density, "1800 g/L", 1800, "g/L"},
	{density, "1.8 kg/L", 1800, "1000 g a kg"},
	{density, "1800 kg/m3", 1800, "1000 L a m3"},
	{density, "1.8 g/cm3", 1800, "1000 cm3 a litre"},
	{measured(quantity.ParseShare), "7 %", 0.07, "the float64 nearest to 0.07"},
	{measured(quantity.ParseMoisture), "19 %", 19, "points"},
	{measured(quantity.ParseMoisture), "120 %", 120, "wet slip: more water than solids"},
	{measured(quantity.ParseTemperature), "-5.5 degC", -5.5, "below freezing"},
	{measured(quantity.ParseTemperatureSpan), "5 K", 5, "K"},
	{measured(quantity.ParsePerDay), "616.7 per day", 616.7, "pieces on a working day"},
	{readFloat(quantity.ParseFineTime), "0.0001 s", 0.1, "not rounded to the ms"},
	{readFloat(readNumber), "2.5", 2.5, "a bare number"},
	{readFloat(readNumber), "0", 0, "none"},
	{readFloat(readNumber), "3 points", 3, "with its word"},
	{amount(quantity.ParseMoney), "18.5 SEK", 18_500_000, "any currency"},
	{amount(quantity.ParseWage), "18 EUR/h", 18_000_000, "millionths per h"},
}

func TestUnits(t *testing.T) {
	for _, tt := range unitCases {
		got, err := tt.read(tt.text)
		if tt.text == "0.0005 s" { // half of 1 ms is nearest to 0, which is no time
			if err == nil {
				t.Errorf("%q was accepted", tt.text)
			}
			continue
		}
		if err != nil || got != tt.want {
			t.Errorf("%q gave %v, %v, want %v (%s)", tt.text, got, err, tt.want, tt.reason)
		}
	}
}

func TestPrintsShortest(t *testing.T) {
	for _, tt := range []struct{ got, want string }{
		{quantity.FormatTime(0), "0 s"},
		{quantity.FormatTime(90 * 60_000), "90 min"},
		{quantity.FormatTime(150 * 60_000), "2.5 h"},
		{quantity.FormatTime(75 * 60_000), "75 min"},
		{quantity.FormatTime(36 * 3_600_000), "36 h"},
		{quantity.FormatTime(86_400_000), "1 d"},
		{quantity.FormatTime(26 * 604_800_000), "26 wk"},
		{quantity.FormatTime(1), "0.001 s"},
		{quantity.FormatTime(-1500), "-1.5 s"},
		{quantity.Mass(18_100).String(), "18.1 kg"},
		{quantity.Mass(500_000).String(), "500 kg"},
		{quantity.Energy(9_500_000).String(), "9.5 GJ"},
		{quantity.Energy(6_840_000).String(), "1.9 MWh"},
		{quantity.Power(1_600_000).String(), "1.6 GJ/h"},
		{quantity.EnergyPerMass(3_200).String(), "3.2 MJ/kg"},
		{quantity.Money(18_500_000).In("EUR"), "18.5 EUR"},
		{quantity.Money(-1).In("EUR"), "-0.000001 EUR"},
		{quantity.EnergyPrice(45_000).In("EUR"), "0.045 EUR/kWh"},
		{quantity.MassPrice(30_000_000).In("EUR"), "30 EUR/t"},
		{quantity.Wage(18_000_000).In("EUR"), "18 EUR/h"},
		{quantity.Share(0.07).String(), "7 %"},
		{quantity.Share(math.Nextafter(0.3, 1)).String(), "30.000000000000004 %"},
		{quantity.Moisture(19).String(), "19 %"},
		{quantity.Temperature(1200).String(), "1200 degC"},
		{quantity.Length(0.25).String(), "0.25 mm"},
		{quantity.Length(math.Inf(1)).String(), "+Inf mm"},
		{quantity.FormatCount(60), "60"},
	} {
		if tt.got != tt.want {
			t.Errorf("printed %q, want %q", tt.got, tt.want)
		}
	}
}

func TestCounts(t *testing.T) {
	for text, want := range map[string]int64{"60": 60, "10000 pieces": 10_000, "1 piece": 1, "0": 0, "1e3 moulds": 1000, "2.0 cars": 2, "1000000": 1_000_000} {
		if got, err := quantity.ParseCount("key", text, 1_000_000); err != nil || got != want {
			t.Errorf("%q gave %d, %v, want %d", text, got, err, want)
		}
	}
	if got, err := quantity.ParseCount("key", "3 kilns", 5, "kilns"); err != nil || got != 3 {
		t.Errorf("3 kilns gave %d, %v", got, err)
	}
	if _, err := quantity.ParseCount("key", "3 cars", 5, "kilns"); err == nil {
		t.Error("3 cars was accepted where kilns are counted")
	}
}

// Printing and reading back gives the same value, for every type.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(0, math.MaxInt64).Draw(t, "n")
		n >>= rapid.IntRange(0, 62).Draw(t, "shift") // all magnitudes alike
		x := rapid.Float64Range(0, math.MaxFloat64).Draw(t, "x")
		part := rapid.Float64Range(0, 1).Draw(t, "part")
		signed := rapid.Float64Range(-273.15, 1e6).Draw(t, "signed")

		reads(t, n, quantity.FormatTime(n), quantity.ParseTime)
		reads(t, quantity.Mass(n), quantity.Mass(n).String(), quantity.ParseMass)
		reads(t, quantity.Energy(n), quantity.Energy(n).String(), quantity.ParseEnergy)
		reads(t, quantity.Power(n), quantity.Power(n).String(), quantity.ParsePower)
		reads(t, quantity.EnergyPerMass(n), quantity.EnergyPerMass(n).String(), quantity.ParseEnergyPerMass)
		readsPriced(t, quantity.Money(n), quantity.Money(n).In("SEK"), quantity.ParseMoney)
		readsPriced(t, quantity.EnergyPrice(n), quantity.EnergyPrice(n).In("SEK"), quantity.ParseEnergyPrice)
		readsPriced(t, quantity.MassPrice(n), quantity.MassPrice(n).In("SEK"), quantity.ParseMassPrice)
		readsPriced(t, quantity.Wage(n), quantity.Wage(n).In("SEK"), quantity.ParseWage)
		reads(t, x, quantity.FormatFineTime(x), quantity.ParseFineTime)
		reads(t, x, quantity.FormatNumber(x), func(key, s string) (float64, error) { return quantity.ParseNumber(key, s) })
		reads(t, quantity.PerDay(x), quantity.PerDay(x).String(), quantity.ParsePerDay)
		reads(t, quantity.Share(part), quantity.Share(part).String(), quantity.ParseShare)
		reads(t, quantity.Moisture(x), quantity.Moisture(x).String(), quantity.ParseMoisture)
		reads(t, quantity.Length(x), quantity.Length(x).String(), quantity.ParseLength)
		reads(t, quantity.BuildRate(x), quantity.BuildRate(x).String(), quantity.ParseBuildRate)
		reads(t, quantity.DryingRate(x), quantity.DryingRate(x).String(), quantity.ParseDryingRate)
		reads(t, quantity.CarbonFactor(x), quantity.CarbonFactor(x).String(), quantity.ParseCarbonFactor)
		reads(t, quantity.Density(x), quantity.Density(x).String(), quantity.ParseDensity)
		reads(t, quantity.ThermalRate(-x), quantity.ThermalRate(-x).String(), quantity.ParseThermalRate)
		reads(t, quantity.Temperature(signed), quantity.Temperature(signed).String(), quantity.ParseTemperature)
		reads(t, quantity.TemperatureSpan(signed), quantity.TemperatureSpan(signed).String(), quantity.ParseTemperatureSpan)
	})
}

func reads[T comparable](t *rapid.T, want T, text string, parse func(key, s string) (T, error)) {
	if got, err := parse("key", text); err != nil || got != want {
		t.Fatalf("%T printed as %q reads back as %v, %v", want, text, got, err)
	}
}

func readsPriced[T comparable](t *rapid.T, want T, text string, parse func(key, s, currency string) (T, string, error)) {
	reads(t, want, text, func(key, s string) (T, error) {
		v, currency, err := parse(key, s, "SEK")
		if err == nil && currency != "SEK" {
			t.Fatalf("%q gave currency %q", s, currency)
		}
		return v, err
	})
}

// FuzzQuantity reads any text as every quantity. What is accepted survives
// printing; what is refused points into the text and says what to do.
func FuzzQuantity(f *testing.F) {
	for _, seed := range []string{
		"36 h", "18.1 kg", "9.5 GJ", "0.045 EUR/kWh", "6 %", "-5 degC", "5 K", "10000 pieces", "1e-300 s", "9,5 GJ", "1:15",
		"\u22129 %", ".nan", "010", "10 000 g", "1e999 t", "1 h 15 min", "56.1 kg/GJ", "1.0 mm2/min", "\xff h", "- h", "12 \u00b0C",
	} {
		f.Add(seed)
	}
	readers := []reader{
		printed(quantity.ParsePerDay), readFine, readPlain,
		readTime, readCount, energy, share, mass, temperature, span, energyPrice, money,
		printed(quantity.ParsePower), printed(quantity.ParseEnergyPerMass), priced(quantity.ParseMassPrice), priced(quantity.ParseWage),
		printed(quantity.ParseMoisture), printed(quantity.ParseLength), printed(quantity.ParseBuildRate), printed(quantity.ParseDryingRate),
		printed(quantity.ParseCarbonFactor), printed(quantity.ParseThermalRate), printed(quantity.ParseDensity),
	}
	f.Fuzz(func(t *testing.T, text string) {
		for i, read := range readers {
			printed, err := read("key", text)
			if err == nil {
				if again, err := read("key", printed); err != nil || again != printed {
					t.Errorf("reader %d: %q printed as %q, which reads as %q, %v", i, text, printed, again, err)
				}
				continue
			}
			var fault *quantity.Fault
			if !errors.As(err, &fault) {
				t.Fatalf("reader %d: %q gave %T", i, text, err)
			}
			if fault.What == "" || fault.Hint == "" || fault.Offset < 0 || fault.Offset > utf8.RuneCountInString(text) {
				t.Errorf("reader %d: %q gave %+v", i, text, fault)
			}
		}
	})
}
