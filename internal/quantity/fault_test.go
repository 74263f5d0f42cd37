package quantity_test

import (
	"errors"
	"testing"

	"potbank/internal/quantity"
)

// reader adapts the parsers to one shape.
type reader func(key, s string) (string, error)

// printed adapts a parser whose type prints itself.
func printed[T interface{ String() string }](parse func(key, s string) (T, error)) reader {
	return func(key, s string) (string, error) {
		v, err := parse(key, s)
		return v.String(), err
	}
}

// priced adapts a parser of a type that is printed in a currency.
func priced[T interface{ In(string) string }](parse func(key, s, currency string) (T, string, error)) reader {
	return func(key, s string) (string, error) {
		v, currency, err := parse(key, s, "EUR")
		return v.In(currency), err
	}
}

func readTime(key, s string) (string, error) {
	ms, err := quantity.ParseTime(key, s)
	return quantity.FormatTime(ms), err
}

func readCount(key, s string) (string, error) {
	n, err := quantity.ParseCount(key, s, 1_000_000)
	return quantity.FormatCount(n), err
}

func readFine(key, s string) (string, error) {
	ms, err := quantity.ParseFineTime(key, s)
	return quantity.FormatFineTime(ms), err
}

func readPlain(key, s string) (string, error) {
	x, err := quantity.ParseNumber(key, s, "points")
	return quantity.FormatNumber(x), err
}

var (
	perDay      = printed(quantity.ParsePerDay)
	energy      = printed(quantity.ParseEnergy)
	share       = printed(quantity.ParseShare)
	mass        = printed(quantity.ParseMass)
	temperature = printed(quantity.ParseTemperature)
	span        = printed(quantity.ParseTemperatureSpan)
	energyPrice = priced(quantity.ParseEnergyPrice)
	money       = priced(quantity.ParseMoney)
)

// faults lists texts with the place, message and hint that each must give.
var faults = []struct {
	read   reader
	key    string
	text   string
	offset int
	what   string
	hint   string
}{
	// Units.
	{readTime, "cycle", "36", 0, "cycle has no unit", "write 36 h or 36 min"},
	{readTime, "cycle", "36 kg", 3, "cycle is a time, but kg is a mass", "write 36 h"},
	{readTime, "cycle", "36 EUR", 3, "cycle is a time, but EUR is an amount of money", "write 36 h"},
	{readTime, "cycle", "36 hurs", 3, `unknown unit "hurs"`, "did you mean h? Times take ms, s, min, h, d, wk, yr"},
	{readTime, "cycle", "36 fortnights", 3, `unknown unit "fortnights"`, "Times take ms, s, min, h, d, wk, yr"},
	{readTime, "time", "6 m", 2, `"m" could be minutes, months or metres`, "write 6 min"},
	{readTime, "time", "2 months", 2, "a month has no fixed length", "write the number of days, such as 30 d"},
	{readTime, "time", "1 h 15 min", 0, "time is written as two amounts", "write one number and one unit, such as 6 min"},
	{readTime, "push", "1:15", 0, `"1:15" could be 1 h 15 min or 1 min 15 s`, "write 75 min"},
	{energy, "energy", "1.9 mWh", 4, "mWh is milliwatt-hours, a billionth of MWh", "write 1.9 MWh"},
	{energy, "energy", "1.9 kwh", 4, `unknown unit "kwh"`, "did you mean kWh? Energies take J, kJ, MJ, kWh, GJ, MWh, TJ, GWh"},
	{energy, "energy", "200 m3", 4, "a volume of gas needs its heating value", "write the energy, in kWh or GJ, from the gas bill"},
	{share, "green", "0.06", 0, "green is a share and has no unit", "write 6 %"},
	{share, "green", "6", 0, "green is a share and has no unit", "write a share such as 6 %"},
	{energyPrice, "gas-price", "0.52 EUR/m3", 5, "a price per m3 needs the heating value of the gas", "add heating-value, as on your gas bill, or give the price per kWh"},
	{energyPrice, "gas-price", "0.045 EUR", 6, "gas-price is a price of energy, but EUR is an amount of money", "write 0.045 EUR/kWh"},
	{energyPrice, "gas-price", "0.045 USD/kWh", 6, "gas-price is in USD, but this scenario counts in EUR", "give the amount in EUR"},
	{money, "price", "18 €", 3, `"€" does not name its currency by three capital letters`, "write 18 EUR"},
	{temperature, "peak", "1200 K", 5, "peak is a temperature, but K is a difference of temperature", "write 1200 degC"},
	{temperature, "peak", "1200 °C", 5, `unknown unit "°C"`, "did you mean degC? Temperatures take degC"},
	{temperature, "peak", "-300 degC", 0, "peak is below absolute zero, -273.15 degC", "write a temperature such as 1200 degC"},
	{span, "spread", "5 degC", 2, "spread is a difference of temperature, but degC is a temperature", "write 5 K"},

	// Numbers.
	{energy, "energy", "9,5 GJ", 0, `"9,5" uses a comma`, "write 9.5 GJ with a point"},
	{mass, "load", "1.234,5 kg", 0, `"1.234,5" uses a comma`, "write a point before the decimals and no separators"},
	{readCount, "order", "10,000 pieces", 0, `"10,000" uses a comma`, "write 10000 pieces, with no separators"},
	{readCount, "order", "10 000 pieces", 0, `"10 000" has a space inside the number`, "write one number and one unit, with no space inside the number"},
	{share, "fired", "\u22129 %", 0, "U+2212 (a typeset minus) is not part of a number, and a share cannot be negative", "write 9 %"},
	{temperature, "frost", "\u22129 degC", 0, "U+2212 (a typeset minus) is not part of a number", "write -9 degC"},
	{share, "fired", "109 %", 0, "a share must lie between 0 % and 100 %", "write a share such as 6 %"},
	{readTime, "time", "-6 min", 0, "a time cannot be negative", "write 6 min"},
	{readTime, "time", ".nan min", 0, `".nan" is not a number`, "write a time such as 6 min"},
	{readTime, "time", "inf", 0, `"inf" is not a number`, "write a time such as 6 min"},
	{readTime, "time", "", 0, "time is empty", "write a time such as 6 min"},
	{readTime, "time", ".5 h", 0, `".5" has no digit before its point`, "write 0.5 h"},
	{readTime, "time", "5. h", 0, `"5." is not a number`, "write a time such as 6 min"},
	{readTime, "time", "1_000 s", 0, `"1_000" is not a number`, "write a time such as 6 min"},
	{readTime, "time", "1e-300 s", 0, "the time rounds to zero; the smallest step is 1 ms", "write 0 min if you mean no time"},
	{readTime, "time", "1e17 s", 0, "1e17 s is too large for a time", "check the number and its unit"},
	{readTime, "time", "1e999999999999 s", 0, "time has a power of ten beyond 400", "check the number"},
	{mass, "load", "0.4 g", 0, "the mass rounds to zero; the smallest step is 1 g", "write 0 kg if you mean no mass"},
	{readTime, "", "36", 0, "the value has no unit", "write 36 h or 36 min"},
	{readTime, "cycle", " 36  kg", 5, "cycle is a time, but kg is a mass", "write 36 h"},

	// Plain numbers and numbers per day.
	{readPlain, "shape", "2,5", 0, `"2,5" uses a comma`, "write 2.5 with a point"},
	{readPlain, "shape", "-2.5", 0, "shape cannot be negative", "write 2.5"},
	{readPlain, "shape", "2.5 kg", 4, `shape counts points, not "kg"`, "write 2.5 points"},
	{readPlain, "shape", "1e309", 0, "1e309 is too large for a number", "check the number and its unit"},
	{readPlain, "shape", "1e-400", 0, "the number rounds to zero", "write 0 if you mean no number"},
	{perDay, "output", "616.7", 0, "output has no unit", "write 616.7 per day"},
	{perDay, "output", "3000 per week", 5, "works differ in how many days of a week they work", "divide by the working days and write it per day"},

	// Counts.
	{readCount, "moulds", "-.inf", 0, `"-.inf" is not a whole number`, "write a whole number such as 60"},
	{readCount, "moulds", "unlimited", 0, `"unlimited" is not a whole number`, "write a whole number such as 60"},
	{readCount, "moulds", "2.7", 0, "moulds must be a whole number, got 2.7", "write 2 or 3"},
	{readCount, "moulds", "010", 0, "a leading zero is ambiguous (8 or 10)", "write 10"},
	{readCount, "moulds", "09", 0, "a leading zero is ambiguous", "write 9"},
	{readCount, "moulds", "99999999999999999999", 0, "moulds is above the limit of 1000000", "check the number"},
	{readCount, "moulds", "1e20", 0, "moulds is above the limit of 1000000", "check the number"},
	{readCount, "moulds", "-3", 0, "moulds cannot be negative", "write 3"},
	{readCount, "moulds", "60 kg", 3, "moulds is a whole number, but kg is a mass", "write 60 pieces"},
	{readCount, "moulds", "60 plates", 3, `moulds counts pieces, moulds, trolleys, cars, casts, not "plates"`, "write 60 pieces"},
}

func TestFaults(t *testing.T) {
	for _, tt := range faults {
		_, err := tt.read(tt.key, tt.text)
		var fault *quantity.Fault
		if !errors.As(err, &fault) {
			t.Errorf("%q gave error %v, want a Fault", tt.text, err)
			continue
		}
		if fault.Offset != tt.offset || fault.What != tt.what || fault.Hint != tt.hint {
			t.Errorf("%q gave\n  %d: %s; hint: %s\nwant\n  %d: %s; hint: %s",
				tt.text, fault.Offset, fault.What, fault.Hint, tt.offset, tt.what, tt.hint)
		}
	}
}

func TestLimitsAreMarked(t *testing.T) {
	for text, limit := range map[string]bool{"1e17 s": true, "1e999 s": true, "6 m": false, "1e-300 s": false} {
		_, err := quantity.ParseTime("time", text)
		var fault *quantity.Fault
		if !errors.As(err, &fault) || fault.Limit != limit {
			t.Errorf("%q gave %+v, want Limit %v", text, err, limit)
		}
	}
	_, err := quantity.ParseCount("moulds", "11", 10)
	var fault *quantity.Fault
	if !errors.As(err, &fault) || !fault.Limit {
		t.Errorf("a count above its limit gave %+v, want Limit true", err)
	}
}
