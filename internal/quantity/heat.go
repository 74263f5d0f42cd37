package quantity

// An Energy is in kJ; for fuel it is by the net calorific value.
type Energy int64

// ParseEnergy reads an energy such as "9.5 GJ" or "1.9 MWh". Units: J, kJ, MJ,
// GJ, TJ, kWh, MWh, GWh. mWh and mJ, which are thousandths, are refused.
func ParseEnergy(key, s string) (Energy, error) {
	n, _, err := energyUnits.readWhole(key, s)
	return Energy(n), err
}

// String prints the shortest exact spelling: "1.9 MWh".
func (e Energy) String() string { return energyUnits.spellWhole(int64(e), "") }

// A Power is in kJ per hour.
type Power int64

// ParsePower reads a power such as "1.6 GJ/h" or "450 kW". Units: W, kW, MW,
// kJ/h, MJ/h, GJ/h.
func ParsePower(key, s string) (Power, error) {
	n, _, err := powerUnits.readWhole(key, s)
	return Power(n), err
}

// String prints the shortest exact spelling: "1.6 GJ/h".
func (p Power) String() string { return powerUnits.spellWhole(int64(p), "") }

// An EnergyPerMass is in kJ per kg (= J per g).
type EnergyPerMass int64

// ParseEnergyPerMass reads an energy per mass such as "3.2 MJ/kg". Units: J/g,
// kJ/kg, MJ/kg, GJ/t, kWh/kg.
func ParseEnergyPerMass(key, s string) (EnergyPerMass, error) {
	n, _, err := heatUnits.readWhole(key, s)
	return EnergyPerMass(n), err
}

// String prints the shortest exact spelling: "3.2 MJ/kg".
func (e EnergyPerMass) String() string { return heatUnits.spellWhole(int64(e), "") }

// A CarbonFactor is in kg of CO2 per GJ of energy.
type CarbonFactor float64

// ParseCarbonFactor reads a carbon factor such as "56.1 kg/GJ". Units: kg/GJ,
// g/MJ, t/TJ, kg/kWh, g/kWh.
func ParseCarbonFactor(key, s string) (CarbonFactor, error) {
	f, _, err := carbonUnits.readFloat(key, s)
	return CarbonFactor(f), err
}

// String prints the factor: "56.1 kg/GJ".
func (c CarbonFactor) String() string { return carbonUnits.spellFloat(float64(c)) }

// A Temperature is a point on the Celsius scale, in degC.
type Temperature float64

// absoluteZero is the lowest temperature, by the definition of the scale.
const absoluteZero Temperature = -273.15

// ParseTemperature reads a temperature such as "1200 degC". A difference of
// temperatures is written in K and is another type, TemperatureSpan.
func ParseTemperature(key, s string) (Temperature, error) {
	f, a, err := temperatureUnits.readFloat(key, s)
	if err == nil && Temperature(f) < absoluteZero {
		err = faultAt(a.at, temperatureUnits.suchAs(), "%s is below absolute zero, -273.15 degC", temperatureUnits.subject(key))
	}
	if err != nil {
		return 0, err
	}
	return Temperature(f), nil
}

// String prints the temperature: "1200 degC".
func (t Temperature) String() string { return temperatureUnits.spellFloat(float64(t)) }

// A TemperatureSpan is a difference of temperatures in kelvin.
type TemperatureSpan float64

// ParseTemperatureSpan reads a difference of temperatures such as "5 K".
func ParseTemperatureSpan(key, s string) (TemperatureSpan, error) {
	f, _, err := spanUnits.readFloat(key, s)
	return TemperatureSpan(f), err
}

// String prints the difference: "5 K".
func (t TemperatureSpan) String() string { return spanUnits.spellFloat(float64(t)) }

// A ThermalRate is the speed of heating (or, negative, cooling) in degC/h.
type ThermalRate float64

// ParseThermalRate reads a heating rate such as "120 degC/h". Units: degC/h,
// K/h, degC/min, K/min.
func ParseThermalRate(key, s string) (ThermalRate, error) {
	f, _, err := rampUnits.readFloat(key, s)
	return ThermalRate(f), err
}

// String prints the rate: "120 degC/h".
func (r ThermalRate) String() string { return rampUnits.spellFloat(float64(r)) }
