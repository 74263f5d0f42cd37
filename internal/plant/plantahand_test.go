package plant_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// Plant A is an invented works of which a planner has worked every department
// out by hand: pieces, hours, cars, gas, money, by averages and by pencil. Here
// the model is held to that calculation, line by line.
//
// testdata/plant-a-hand.csv is the calculation. Of each line it has the hand
// value with its sum; the figure of the model that is the same thing, with the
// difference allowed in percent; and the figure of the works' own estimate. The
// common tolerance is 2 %; 10 % where the calculation itself calls its value a
// planning figure. Where the model differs by more, and is right to, the line
// has a band instead and says why.
//
// What the calculation has and the model has not: the spread of a bad master
// through the works, the fleet of 64 cars, kiln operators, electricity, heating
// of the shops, returns from the field.
//
// source: Plant A hand calculation; every figure is invented.

// handLine is one line of the calculation.
type handLine struct {
	line, variant, figure, unit string
	hand, tolerance             float64 // tolerance: a share of hand
	low, high                   float64 // the band of an explained difference
	estimate, sum, why          string
}

func handLines(t *testing.T) []handLine {
	t.Helper()
	f, err := os.Open("testdata/plant-a-hand.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []handLine
	for _, row := range table[1:] {
		if row[1] != "" && !everyVariant {
			continue
		}
		number := func(text string) float64 {
			if text == "" {
				return math.NaN()
			}
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatalf("%s: %v", row[0], err)
			}
			return v
		}
		all = append(all, handLine{
			line: row[0], variant: row[1], figure: row[2], unit: row[3], hand: number(row[4]),
			tolerance: number(row[5]) / 100, low: number(row[6]), high: number(row[7]),
			estimate: row[8], sum: row[9], why: row[10],
		})
	}
	return all
}

// TestPlantAByHand holds each figure of the model to its line.
func TestPlantAByHand(t *testing.T) {
	checked := 0
	for _, l := range handLines(t) {
		if l.figure == "" {
			continue // told by the estimate alone
		}
		checked++
		got := plantAVariant(t, l.variant).figure(l.figure)
		off := 100 * (got - l.hand) / l.hand
		switch {
		case l.why != "" && (got < l.low || got > l.high || math.IsNaN(got)):
			t.Errorf("%s: %.5g %s by the model, by hand %.5g, explained from %.5g to %.5g", l.line, got, l.unit, l.hand, l.low, l.high)
		case l.why == "" && !(math.Abs(got-l.hand) <= handSlack*l.tolerance*math.Abs(l.hand)+1e-9):
			t.Errorf("%s: %.6g %s by the model, %.6g by hand (%+.2f %%, allowed %.3g %%; %s)", l.line, got, l.unit, l.hand, off, 100*l.tolerance, l.sum)
		}
	}
	if checked < 120 {
		t.Errorf("only %d lines were checked", checked)
	}
}

// TestPlantAEstimate holds the works' own estimate to the same lines, within
// the rounding of the hand values.
func TestPlantAEstimate(t *testing.T) {
	checked := 0
	for _, l := range handLines(t) {
		if l.estimate == "" {
			continue
		}
		checked++
		got := plantAVariant(t, l.variant).estimate(l.estimate)
		if !(math.Abs(got-l.hand) <= 0.005*math.Abs(l.hand)) {
			t.Errorf("%s: %.6g %s by the estimate, %.6g by hand (%s)", l.line, got, l.unit, l.hand, l.sum)
		}
	}
	if checked < 50 {
		t.Errorf("only %d lines were checked", checked)
	}
}

// TestTooDryExplainsTheShortfall is the evidence for the one cause that many
// lines name: packed ware falls short of the hand calculation by the pieces
// that dried out, and these were cast on a Friday and met on a Monday.
func TestTooDryExplainsTheShortfall(t *testing.T) {
	a := plantAVariant(t, "")
	for when, n := range a.w.dryOn {
		if when != "Fri to Mon" {
			t.Errorf("%d pieces too dry were demoulded and met %s, not Fri to Mon", n, when)
		}
	}
	for _, tt := range []struct {
		ware   string
		packed float64 // a week, by hand
	}{{"pan", 2400}, {"cistern", 1500}, {"basin", 1500}, {"fireclay", 600}} {
		dry := a.measure("window.too_dry." + tt.ware)
		want := tt.packed * (1 - dry/a.measure("cast."+tt.ware))
		if got := a.measure("packed." + tt.ware); math.Abs(got-want) > 0.005*want {
			t.Errorf("%s: %.1f a week packed; by hand and %.1f too dry of the casts it is %.1f", tt.ware, got, dry, want)
		}
	}
	if dry := a.measure("window.too_dry.cistern"); dry < 55 || dry > 66 {
		t.Errorf("%.1f cisterns a week were too dry, about 60 are expected", dry)
	}
}

// number takes an optional factor off a figure: "0.2 * cast.pan".
func number(t *testing.T, figure string) (factor float64, name string) {
	before, after, found := strings.Cut(figure, " * ")
	if !found {
		return 1, figure
	}
	factor, err := strconv.ParseFloat(before, 64)
	if err != nil {
		t.Fatal(err)
	}
	return factor, after
}

// estimate is a figure of the estimate by hand: a measure, or the need, the
// capacity or the load of a department.
func (a *plantA) estimate(figure string) float64 {
	factor, name := number(a.t, figure)
	kind, department, _ := strings.Cut(name, " ")
	for _, d := range a.p.Hand().Departments {
		if d.Name != department {
			continue
		}
		switch kind {
		case "need":
			return factor * d.Need
		case "capacity":
			return factor * d.Capacity
		case "load":
			return factor * 100 * d.Load
		}
	}
	v, ok := a.p.Hand().Value(name)
	if !ok {
		a.t.Errorf("the estimate has no %s", name)
	}
	return factor * v
}

// figure is a figure of the model: a measure, a flow by ware, the hours of a
// crew, or one of watched.
func (a *plantA) figure(figure string) float64 {
	factor, name := number(a.t, figure)
	if stage, ware, found := strings.Cut(strings.TrimPrefix(name, "flow "), "."); found && strings.HasPrefix(name, "flow ") {
		return factor * a.flow(stage, ware)
	}
	if crew, found := strings.CutPrefix(name, "worked "); found {
		return factor * a.worked(crew)
	}
	if stage, found := strings.CutPrefix(name, "cost to "); found {
		return factor * a.costTo(stage)
	}
	if f, ok := watched[name]; ok {
		return factor * f(a)
	}
	return factor * a.measure(name)
}

// flow is the pieces of a ware, or of all, at a stage on a working day.
func (a *plantA) flow(stage, ware string) float64 {
	if ware == "all" {
		sum := 0.0
		for i := range a.p.Works().Ware {
			sum += a.flow(stage, a.p.Works().Ware[i].Name)
		}
		return sum
	}
	switch stage {
	case "cars":
		return float64(len(a.w.cars[ware])) / 5 / a.w.weeks()
	case "trolleys":
		return a.w.perDay("on trolley", ware, "") / float64(a.ware(ware).PerTrolley)
	}
	s := map[string]sight{
		"packed": {event: "packed"}, "casts": {event: "filled"}, "dried": {event: "into dryer"},
		"glazed": {event: "passed white inspection"}, "fired": {event: "into the kiln", where: "tunnel"},
		"refires": {event: "sent to refire"}, "scrap": {event: "lost", where: "lost.firing.fault"}, "sorted": {event: "sorted: A"},
	}[stage]
	if s.event == "" {
		a.t.Fatalf("there is no flow %s", stage)
	}
	return a.w.perDay(s.event, ware, s.where)
}

// ware is the description of a ware.
func (a *plantA) ware(name string) *plant.Ware {
	for i := range a.p.Works().Ware {
		if w := &a.p.Works().Ware[i]; w.Name == name {
			return w
		}
	}
	a.t.Fatalf("there is no ware %s", name)
	return nil
}

// mass is the fired tonnes a week of a stage.
func (a *plantA) mass(stage string) float64 {
	sum := 0.0
	for i := range a.p.Works().Ware {
		w := &a.p.Works().Ware[i]
		sum += 5 * a.flow(stage, w.Name) * float64(w.Fired) / 1e6 // g
	}
	return sum
}

// slip is the dry tonnes a day of one body.
func (a *plantA) slip(body string) float64 {
	sum := 0.0
	for i := range a.p.Works().Ware {
		if w := &a.p.Works().Ware[i]; w.Body == body {
			sum += a.flow("casts", w.Name) * float64(w.Dry) / 1e6
		}
	}
	return sum
}

// pushes is the pushes of the tunnel kiln in a week.
func (a *plantA) pushes() float64 {
	return a.measure("kiln.tunnel.firings") / (1 - a.measure("kiln.tunnel.empty")/100)
}

// stockAt is the mean stock before the kiln at an instant of the week.
func (a *plantA) stockAt(at des.Time) stock {
	s := *a.w.stock[at]
	n := a.w.weeks()
	return stock{pieces: s.pieces / n, cars: s.cars / n, coating: s.coating / n}
}

// euroPerGJ is the price of gas: 0.045 EUR/kWh.
const euroPerGJ = 12.5

// costTo is the direct cost of a pan that has come through a stage; all wares
// cost what the pan does. Moulds and gas have lines of their own in the model
// and are added where the calculation has them.
func (a *plantA) costTo(last string) float64 {
	fired := 5 * a.flow("fired", "all")
	dried := 5 * a.flow("dried", "all")
	sum := 0.0
	for _, s := range []struct {
		stage string
		cost  float64
	}{
		{"casting", a.measure("cost.casting")/a.measure("cast.total") + 120*a.measure("moulds.worn.pan")/a.measure("cast.pan")},
		{"finishing", a.measure("cost.finishing") / (a.measure("cast.total") - a.measure("window.too_dry"))},
		{"drying", (a.measure("cost.drying") + euroPerGJ*a.measure("fuel.chambers")) / dried},
		{"white inspection", a.measure("cost.white") / dried},
		{"glazing", a.measure("cost.glazing") / (5 * a.flow("glazed", "all"))},
		{"first fire", (a.measure("cost.firing") + euroPerGJ*a.measure("fuel.tunnel")) / fired},
		{"sorting and test", a.measure("cost.sorting") / (fired + a.measure("refires.total"))},
		{"packing", a.measure("cost.packing") / a.measure("packed.total")},
	} {
		sum += s.cost
		if s.stage == last {
			return sum
		}
	}
	a.t.Fatalf("there is no stage %s", last)
	return 0
}

// watched are the figures that are not measures, flows or hours.
var watched = map[string]func(*plantA) float64{
	"mass fired":   func(a *plantA) float64 { return a.mass("fired") },
	"mass refired": func(a *plantA) float64 { return a.mass("refires") },
	"pieces a car": func(a *plantA) float64 { return a.flow("fired", "all") / a.flow("cars", "all") },

	"first pan out":      func(a *plantA) float64 { return hours(a.w.punching.firstOut) },
	"last pan out":       func(a *plantA) float64 { return hours(a.w.punching.lastOut) },
	"first fireclay out": func(a *plantA) float64 { return hours(a.w.punching.fireclayOut) },
	"slip vitreous":      func(a *plantA) float64 { return a.slip("vitreous china") },
	"slip fireclay":      func(a *plantA) float64 { return a.slip("fine fireclay") },

	"first punching": func(a *plantA) float64 { return hours(a.w.punching.firstStart) },
	"last punching":  func(a *plantA) float64 { return hours(a.w.punching.last) },
	"window wait":    func(a *plantA) float64 { return hours(a.w.punching.windowFirst) },
	"late pans":      func(a *plantA) float64 { return float64(a.w.punching.late) / float64(len(a.w.punching.days)) },
	"begun late":     func(a *plantA) float64 { return float64(a.w.punching.startLate) / float64(len(a.w.punching.days)) },
	"by 1830":        func(a *plantA) float64 { return float64(a.w.punching.by1830) / float64(len(a.w.punching.days)) },
	"left behind":    func(a *plantA) float64 { return a.flow("trolleys", "all") - a.intoDryers() },

	"least coat":      func(a *plantA) float64 { return hours(a.w.leastCoat) },
	"pushes":          (*plantA).pushes,
	"weekend cars":    func(a *plantA) float64 { return float64(len(a.w.weekendCar)) / a.w.weeks() },
	"stay":            func(a *plantA) float64 { return meanHours(a.w.stays) },
	"weekend stay":    func(a *plantA) float64 { return meanHours(a.w.weekendStays) },
	"saturday pieces": func(a *plantA) float64 { return a.stockAt(saturday06).pieces },
	"saturday cars":   func(a *plantA) float64 { return a.stockAt(saturday06).cars },
	"friday pieces":   func(a *plantA) float64 { s := a.stockAt(friday22); return s.pieces + s.coating },

	"tunnel gas a kg":    func(a *plantA) float64 { return a.measure("fuel.tunnel") / a.mass("fired") },
	"tunnel gas a piece": func(a *plantA) float64 { return 1000 * a.measure("fuel.tunnel") / (5 * a.flow("fired", "all")) },
	"refire gas a kg":    func(a *plantA) float64 { return a.measure("fuel.refire-shuttles") / a.mass("refires") },
	"gas a good piece":   func(a *plantA) float64 { return a.measure("cost.gas") / a.measure("packed.total") },
	"carbon":             func(a *plantA) float64 { return a.measure("co2.per_good") * a.measure("packed.total") / 1000 },

	"cost of refire": func(a *plantA) float64 {
		return (a.measure("cost.refire") + euroPerGJ*a.measure("fuel.refire-shuttles")) / a.measure("refires.total")
	},
	"clay credit": func(a *plantA) float64 {
		return -a.measure("cost.reclaim") / (a.measure("lost.finishing.casting fault") + a.measure("lost.finishing.too dry to punch") +
			a.measure("lost.white.fault") + a.measure("lost.glazing.knock or wash-off"))
	},
	"pan disposal": func(a *plantA) float64 {
		// A mean over wares, brought to the mass of a pan.
		fired, tonnes := a.measure("lost.firing.fault")+a.measure("lost.test.failed leak"), 0.0
		for i := range a.p.Works().Ware {
			w := &a.p.Works().Ware[i]
			tonnes += 5 * (a.flow("scrap", w.Name) + a.w.perDay("lost", w.Name, "lost.test.failed leak")) * float64(w.Fired) / 1e6
		}
		return a.measure("cost.disposal") / fired * (17 * fired / 1000 / tonnes)
	},

	"least lead":   func(a *plantA) float64 { return hours(a.w.leastLead) },
	"refired lead": func(a *plantA) float64 { return meanHours(a.w.refiredLeads) / 24 },
	"sorting queue": func(a *plantA) float64 {
		return a.measure("wip_working.sorting") + a.waitingToBeSortedAgain()
	},
	"refire loop": func(a *plantA) float64 {
		return a.measure("wip_working.refire") - a.waitingToBeSortedAgain()
	},
	"sorting and refire": func(a *plantA) float64 {
		return a.measure("wip_working.sorting") + a.measure("wip_working.refire")
	},
}

// intoDryers is the trolleys that go into the dryers on a working day.
func (a *plantA) intoDryers() float64 {
	sum := 0.0
	for i := range a.p.Works().Ware {
		w := &a.p.Works().Ware[i]
		sum += a.flow("dried", w.Name) / float64(w.PerTrolley)
	}
	return sum
}

// waitingToBeSortedAgain is the refired pieces between kiln and sorter, mean on
// working time.
func (a *plantA) waitingToBeSortedAgain() float64 {
	return hours(a.w.resorting) / 120 / a.w.weeks()
}
