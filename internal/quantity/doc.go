// Package quantity reads and prints the physical quantities of a scenario:
// times, masses, energies, money, shares and the rates between them.
//
// A quantity is written as one number and one unit, as on a works drawing:
// "36 h", "18.1 kg", "6 %", "0.045 EUR/kWh". A bare number is refused, since
// a reader cannot tell hours from minutes; so is every spelling that two
// readers could take differently ("6 m", "1:15", "9,5", "010").
//
// Numbers are decimal and are carried as exact fractions until the last step.
// What is then kept as a whole number is rounded once, half to even, to the
// step of its type:
//
//	time           ms                       ParseTime, FormatTime
//	Mass           g
//	Energy         kJ                       net calorific value for fuel
//	Power          kJ/h
//	EnergyPerMass  kJ/kg (= J/g)
//	Money          1e-6 of the currency
//	EnergyPrice    1e-6 of the currency per kWh
//	MassPrice      1e-6 of the currency per t
//	Wage           1e-6 of the currency per h
//
// The measured properties are float64, the nearest to the decimal written:
// Share, Moisture, Temperature, TemperatureSpan, Length, BuildRate,
// DryingRate, CarbonFactor, ThermalRate, Density.
//
// Every parser takes the key under which the quantity stands, for its
// messages only, and every error is a *Fault that says where in the text the
// trouble begins and what to write instead. Printing gives the shortest exact
// spelling, and reading that back gives the same value.
package quantity
