package randomworks

import (
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// dryers draws dryers. The first takes all wares; where ware stiffens in a
// dryer it is one that can be visited twice.
func (m *maker) dryers() {
	twice := false
	for i := range m.w.Ware {
		twice = twice || m.w.Ware[i].Window != nil && m.w.Ware[i].Window.InDryer
	}
	if !twice && !m.have("dryers") {
		return
	}
	for k := range m.count("dryers", 1, 3) {
		kinds := []string{"floor", "tunnel", "chamber"}
		if k == 0 && twice {
			kinds = kinds[:2]
		}
		name := numbered("dryer", k)
		d := plant.Dryer{
			Name: name, Kind: m.word(name+" kind", kinds...), Count: 1, Trolleys: m.count(name+" trolleys", 1, 6),
			Cycle: m.span(name+" cycle", 60, 2000), Load: "full", Rate: quantity.DryingRate(m.count(name+" stiffening (%/h)", 1, 5)), Residual: 0.5,
			Hours: m.maybeHours(name), Energy: quantity.Energy(m.count(name+" MJ a piece", 0, 20) * 1000), Hot: quantity.Power(m.count(name+" MJ/h", 0, 200) * 1000),
		}
		if m.yes(name + " cracks ware") {
			d.Cracks = m.share(name+" cracks", 1, 10)
		}
		if k > 0 {
			d.Ware = m.some(name, m.wareNames())
		}
		if d.Kind == "chamber" {
			d.Count = m.count(name+" chambers", 1, 3)
			if d.Load = m.word(name+" loaded", "full", "clock"); d.Load == "clock" {
				d.At = m.someHours(name + " clock")
			} else if m.have(name + " part loads") {
				d.Latest = m.minutes(name+" latest", 1, 3000)
			}
		}
		m.w.Dryers = append(m.w.Dryers, d)
	}
}

// glazing draws white inspection and booths. The first booth takes all wares.
func (m *maker) glazing() {
	if m.have("white inspection") {
		m.w.White = &plant.Inspection{
			Crew: m.anyCrew("white"), Time: m.perWare("white", 0, 8), Finds: 1 - m.share("white misses", 0, 50), FalseAlarm: m.share("false alarms", 0, 10),
		}
	}
	if !m.have("glazing") {
		return
	}
	g := &plant.Glazing{Dry: m.minutes("coat drying", 0, 400)}
	for k := range m.count("booths", 1, 3) {
		name := numbered("booth", k)
		b := plant.Booth{
			Name: name, Kind: m.word(name+" kind", "hand", "robot"), Count: m.count(name+" booths", 1, 2), Effective: 1,
			Time: m.perWare(name, 0, 10), Change: m.minutes(name+" colour change", 0, 40), Patience: m.minutes(name+" patience", 0, 300),
		}
		if b.Kind == "hand" || m.yes(name+" minded") {
			b.Crew = m.anyCrew(name)
		} else {
			b.Hours = m.someHours(name)
		}
		b.Breakdowns = m.breakdowns(name)
		if m.yes(name + " has allowances") {
			b.Effective = m.share(name+" effective", 60, 99)
		}
		if k > 0 {
			b.Ware = m.some(name, m.wareNames())
		}
		g.Booths = append(g.Booths, b)
	}
	m.w.Glazing = g
}

// kilns draws the kilns: one that fires every ware first, one that fires it
// again, which may be the same, and others at random.
func (m *maker) kilns() {
	m.w.Fuel = plant.Fuel{Price: quantity.EnergyPrice(m.count("gas (0.01 EUR/kWh)", 0, 10) * 10_000), Carbon: 56.1}
	if m.yes("one kiln for both fires") {
		m.kiln("kiln-1", "both", false)
	} else {
		m.kiln("kiln-1", "first", false)
		m.kiln("kiln-2", "refire", false)
	}
	if m.yes("a further kiln") {
		m.kiln("kiln-3", m.word("kiln-3 fires", "first", "refire", "both"), true)
	}
}

func (m *maker) kiln(name, fires string, restricted bool) {
	k := plant.Kiln{
		Name: name, Kind: m.word(name+" kind", "shuttle", "tunnel", "roller"), Fires: fires,
		Mix: m.word(name+" mix", "any", "one-body", "one-ware"), Count: 1, CarSets: 1, Start: "full", Least: 1, Short: "empty", PartCar: 0.5, Ahead: 8,
		Load: plant.PerWare[int]{"": m.count(name+" load", 1, 8)}, RepairT: 24 * des.Hour,
		PerKg: quantity.EnergyPerMass(m.count(name+" kJ/kg", 0, 3000)),
	}
	if m.yes(name + " load by ware") {
		k.Load = plant.PerWare[int]{m.w.Ware[0].Name: m.count(name+" load of the first", 1, 8), "others": m.count(name+" load of others", 1, 8)}
	}
	if restricted {
		k.Ware = m.some(name, m.wareNames())
	}
	if k.Kind == "shuttle" {
		m.shuttle(&k)
	} else {
		m.tunnel(&k)
	}
	if m.yes(name + " curve") {
		k.Curve = []plant.Segment{{To: 1200, Rate: 100}, {To: 1200, Hold: des.Hour}, {To: 50, Rate: 120}}
	}
	m.w.Kilns = append(m.w.Kilns, k)
}

func (m *maker) shuttle(k *plant.Kiln) {
	n := k.Name
	k.Count, k.CarSets = m.count(n+" kilns", 1, 2), m.count(n+" car sets", 1, 2)
	k.Loading, k.Drawing = m.minutes(n+" loading", 0, 120), m.minutes(n+" drawing", 0, 120)
	k.Firing, k.Cooling = m.minutes(n+" firing", 1, 900), m.minutes(n+" cooling", 0, 900)
	k.Hours = m.maybeHours(n)
	k.PerFire = quantity.Energy(m.count(n+" MJ a firing", 0, 9000) * 1000)
	switch k.Start = m.word(n+" start", "full", "least", "clock"); k.Start {
	case "least":
		k.Least = m.share(n+" least load", 1, 100)
	case "clock":
		// Hours of loading that are shut when the clock strikes would never load.
		k.At, k.Hours = m.someHours(n+" clock"), ""
	}
	// A load that is never made up would hold its ware to the end of the run.
	k.Latest = m.minutes(n+" latest", 1, 4000)
}

func (m *maker) tunnel(k *plant.Kiln) {
	n := k.Name
	k.Inside, k.Push = m.count(n+" inside", 1, 8), m.minutes(n+" push", 10, 120)
	k.Fastest, k.Slowest = k.Push/2, 4*k.Push
	if m.yes(n + " slow hours") {
		k.SlowPush = map[string]des.Time{m.someHours(n + " slow"): 2 * k.Push}
	}
	if m.yes(n + " stretched") {
		k.Stretch, k.StretchN = 3*k.Push, m.count(n+" stretched below", 0, 3)
	}
	k.Short = m.word(n+" when short", "empty", "hold")
	// A part car of any size is sent, so that the last pieces of a ware go too.
	k.PartCar = m.share(n+" part car", 0, 12)
	if m.yes(n + " fleet limited") {
		k.Fleet = k.Inside + m.count(n+" cars outside", 1, 4)
	}
	k.Ahead = m.count(n+" cars ahead", 1, 4)
	if m.yes(n + " has placers") {
		k.Placers, k.Place, k.Draw = m.anyCrew(n), m.minutes(n+" place", 0, 4), m.minutes(n+" draw", 0, 2)
	}
	if m.yes(n + " cars repaired") {
		k.Repair, k.RepairT = m.count(n+" repair every", 1, 10), m.minutes(n+" repair takes", 0, 2000)
	}
	if m.yes(n + " wrecks") {
		k.Wrecks = &plant.Wrecks{Between: m.span(n+" between wrecks", 2000, 20000), Stop: m.span(n+" wreck stops it", 0, 1500), Cars: m.count(n+" cars lost", 0, 4)}
	}
	if m.yes(n + " stops") {
		k.Stops = &plant.Breakdowns{Between: m.span(n+" between stops", 300, 5000), Repair: m.span(n+" stop", 0, 400), Clock: "calendar"}
	}
	k.Base, k.PerCar = quantity.Power(m.count(n+" MJ/h", 0, 2000)*1000), quantity.Energy(m.count(n+" MJ a car", 0, 500)*1000)
}
