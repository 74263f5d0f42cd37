package scenario

import (
	"strconv"
	"strings"

	"potbank/internal/plant"
)

// An Origin tells where one value comes from.
type Origin struct {
	Path string // its keys, such as "kilns.tunnel.push"
	Text string // as written
	From string // "file", "overlay" or "default"
	File string // empty for a default
	Line int    // 0 for a default
	// Guess says that the file itself owns the value to be one: "22 h from
	// guess".
	Guess bool

	field field
}

// Origins returns the origin of every value of the works, in the order of the
// sections.
func (f *File) Origins() []Origin { return f.origins }

// decisions are counts that a works chooses; no default of theirs stands in
// for something measured.
var decisions = map[string]bool{"Kiln.cars-ahead": true, "Kiln.stretch-below": true, "Order.priority": true, "Refire.most": true}

// Unmeasured returns what stands in for a measurement: values that the file
// says are guessed, and defaults, which are figures that nobody gave of things
// that the works has. Left away are those that
// mean "nothing" (0 %, 0 min, no price) or "all" (100 %), words and rules, and
// how long to simulate.
func (f *File) Unmeasured() []Origin {
	var unmeasured []Origin
	for _, o := range f.origins {
		if o.Guess || o.From == "default" && standsIn(o) && matters(f.Works, o.Path) {
			unmeasured = append(unmeasured, o)
		}
	}
	return unmeasured
}

// standsIn reports whether a default is a figure that could be measured, and
// that changes the answer: nothing and all of it are not listed.
func standsIn(o Origin) bool {
	number, _, _ := strings.Cut(o.Text, " ")
	x, err := strconv.ParseFloat(number, 64)
	if err != nil || x == 0 || o.Text == "100 %" || o.field.owner == "Run" || decisions[o.field.id()] {
		return false
	}
	return scalars[o.field.typ].figure || x > 1
}

// matters reports whether the works has what the value of a path is about: a
// list that warned of the drying rate of a works whose windows are told by the
// clock would soon go unread.
func matters(w *plant.Works, path string) bool {
	section, rest, _ := strings.Cut(path, ".")
	switch section {
	case "casting-shop":
		return driesByMoisture(w) && (rest != "cover-factor" || w.Shop.Covered != "")
	case "fuel":
		return burnsFuel(w)
	case "ware":
		name, key, _ := strings.Cut(rest, ".")
		return matterOfWare(w, name, key)
	case "dryers":
		return !strings.HasSuffix(rest, ".stiffening-rate") || stiffens(w)
	case "kilns":
		name, key, _ := strings.Cut(rest, ".")
		return matterOfKiln(w, name, key)
	case "glazing":
		return !strings.HasSuffix(rest, ".patience") || changesColour(w)
	}
	return true
}

// matterOfKiln reports whether a value of a kiln is put to use.
func matterOfKiln(w *plant.Works, name, key string) bool {
	for _, k := range w.Kilns {
		switch {
		case k.Name != name:
		case key == "repair-takes":
			return k.Repair > 0
		case key == "part-car":
			return k.Kind != "shuttle"
		}
	}
	return true
}

// changesColour reports whether booths have more than one colour to spray.
func changesColour(w *plant.Works) bool {
	for _, ware := range w.Ware {
		if ware.Colour != w.Ware[0].Colour {
			return true
		}
	}
	return false
}

// driesByMoisture reports whether any ware's window is one of moisture.
func driesByMoisture(w *plant.Works) bool {
	for _, ware := range w.Ware {
		if ware.Window != nil && ware.Window.Opens > 0 {
			return true
		}
	}
	return false
}

// burnsFuel reports whether any kiln or dryer is given its fuel.
func burnsFuel(w *plant.Works) bool {
	for _, k := range w.Kilns {
		if k.Base > 0 || k.PerCar > 0 || k.PerFire > 0 || k.PerKg > 0 {
			return true
		}
	}
	for _, dryer := range w.Dryers {
		if dryer.Energy > 0 || dryer.Hot > 0 {
			return true
		}
	}
	return false
}

// stiffens reports whether any ware is sent to a dryer to stiffen.
func stiffens(w *plant.Works) bool {
	for _, ware := range w.Ware {
		if ware.Window != nil && ware.Window.InDryer {
			return true
		}
	}
	return false
}

// matterOfWare reports whether a value of a ware is put to use.
func matterOfWare(w *plant.Works, name, key string) bool {
	for _, ware := range w.Ware {
		switch {
		case ware.Name != name:
		case strings.HasPrefix(key, "yields.refire"):
			return w.Refire != nil && ware.Yields.FirstFire.Refire > 0
		case key == "demould-moisture":
			return ware.Window != nil && ware.Window.Opens > 0
		case key == "window.refuse-below":
			return ware.Window.Opens > 0
		}
	}
	return true
}
