package quantity

// Money is an amount of the scenario's currency in millionths (1e-6 EUR).
// Which currency that is, the scenario knows, not the amount. So neither Money nor
// a price has a String method: without its currency it would print as a bare
// number, which no parser accepts.
type Money int64

// ParseMoney reads an amount such as "18 EUR" and returns it with the currency
// written. Any code of three capital letters is accepted if currency is empty;
// otherwise only that currency is.
func ParseMoney(key, s, currency string) (Money, string, error) {
	n, code, err := readPriced(&moneyUnits, key, s, currency)
	return Money(n), code, err
}

// In prints the amount in the currency: "18.5 EUR".
func (m Money) In(currency string) string { return moneyUnits.spellWhole(int64(m), currency) }

// An EnergyPrice is in millionths of the currency per kWh.
type EnergyPrice int64

// ParseEnergyPrice reads a price such as "0.045 EUR/kWh", under the rules of
// ParseMoney. Units: per kWh, MWh, MJ, GJ. A price per m3 of gas is refused,
// since the heating value of the gas is not in it.
func ParseEnergyPrice(key, s, currency string) (EnergyPrice, string, error) {
	n, code, err := readPriced(&energyPriceUnits, key, s, currency)
	return EnergyPrice(n), code, err
}

// In prints the price in the currency: "0.045 EUR/kWh".
func (p EnergyPrice) In(currency string) string {
	return energyPriceUnits.spellWhole(int64(p), currency)
}

// A MassPrice is in millionths of the currency per tonne.
type MassPrice int64

// ParseMassPrice reads a price such as "30 EUR/t", under the rules of
// ParseMoney. Units: per t, kg.
func ParseMassPrice(key, s, currency string) (MassPrice, string, error) {
	n, code, err := readPriced(&massPriceUnits, key, s, currency)
	return MassPrice(n), code, err
}

// In prints the price in the currency: "30 EUR/t".
func (p MassPrice) In(currency string) string { return massPriceUnits.spellWhole(int64(p), currency) }

// A Wage is in millionths of the currency per hour.
type Wage int64

// ParseWage reads a wage such as "18 EUR/h", under the rules of ParseMoney.
func ParseWage(key, s, currency string) (Wage, string, error) {
	n, code, err := readPriced(&wageUnits, key, s, currency)
	return Wage(n), code, err
}

// In prints the wage in the currency: "18 EUR/h".
func (w Wage) In(currency string) string { return wageUnits.spellWhole(int64(w), currency) }

// readPriced reads a quantity of a priced dimension and holds its currency
// against the one wanted.
func readPriced(d *dimension, key, s, currency string) (int64, string, error) {
	n, a, err := d.readWhole(key, s)
	if err != nil {
		return 0, "", err
	}
	if currency != "" && a.currency != currency {
		return 0, "", faultAt(a.unitAt, "give the amount in "+currency,
			"%s is in %s, but this scenario counts in %s", d.subject(key), a.currency, currency)
	}
	return n, a.currency, nil
}
