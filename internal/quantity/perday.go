package quantity

// A PerDay is a number of pieces on a working day; the mean of several days
// need not be whole.
type PerDay float64

// perDayUnits is the table of PerDay. A week is refused, since works differ in
// how many days of it they work.
var perDayUnits = dimension{
	noun: "a number per day", plural: "Numbers per day", usual: []string{"per day"}, sample: "616.7 per day",
	units: []unit{{"per day", 1, 1, true, []string{"/d", "/day", "per d", "a day", "pieces per day", "pieces/d", "pieces/day"}}},
	traps: []trap{
		{"per week", "works differ in how many days of a week they work", "divide by the working days and write it per day"},
		{"/wk", "works differ in how many days of a week they work", "divide by the working days and write it per day"},
	},
}

// ParsePerDay reads a number of pieces on a working day such as "616.7 per
// day".
func ParsePerDay(key, s string) (PerDay, error) {
	f, _, err := perDayUnits.readFloat(key, s)
	return PerDay(f), err
}

// String prints the number: "616.7 per day".
func (p PerDay) String() string { return perDayUnits.spellFloat(float64(p)) }
