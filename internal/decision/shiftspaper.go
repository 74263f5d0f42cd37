package decision

import (
	"fmt"
	"math"

	"potbank/internal/experiment"
	"potbank/internal/plant"
)

// paperOf reads the estimate by hand of a works.
func paperOf(p *plant.Plant) Paper {
	h := p.Hand()
	of := func(name string) float64 {
		if v, ok := h.Value(name); ok {
			return v
		}
		return math.NaN()
	}
	paper := Paper{Good: of("packed.total"), Cost: of("cost.per_good"), Load: math.NaN()}
	if f := p.Works().Finishing; f != nil {
		paper.Load = of("load."+f.Crew) / 100
	}
	return paper
}

// onPaper finds the option that a spreadsheet would choose, and says in words
// what the simulation makes of it where the two differ. Whoever has the sum in
// hand must be told why it is not so, else the simulation is not believed: the
// reason is sought in what is lost more than today, and, where that is the
// punching window, in who is there while it is open.
func (z *weighing) onPaper(r *Compared) {
	r.PaperBest = -1
	value := func(o int) float64 {
		p := r.Options[o].Paper
		switch z.By {
		case "cost.per_good":
			perWeek := z.Options[o].Outlay.PerYear(z.Terms.Rate) / z.Terms.Weeks
			return p.Cost + perWeek/p.Good
		case "packed.total":
			return p.Good
		}
		v, ok := z.Plant(o, r.Main).Hand().Value(z.By)
		if !ok {
			return math.NaN()
		}
		return v
	}
	for o := range r.Options {
		if v := value(o); !math.IsNaN(v) && (r.PaperBest < 0 || z.Way.Gain(v-value(r.PaperBest)) > 0) {
			r.PaperBest = o
		}
	}
	b := r.PaperBest
	if b < 0 || b == r.Best {
		return
	}
	ahead := math.Abs(value(b) - value(0))
	name := r.Options[b].Name
	paper := fmt.Sprintf("On paper %s is the best: by hand its %s is %.2f, %.2f %s today's", name, plant.InWords(z.By), value(b), ahead, z.side(value(b)-value(0)))
	if b == 0 {
		paper = fmt.Sprintf("On paper nothing beats today, with a %s of %.2f by hand", plant.InWords(z.By), value(b))
	}
	d := z.difference(z.grid, b, 0, z.By, experiment.Level)
	sim := "simulated it is the best no more"
	switch {
	case b == 0:
		sim = fmt.Sprintf("simulated %s is better", r.Options[r.Best].Name)
	case z.Way.Gain(d.Value) < -z.margin:
		sim = fmt.Sprintf("simulated it is worse than today by %.2f", math.Abs(d.Value))
	case z.Way.Gain(d.Value) < z.margin:
		sim = "simulated it is no better than today"
	}
	r.PaperSays = paper + "; " + sim + "."
	if why := r.Options[b].Why; why != "" {
		r.PaperSays += fmt.Sprintf(" What the sum by hand does not see: %s.", why)
	}
	for i, n := range r.Options[b].Windows {
		if !n.Short() {
			continue
		}
		was := ""
		if b > 0 && i < len(r.Options[0].Windows) {
			was = fmt.Sprintf(" (today %.1f)", r.Options[0].Windows[i].There)
		}
		r.PaperSays += fmt.Sprintf(" Its hours suffice, but not where the window is: the %s of a day want %.1f people at once from %s to %s, and %.1f are there%s.",
			n.Ware, n.Need, clockOf(n.From), clockOf(n.To), n.There, was)
	}
}

// side says on which side of today's a figure lies.
func (z *weighing) side(difference float64) string {
	if difference < 0 {
		return "below"
	}
	return "above"
}
