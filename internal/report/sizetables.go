package report

import (
	"fmt"
	"math"
	"slices"

	"potbank/internal/experiment"
	"potbank/internal/stats"
)

// money shows what each option takes and is worth.
func (v *sized) money() Part {
	t := &Table{Columns: []Column{
		{Head: "Option", Text: true, Wide: 18}, {Head: "Capital"}, {Head: "Life, years"}, {Head: "Upkeep a year"}, {Head: "Capital and upkeep a year"},
		{Head: "A good piece, " + v.Currency}, {Head: "Worth against today"}, {Head: "Payback, years"},
	}}
	for i, o := range v.Options {
		life, worth, pays := plain(o.Outlay.Life), thousands(o.Worth), missing
		if i == 0 {
			life, worth = "", ""
		}
		switch {
		case i == 0 || math.IsNaN(o.Payback):
			pays = ""
		case math.IsInf(o.Payback, 0):
			pays = "never"
		default:
			pays = fixed(o.Payback, 1)
		}
		t.add(o.Name, fixed(o.Outlay.Capital/1000, 0), life, fixed(o.Outlay.Upkeep/1000, 0), fixed(o.Fixed/1000, 0), estimate(o.PerGood), worth, pays)
	}
	return Part{Heading: "Money", Table: t, After: []string{
		fmt.Sprintf("In thousand %s where nothing else is said, at %s interest and %s weeks a year. Worth: net present value over the life of the option. Payback counts no interest and nothing ranks by it. What stands in the works is not charged with interest.",
			v.Currency, rough(100*v.Terms.Rate)+" %", plain(v.Terms.Weeks))}}
}

// kilns shows how the kilns of each option run.
func (v *sized) kilns() Part {
	t := &Table{Columns: []Column{
		{Head: "Kiln", Text: true, Wide: 26}, {Head: "Could fire a week"}, {Head: "Needed, by hand"}, {Head: "Load, %"}, {Head: "Empty, %"}, {Head: "Part full, %"},
	}}
	for _, o := range v.Options {
		t.group(o.Name)
		for _, k := range o.Kilns {
			t.add(indent+k.Name+", "+k.Kind, fixed(k.Slots, 1), fixed(k.Need, 1), estimate(k.Load), estimate(k.Empty), estimate(k.Part))
		}
	}
	return Part{Heading: "Kilns, " + v.Futures[v.Main].Name, Table: t, After: []string{"Cars of tunnels, loads of shuttles. Load: pushes with ware, or time not waiting for a load."}}
}

// stores shows what tunnels live on over the weekend, and their cars.
func (v *sized) stores() Part {
	t := &Table{Columns: []Column{
		{Head: "Tunnel", Text: true, Wide: 26}, {Head: "Weekend takes, loads"}, {Head: "Held, 95 %"}, {Head: "Least, 5 %"}, {Head: "On racks, pieces, 95 %"}, {Head: "Cars in use, 95 %"}, {Head: "Cars, if they are the store"},
	}}
	for _, o := range v.Options {
		for _, k := range o.Kilns {
			if !k.HasStore() {
				continue
			}
			cars := whole(k.Cars)
			if k.Fleet > 0 {
				cars += fmt.Sprintf(" of %d", k.Fleet)
			}
			t.add(o.Name+", "+k.Name, fixed(k.Needed, 1), tenth(k.Held), tenth(k.Least), whole(k.Racks), cars, fixed(float64(k.AsCars), 0))
		}
	}
	if len(t.Rows) == 0 {
		return Part{}
	}
	return Part{Heading: "Store over the weekend, and cars", Table: t, After: []string{
		"Takes: pushes from the end of glazing until fresh ware is dry, by hand. Held: car loads glazed by then, in 95 of 100 weeks no more: the room it takes. Least: in 95 of 100 weeks at least so many loads are left at the lowest; below 1 the kiln has pushed empty cars or was about to. Cars if they are the store: by hand, where ware stands on cars over the weekend and not on racks: those inside, and all that the weekend takes, loaded before it and fired after it. Cars in repair, and damaged ones, come on top unless the scenario has them."}}
}

// tenth and whole print values without an interval; nothing where there is none.
func tenth(e stats.Estimate) string { return digits(e, 1) }
func whole(e stats.Estimate) string { return digits(e, 0) }

func digits(e stats.Estimate, decimals int) string {
	if math.IsNaN(e.Value) {
		return missing
	}
	return fixed(e.Value, decimals)
}

// energy splits fuel and carbon for a good piece.
func (v *sized) energy() Part {
	t := &Table{Columns: []Column{
		{Head: "Option", Text: true, Wide: 24}, {Head: "Base, MJ"}, {Head: "With the ware, MJ"}, {Head: "Fuel, MJ"}, {Head: "Base, kg CO2"}, {Head: "With the ware, kg CO2"}, {Head: "CO2, kg"},
	}}
	for _, o := range v.Options {
		mj, mjAll := addUp([]float64{o.Energy.Base, o.Energy.Variable}, 1)
		kg, kgAll := addUp([]float64{o.CO2.Base, o.CO2.Variable}, 2)
		t.add(o.Name, mj[0], mj[1], mjAll, kg[0], kg[1], kgAll)
	}
	return Part{Heading: "Fuel for a good piece", Table: t, After: []string{
		"Base burns by the hour whatever is fired, so the better a kiln is filled the less of it falls to a piece. Refires and scrap carry theirs to the good pieces. Net calorific value; expected over the futures."}}
}

// bottlenecks shows what limits the works once an option is built.
func (v *sized) bottlenecks() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 24}, {Head: "Limits the works", Text: true, Wide: 28}, {Head: "Its load, %"}, {Head: "Next", Text: true, Wide: 28}}}
	for _, o := range v.Options {
		what := o.Bottleneck.Resource
		if what == "" {
			what = "none near its capacity"
		}
		t.add(o.Name, what, fixed(o.Bottleneck.Load, 1), o.Bottleneck.Next)
	}
	return Part{Heading: "The next bottleneck, " + v.Futures[v.Main].Name, Table: t}
}

// curve shows what more money for kilns gives, and where it gives less.
func (v *sized) curve() Part {
	t := &Table{Columns: []Column{
		{Head: "Option", Text: true, Wide: 20}, {Head: "Outlay, 1,000 " + v.Currency + "/yr"}, {Head: "Kilns could make"}, {Head: "Works makes"}, {Head: "More"}, {Head: "More for each place"}, {Head: v.Currency + " for each piece more"}, {Head: "", Text: true},
	}}
	for i, p := range v.Curve {
		mark := ""
		switch {
		case i == v.Knee:
			mark = "knee"
		case !p.On:
			mark = "less for more"
		}
		t.add(v.name(p.Option), fixed(p.Outlay/1000, 0), fixed(p.Could, 0), fixed(p.Makes, 0), blank(p.More, 0), blank(p.PerPlace, 2), blank(p.PerPiece, 2), mark)
	}
	knee := "The curve has no knee: no option stands clearly above the straight line from its first to its last point."
	if v.Knee >= 0 {
		knee = fmt.Sprintf("The knee is at %s: beyond it money for more places gives clearly fewer pieces.", v.name(v.Curve[v.Knee].Option))
	}
	return Part{Heading: "Sizing curve, " + v.Futures[v.Main].Name, Table: t, Charts: v.curveCharts(), After: []string{
		knee + " Good pieces a week; what the kilns could make is by hand, with this mix. Steps are from the option before it that gives more for more; a place is a good piece a week that the kilns could make more."}}
}

// blank prints a figure, and nothing where there is none.
func blank(v float64, decimals int) string {
	if math.IsNaN(v) {
		return ""
	}
	return fixed(v, decimals)
}

// regret shows what an option costs more than the best in each future.
func (v *sized) regret() Part {
	if len(v.Futures) < 2 {
		return Part{}
	}
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 18}}}
	for _, f := range v.Futures {
		t.Columns = append(t.Columns, Column{Head: f.Name})
	}
	t.Columns = append(t.Columns, Column{Head: "Greatest"}, Column{Head: "", Text: true})
	for o := range v.Options {
		cells, worst := []string{v.name(o)}, math.Inf(-1)
		for f, x := range v.Regret[o] {
			worst = max(worst, x)
			text := fixed(x/1000, 0)
			if v.Options[o].MeetsIn[f].Value < v.Terms.Service {
				text += " *"
			}
			cells = append(cells, text)
		}
		t.add(append(cells, fixed(worst/1000, 0), either(o == v.Minimax, "smallest", ""))...)
	}
	return Part{Heading: "Regret", Table: t, Charts: v.regretCharts(), After: []string{
		fmt.Sprintf("Thousand %s a year more than the cheapest that meets demand in that future. * does not meet demand in it with %s.", v.Currency, share(v.Terms.Service))}}
}

// beyond says which options fire in another way than losses were measured in.
func (v *sized) beyond() Part {
	p := Part{Heading: "Outside what was measured"}
	for _, o := range v.Options {
		for _, text := range o.Leaves {
			p.Text = append(p.Text, fmt.Sprintf("- %s: %s.", o.Name, text))
		}
	}
	if p.Text != nil {
		p.After = []string{"Shares of good ware, refires and scrap are taken to stay as they are all the same: the program knows what was lost, not why. A trial firing is worth more here than a run; a point of scrap can be tried as a future."}
	}
	return p
}

// changes shows what the options change, so that nobody has to trust a name.
// What an earlier option changes too is not listed again.
func (v *sized) changes() Part {
	t := &Table{Columns: []Column{{Head: "Option", Text: true, Wide: 18}, {Head: "Key", Text: true, Wide: 40}, {Head: "Today -> here", Text: true, Wide: 32}}}
	for i, o := range v.Options {
		changes, name := o.Changes, o.Name
		if same := v.contained(i); same > 0 {
			t.add(name, "all of "+v.name(same), "")
			name = ""
			changes = slices.DeleteFunc(slices.Clone(changes), func(c experiment.Change) bool { return slices.Contains(v.Options[same].Changes, c) })
		}
		for k, c := range changes {
			if k == changesShown {
				t.add("", fmt.Sprintf("and %d more", len(changes)-k), "")
				break
			}
			t.add(name, c.Path, arrow(c))
			name = ""
		}
	}
	return Part{Heading: "What the options change", Table: t}
}

// contained is the earlier option with the most changes all of which an option
// makes too; 0: none that makes any.
func (v *sized) contained(option int) int {
	best, most := 0, 0
	for i, o := range v.Options[:option] {
		within := !slices.ContainsFunc(o.Changes, func(c experiment.Change) bool { return !slices.Contains(v.Options[option].Changes, c) })
		if within && len(o.Changes) > most {
			best, most = i, len(o.Changes)
		}
	}
	return best
}

// method says how the choice was made.
func (v *sized) method() Part {
	text := []string{
		fmt.Sprintf("Options that met demand with %s in the first replications were compared by expected yearly cost until one was shown to be the cheapest (Kim and Nelson's sequential rule at %g %%, on shared luck); options within %s %s a year of each other count as equally cheap.",
			share(v.Terms.Service), 100*experiment.Level, rough(v.Terms.Matters), v.Currency),
		"A probability is the share of whole periods in which all that was wanted was packed; its interval counts every replication as one trial, which errs on the side of doubt. Replication n of all options and futures meets the same luck.",
		fmt.Sprintf("The recommended option is put to so many fresh replications that, if it met demand in all of them, the interval would lie above %s, or to eight times those of the first stage if that is less.", share(v.Terms.Service)),
	}
	return Part{Heading: "How it was chosen", Text: text}
}

// kilnCaution is about the work itself that a new kiln or a new push means.
func kilnCaution() Part {
	return Part{Heading: "Before anything is built", Text: []string{KilnCaution}}
}
