package randomworks

import (
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// wares draws one to three wares.
func (m *maker) wares() {
	for _, name := range []string{"pan", "basin", "cistern"}[:m.count("wares", 1, 3)] {
		w := plant.Ware{
			Name: name, Fired: 12_000, Dry: 13_000, Wet: 16_000, Slip: 25_000, SlipReturn: m.share(name+" slip return", 0, 40),
			Colour: m.word(name+" colour", "white", "black"), Body: m.word(name+" body", "vitreous china", "fireclay"),
			Make: "stock", PerTrolley: m.count(name+" per trolley", 1, 4),
			Demould: must(random.Constant(22)),
		}
		if m.yes(name + " to a plan") {
			w.Plan = quantity.PerDay(float64(m.count(name+" plan (0.1/day)", 1, 300)) / 10)
		}
		if m.yes(name + " moisture varies") {
			w.Demould = must(random.Uniform(18, 23))
		}
		if m.have(name + " window") {
			w.Window = m.window(name)
		}
		m.yields(&w)
		m.prices(&w)
		m.w.Ware = append(m.w.Ware, w)
	}
}

// window draws a punching window, by moisture or by the clock.
func (m *maker) window(name string) *plant.Window {
	w := &plant.Window{Eager: m.yes(name + " punched early"), TooDry: m.word(name+" too dry", "scrap", "punch"), Refuse: 12}
	if m.yes(name + " window by time") {
		w.After = m.minutes(name+" opens after", 0, 600)
		w.Until = w.After + m.minutes(name+" open for", 1, 900)
		w.LateBy = plant.TimeCurve{{At: 0, Loss: 0}, {At: 8 * des.Hour, Loss: 0.3}}
		return w
	}
	w.Opens = quantity.Moisture(m.count(name+" opens at (%)", 17, 21))
	w.Closes = quantity.Moisture(m.count(name+" closes at (%)", 13, 16))
	w.Early = plant.Curve{{At: w.Opens, Loss: 0}, {At: w.Opens + 2, Loss: 0.1}}
	w.Late = plant.Curve{{At: w.Closes - 1, Loss: 0.2}, {At: w.Closes, Loss: 0}}
	w.InDryer = m.yes(name + " stiffens in a dryer")
	return w
}

// yields draws what goes right. Shares of grades add up to at most 100 %.
func (m *maker) yields(w *plant.Ware) {
	y := &w.Yields
	n := w.Name
	y.Casting, y.White, y.Glaze = 1-m.share(n+" casting loss", 0, 30), 1-m.share(n+" white loss", 0, 30), 1-m.share(n+" glaze loss", 0, 20)
	y.FirstFire = m.grades(n + " first fire")
	y.LaterFire = m.grades(n + " refire")
	y.Test, y.Breakage = 1-m.share(n+" test loss", 0, 20), m.share(n+" breakage", 0, 10)
	y.CarLuck, y.DayLuck = m.luck(n+" car luck"), m.luck(n+" day luck")
	if m.yes(n + " faults told apart") {
		y.FiredFault = map[string]quantity.Share{"dunt": 0.25, "pinholes": 0.75}
		y.WhiteFault = map[string]quantity.Share{"crack": 0.5, "knock": 0.25, "other": 0.25}
	}
}

// luck draws a correlation: none, some, or the whole batch alike.
func (m *maker) luck(what string) quantity.Share {
	return quantity.Share(map[string]float64{"none": 0, "some": 0.2, "all": 1}[m.word(what, "none", "some", "all")])
}

// grades draws the shares of one fire. Tenths keep their sum from passing 100 %.
func (m *maker) grades(what string) plant.Grades {
	lost := m.count(what+" not A (10 %)", 0, 9)
	b := m.count(what+" B (10 %)", 0, lost)
	refire := m.count(what+" refire (10 %)", 0, lost-b)
	tenth := func(n int) quantity.Share { return quantity.Share(float64(n) / 10) }
	return plant.Grades{A: tenth(10 - lost), B: tenth(b), Refire: tenth(refire)}
}

// prices draws costs by stage and selling prices.
func (m *maker) prices(w *plant.Ware) {
	if !m.yes(w.Name + " priced") {
		return
	}
	cost := func(stage string) quantity.Money { return quantity.Money(m.euros(w.Name+" "+stage, 5)) }
	w.Costs = plant.StageCosts{
		Casting: cost("casting"), Finishing: cost("finishing"), Drying: cost("drying"), White: cost("white"), Glazing: cost("glazing"),
		Firing: cost("firing"), Refire: cost("refire"), Sorting: cost("sorting"), Packing: cost("packing"), Reclaim: cost("reclaim"),
		Disposal: quantity.MassPrice(m.euros(w.Name+" disposal", 50)),
	}
	w.Price, w.SecondPrice = 40_000_000, 20_000_000
}
