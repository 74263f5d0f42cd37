package quantity

// ParseTime reads a time such as "36 h", "75 min" or "4 wk" and returns whole
// milliseconds, rounded half to even. Units: ms, s, min, h, d, wk, yr (365 d). A
// time is not negative.
func ParseTime(key, s string) (ms int64, err error) {
	ms, _, err = timeUnits.readWhole(key, s)
	return ms, err
}

// FormatTime prints ms milliseconds as the shortest exact time: "36 h".
func FormatTime(ms int64) string { return timeUnits.spellWhole(ms, "") }

// A Mass is in grams.
type Mass int64

// ParseMass reads a mass such as "18.1 kg". Units: g, kg, t.
func ParseMass(key, s string) (Mass, error) {
	n, _, err := massUnits.readWhole(key, s)
	return Mass(n), err
}

// String prints the shortest exact spelling: "18.1 kg".
func (m Mass) String() string { return massUnits.spellWhole(int64(m), "") }

// A Share is a part of a whole, from 0 to 1, written in percent.
type Share float64

// ParseShare reads a share such as "6 %", from 0 % to 100 %.
func ParseShare(key, s string) (Share, error) {
	f, a, err := shareUnits.readFloat(key, s)
	if err == nil && f > 1 {
		err = faultAt(a.at, shareUnits.suchAs(), "a share must lie between 0 %% and 100 %%")
	}
	if err != nil {
		return 0, err
	}
	return Share(f), nil
}

// String prints the share in percent: "6 %".
func (s Share) String() string { return shareUnits.spellFloat(float64(s)) }

// A Moisture is water by mass in percent of the dry solids ("dry basis"). It
// can exceed 100 %.
type Moisture float64

// ParseMoisture reads a moisture such as "19 %".
func ParseMoisture(key, s string) (Moisture, error) {
	f, _, err := moistureUnits.readFloat(key, s)
	return Moisture(f), err
}

// String prints the moisture: "19 %".
func (m Moisture) String() string { return moistureUnits.spellFloat(float64(m)) }

// A Length is in millimetres.
type Length float64

// ParseLength reads a length such as "10 mm". Units: um, mm, cm, m.
func ParseLength(key, s string) (Length, error) {
	f, _, err := lengthUnits.readFloat(key, s)
	return Length(f), err
}

// String prints the shortest exact spelling: "10 mm".
func (l Length) String() string { return lengthUnits.spellFloat(float64(l)) }

// A BuildRate is the square of the wall built by slip casting per time, in
// mm2/min: the constant k of wall² = k·time.
type BuildRate float64

// ParseBuildRate reads a building rate such as "1.0 mm2/min". Units: mm2/min,
// mm2/h.
func ParseBuildRate(key, s string) (BuildRate, error) {
	f, _, err := buildUnits.readFloat(key, s)
	return BuildRate(f), err
}

// String prints the rate: "1 mm2/min".
func (r BuildRate) String() string { return buildUnits.spellFloat(float64(r)) }

// A DryingRate is in points of moisture (percent, dry basis) per hour.
type DryingRate float64

// ParseDryingRate reads a drying rate such as "1.0 %/h". Units: %/h, %/min,
// %/d.
func ParseDryingRate(key, s string) (DryingRate, error) {
	f, _, err := dryingUnits.readFloat(key, s)
	return DryingRate(f), err
}

// String prints the rate: "1 %/h".
func (r DryingRate) String() string { return dryingUnits.spellFloat(float64(r)) }

// A Density is in grams per litre (= kg/m3).
type Density float64

// ParseDensity reads a density such as "1800 g/L". Units: g/L, kg/L, kg/m3,
// g/cm3.
func ParseDensity(key, s string) (Density, error) {
	f, _, err := densityUnits.readFloat(key, s)
	return Density(f), err
}

// String prints the density: "1800 g/L".
func (d Density) String() string { return densityUnits.spellFloat(float64(d)) }
