package quantity

// The tables hold every unit a scenario may use. Factors are those of the SI
// Brochure (BIPM, 9th ed. 2019): exact, so each is a fraction of whole numbers.
// To add a unit, add its row; messages, hints and printing follow from it. A row
// is printed only if people of the trade write the quantity in that unit.

// dimensions lists every table in the order in which a stray unit is looked
// up: "%" is called a share before a moisture, "K/h" a heating rate.
var dimensions = []*dimension{
	&timeUnits, &massUnits, &energyUnits, &powerUnits, &heatUnits, &moneyUnits,
	&energyPriceUnits, &massPriceUnits, &wageUnits, &shareUnits, &moistureUnits,
	&temperatureUnits, &spanUnits, &lengthUnits, &buildUnits, &dryingUnits,
	&carbonUnits, &rampUnits, &densityUnits,
}

// Units of the whole-number types.
var (
	// timeUnits counts in ms. A year is 365 d: good for a run's length, and
	// never used for dates.
	timeUnits = dimension{
		noun: "a time", plural: "Times", usual: []string{"h", "min"}, sample: "6 min", step: "1 ms",
		units: []unit{
			{"ms", 1, 1, false, []string{"msec", "millisecond", "milliseconds"}},
			{"s", 1000, 1, true, []string{"sec", "second", "seconds", "secs"}},
			{"min", 60_000, 1, true, []string{"minute", "minutes", "mins"}},
			{"h", 3_600_000, 1, true, []string{"hour", "hours", "hr", "hrs"}},
			{"d", 86_400_000, 1, true, []string{"day", "days"}},
			{"wk", 604_800_000, 1, true, []string{"week", "weeks", "w"}},
			{"yr", 31_536_000_000, 1, false, []string{"year", "years", "y", "a"}},
		},
		traps: []trap{
			{"m", `"m" could be minutes, months or metres`, "write # min"},
			{"M", `"M" could be minutes or months`, "write # min"},
			{"month", "a month has no fixed length", "write the number of days, such as 30 d"},
			{"months", "a month has no fixed length", "write the number of days, such as 30 d"},
			{"mo", "a month has no fixed length", "write the number of days, such as 30 d"},
		},
	}
	// massUnits counts in g. A piece of ware weighs some 20 kg, so that the step
	// is finer than any scale on the shop floor.
	massUnits = dimension{
		noun: "a mass", plural: "Masses", usual: []string{"kg"}, sample: "18 kg", step: "1 g",
		units: []unit{
			{"g", 1, 1, true, []string{"gram", "grams", "gr"}},
			{"kg", 1000, 1, true, []string{"kgs", "kilo", "kilos", "kilogram", "kilograms"}},
			{"t", 1_000_000, 1, true, []string{"tonne", "tonnes", "ton", "tons"}},
		},
	}
	// energyUnits counts in kJ; 2^63 kJ is far above what mankind burns in a year.
	// A slip of case is a factor of a billion here, hence the traps.
	energyUnits = dimension{
		noun: "an energy", plural: "Energies", usual: []string{"GJ", "MWh"}, sample: "9.5 GJ", step: "1 kJ",
		units: []unit{
			{"J", 1, 1000, false, []string{"joule", "joules"}},
			{"kJ", 1, 1, true, nil},
			{"MJ", 1000, 1, true, nil},
			{"kWh", 3600, 1, true, nil},
			{"GJ", 1_000_000, 1, true, nil},
			{"MWh", 3_600_000, 1, true, nil},
			{"TJ", 1_000_000_000, 1, false, nil},
			{"GWh", 3_600_000_000, 1, false, nil},
		},
		traps: []trap{
			{"mWh", "mWh is milliwatt-hours, a billionth of MWh", "write # MWh"},
			{"mJ", "mJ is millijoules, a billionth of MJ", "write # MJ"},
			{"m3", "a volume of gas needs its heating value", "write the energy, in kWh or GJ, from the gas bill"},
		},
	}
	// powerUnits counts in kJ/h, since kilns and dryers are rated by the hour, and
	// since 1 kW is 3600 kJ/h where 1 kJ/h is no whole number of watts.
	powerUnits = dimension{
		noun: "a power", plural: "Powers", usual: []string{"kW", "GJ/h"}, sample: "1.6 GJ/h", step: "1 kJ/h",
		units: []unit{
			{"kJ/h", 1, 1, true, nil},
			{"W", 36, 10, false, []string{"watt", "watts"}},
			{"MJ/h", 1000, 1, true, nil},
			{"kW", 3600, 1, true, []string{"kWh/h", "kilowatt"}},
			{"GJ/h", 1_000_000, 1, true, nil},
			{"MW", 3_600_000, 1, true, []string{"MWh/h"}},
		},
		traps: []trap{{"mW", "mW is milliwatts, a billionth of MW", "write # MW"}},
	}
	heatUnits = dimension{
		noun: "an energy per mass", plural: "Energies per mass", usual: []string{"MJ/kg"}, sample: "3.2 MJ/kg", step: "1 kJ/kg",
		units: []unit{
			{"J/g", 1, 1, false, nil},
			{"kJ/kg", 1, 1, true, nil},
			{"MJ/kg", 1000, 1, true, nil},
			{"GJ/t", 1000, 1, false, nil},
			{"kWh/kg", 3600, 1, false, nil},
		},
		traps: []trap{{"mJ/kg", "mJ is millijoules, a billionth of MJ", "write # MJ/kg"}},
	}
	// moneyUnits counts in millionths, since energy is priced in fractions of a
	// cent. In hints EUR stands for whatever the currency is.
	moneyUnits = dimension{
		noun: "an amount of money", plural: "Amounts", usual: []string{"EUR"}, sample: "18 EUR", step: "0.000001",
		priced: true, units: []unit{{"", 1_000_000, 1, true, []string{"euro"}}},
	}
	// energyPriceUnits counts in millionths per kWh. Gas bills give a price per m3
	// too, which is no price of energy until the heating value is known.
	energyPriceUnits = dimension{
		noun: "a price of energy", plural: "Prices", usual: []string{"EUR/kWh"}, sample: "0.045 EUR/kWh", step: "0.000001 per kWh",
		priced: true, units: []unit{
			{"/MWh", 1000, 1, false, nil},
			{"/GJ", 3600, 1, false, nil},
			{"/kWh", 1_000_000, 1, true, nil},
			{"/MJ", 3_600_000, 1, false, nil},
		},
		traps: []trap{{"/m3", "a price per m3 needs the heating value of the gas", "add heating-value, as on your gas bill, or give the price per kWh"}},
	}
	massPriceUnits = dimension{
		noun: "a price by mass", plural: "Prices", usual: []string{"EUR/t"}, sample: "30 EUR/t", step: "0.000001 per t",
		priced: true, units: []unit{
			{"/t", 1_000_000, 1, true, []string{"/tonne", "/ton"}},
			{"/kg", 1_000_000_000, 1, false, nil},
		},
	}
	wageUnits = dimension{
		noun: "a wage", plural: "Wages", usual: []string{"EUR/h"}, sample: "18 EUR/h", step: "0.000001 per h",
		priced: true, units: []unit{{"/h", 1_000_000, 1, true, []string{"/hour", "/hr"}}},
	}
)

// Units of the measured properties.
var (
	// shareUnits has no bare form: "0.06" and "6" are both written for 6 %.
	shareUnits = dimension{
		noun: "a share", plural: "Shares", usual: []string{"%"}, sample: "6 %",
		units: []unit{{"%", 1, 100, true, []string{"percent", "pct", "per cent"}}},
	}
	moistureUnits = dimension{
		noun: "a moisture", plural: "Moistures", usual: []string{"%"}, sample: "19 %",
		units: []unit{{"%", 1, 1, true, []string{"percent", "pct", "per cent"}}},
	}
	// temperatureUnits holds points on the scale and spanUnits differences. They
	// are apart so that 5 K of spread cannot be read as 5 degC.
	temperatureUnits = dimension{
		noun: "a temperature", plural: "Temperatures", usual: []string{"degC"}, sample: "1200 degC", signed: true,
		units: []unit{{"degC", 1, 1, true, []string{"c", "\u00b0c", "\u2103", "celsius", "deg", "deg c"}}},
	}
	spanUnits = dimension{
		noun: "a difference of temperature", plural: "Differences", usual: []string{"K"}, sample: "5 K", signed: true,
		units: []unit{{"K", 1, 1, true, []string{"kelvin", "\u00b0k"}}},
	}
	lengthUnits = dimension{
		noun: "a length", plural: "Lengths", usual: []string{"mm"}, sample: "10 mm",
		units: []unit{
			{"um", 1, 1000, false, []string{"micron", "microns", "\u00b5m", "\u03bcm"}},
			{"mm", 1, 1, true, []string{"millimetre", "millimeter"}},
			{"cm", 10, 1, false, nil},
			{"m", 1000, 1, true, []string{"metre", "meter", "metres", "meters"}},
		},
	}
	buildUnits = dimension{
		noun: "a building rate", plural: "Building rates", usual: []string{"mm2/min"}, sample: "1.0 mm2/min",
		units: []unit{
			{"mm2/h", 1, 60, false, []string{"mm\u00b2/h"}},
			{"mm2/min", 1, 1, true, []string{"mm\u00b2/min", "mm^2/min"}},
		},
	}
	dryingUnits = dimension{
		noun: "a drying rate", plural: "Drying rates", usual: []string{"%/h"}, sample: "1.0 %/h",
		units: []unit{
			{"%/d", 1, 24, false, []string{"%/day"}},
			{"%/h", 1, 1, true, []string{"%/hour"}},
			{"%/min", 60, 1, false, nil},
		},
	}
	carbonUnits = dimension{
		noun: "a carbon factor", plural: "Carbon factors", usual: []string{"kg/GJ"}, sample: "56.1 kg/GJ",
		units: []unit{
			{"g/kWh", 10, 36, false, nil},
			{"kg/GJ", 1, 1, true, nil},
			{"g/MJ", 1, 1, false, nil},
			{"t/TJ", 1, 1, false, nil},
			{"kg/kWh", 10_000, 36, false, nil},
		},
	}
	// rampUnits takes kelvin and degrees alike, since as differences they are equal.
	rampUnits = dimension{
		noun: "a heating rate", plural: "Heating rates", usual: []string{"degC/h"}, sample: "120 degC/h", signed: true,
		units: []unit{
			{"degC/h", 1, 1, true, []string{"\u00b0c/h", "c/h"}},
			{"K/h", 1, 1, false, nil},
			{"degC/min", 60, 1, false, []string{"\u00b0c/min"}},
			{"K/min", 60, 1, false, nil},
		},
	}
	densityUnits = dimension{
		noun: "a density", plural: "Densities", usual: []string{"g/L"}, sample: "1800 g/L",
		units: []unit{
			{"g/L", 1, 1, true, []string{"g/l"}},
			{"kg/m3", 1, 1, false, []string{"kg/m\u00b3"}},
			{"g/cm3", 1000, 1, false, []string{"g/cm\u00b3", "g/cc", "g/ml"}},
			{"kg/L", 1000, 1, false, []string{"kg/l"}},
		},
	}
	// countUnits serves messages only: what may be counted, the caller knows.
	countUnits = dimension{
		noun: "a whole number", plural: "Counts", usual: []string{"pieces"}, sample: "60", bare: true,
	}
)
