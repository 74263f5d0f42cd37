package quantity

// Units returns the units in which values of x's type are written, smallest
// first. Those of prices follow the currency: "" for an amount of money,
// "/kWh" for a price of energy. It returns nil for a type that is no quantity.
// A time, whose type another package owns, is listed by TimeUnits.
func Units(x any) []string {
	switch x.(type) {
	case Mass:
		return massUnits.names()
	case Energy:
		return energyUnits.names()
	case Power:
		return powerUnits.names()
	case EnergyPerMass:
		return heatUnits.names()
	case Money:
		return moneyUnits.names()
	case EnergyPrice:
		return energyPriceUnits.names()
	case MassPrice:
		return massPriceUnits.names()
	case Wage:
		return wageUnits.names()
	case Share:
		return shareUnits.names()
	case Moisture:
		return moistureUnits.names()
	case Temperature:
		return temperatureUnits.names()
	case TemperatureSpan:
		return spanUnits.names()
	case Length:
		return lengthUnits.names()
	case BuildRate:
		return buildUnits.names()
	case DryingRate:
		return dryingUnits.names()
	case CarbonFactor:
		return carbonUnits.names()
	case ThermalRate:
		return rampUnits.names()
	case Density:
		return densityUnits.names()
	case PerDay:
		return perDayUnits.names()
	}
	return nil
}

// TimeUnits returns the units of time, smallest first.
func TimeUnits() []string { return timeUnits.names() }

// names returns the units that the table accepts.
func (d *dimension) names() []string {
	var names []string
	for _, u := range d.units {
		names = append(names, u.name)
	}
	return names
}
