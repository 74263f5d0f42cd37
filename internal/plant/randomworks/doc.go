// Package randomworks draws small sanitaryware works at random, for tests that
// must hold for every works and not only for the ones somebody thought of.
//
// A works drawn here is small (a few hundred pieces a week, two to four weeks)
// but possible: plant.New accepts it, no department is cut off from the next,
// and every word that plant.Works allows comes up. What comes up seldom in life
// comes up often here: breakdowns, car wrecks, clocks that change, closures,
// crews at half strength, ware that stiffens in the dryer, kilns that must not
// push an empty car.
//
// The package is test support: no part of the program imports it.
package randomworks
