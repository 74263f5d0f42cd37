package proof

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"potbank/internal/random"
	"potbank/internal/stats"
)

// A Check is one published value, or one exact law, and what became of it.
type Check struct {
	Published
	Path    string   // what it was run through
	Figures []Figure // in the order in which they were found; none if it does not apply
	Reason  string   // why it does not apply; empty if it does
	Note    string   // parts of the row left out, and why
}

// A Figure is one number of a check.
type Figure struct {
	Name   string
	Want   string // as published
	Got    string
	Held   bool
	Random bool
	// Half is the half-width of the interval of a random figure, and Finds the
	// least error that would have been found, both as shares of the value.
	Half, Finds float64
}

// Applies tells whether potbank has what the check is about.
func (c *Check) Applies() bool { return c.Reason == "" }

// Held tells whether every figure of the check is as published.
func (c *Check) Held() bool {
	for _, f := range c.Figures {
		if !f.Held {
			return false
		}
	}
	return len(c.Figures) > 0
}

// Got tells the figures found, in the order of the list.
func (c *Check) Got() string {
	var all []string
	for _, f := range c.Figures {
		all = append(all, f.Got)
	}
	return strings.Join(all, "; ")
}

// mustFind is the error, as a share of a value, that a random figure has to
// reject.
const mustFind = 0.05

// Power says whether the check would have found a value 5 % off: "exact" if
// there is no chance in it, "yes", or the error it takes at least.
func (c *Check) Power() string {
	worst, chance := 0.0, false
	for _, f := range c.Figures {
		if f.Random {
			worst, chance = max(worst, f.Finds), true
		}
	}
	switch {
	case !chance:
		return "exact"
	case worst <= mustFind:
		return "yes"
	}
	return fmt.Sprintf("from %.0f %%", math.Ceil(100*worst))
}

// A trial runs one check and gathers its figures.
type trial struct {
	id      string
	figures []Figure
	note    string
}

// report adds a figure.
func (t *trial) report(f Figure) { t.figures = append(t.figures, f) }

// leave says which part of the row is left out, and why.
func (t *trial) leave(note string) { t.note = note }

// same wants a text.
func (t *trial) same(name string, got any, want string) {
	text := fmt.Sprint(got)
	t.report(Figure{Name: name, Want: want, Got: text, Held: text == want})
}

// exact wants a number that differs by no more than a share of it.
func (t *trial) exact(name string, got float64, want string, share float64) {
	w := number(want)
	t.report(Figure{Name: name, Want: want, Got: digits(got, 10), Held: math.Abs(got-w) <= share*math.Abs(w)})
}

// within wants a number to an absolute tolerance.
func (t *trial) within(name string, got float64, want string, tolerance float64) {
	t.report(Figure{Name: name, Want: want, Got: digits(got, 8), Held: math.Abs(got-number(want)) <= tolerance})
}

// printed wants a number that is, rounded, what is printed.
func (t *trial) printed(name string, got float64, want string) {
	t.within(name, got, want, rounding(want)*(1+1e-9))
}

// digits prints a number with at most so many significant digits.
func digits(x float64, n int) string { return strconv.FormatFloat(x, 'g', n, 64) }

// A wanted figure is a random one with a published value.
type wanted struct {
	name  string
	want  string
	width float64 // greatest half-width, as a share of the value; 0: 1 %
	print bool    // the published value is rounded to the digits printed
}

// heavy is the half-width allowed where the load is 0.9 or more.
const heavy = 0.02

// chance runs a random model in replications and judges its values.
func (t *trial) chance(model func(random.Source) sample, figures ...wanted) {
	samples := make([]sample, replications)
	for i := range samples {
		samples[i] = model(t.source(figures[0].name, i))
	}
	for i, w := range figures {
		t.judge(w, estimate(samples, i))
	}
}

// pool runs a random model in replications and puts together what all yield.
func (t *trial) pool(name string, model func(random.Source) []float64) []float64 {
	var all []float64
	for i := range replications {
		all = append(all, model(t.source(name, i))...)
	}
	return all
}

// source is the chance of one replication. Every model has draws of its own.
func (t *trial) source(name string, replication int) random.Source {
	return random.New(random.Name(t.id+" "+name), uint32(replication))
}

// judge holds an interval against the published value.
func (t *trial) judge(w wanted, e stats.Estimate) {
	want, width := number(w.want), w.width
	if width == 0 {
		width = 0.01
	}
	half, off := e.HalfWidth(), math.Abs(e.Value-want)
	slack := 1e-9 * math.Abs(want) // rounding, where there is hardly any chance in the figure
	if w.print {
		slack = rounding(w.want)
	}
	size := math.Abs(want)
	covers := e.Low-slack <= want && want <= e.High+slack
	t.report(Figure{
		Name: w.name, Want: w.want, Got: fmt.Sprintf("%s ± %s %%", digits(e.Value, 5), digits(100*half/size, 2)),
		Held:   covers && half <= width*size+slack,
		Random: true, Half: half / size, Finds: (off + half + slack) / size,
	})
}
