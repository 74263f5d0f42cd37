package proof

import (
	"fmt"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// noTables is why the tables of sampling plans are not run.
const noTables = "no such model: a works tests every n-th piece or so many of each load, by no table"

// sampling is the rows on acceptance sampling and late detection.
var sampling = []method{
	{id: "E01", not: noTables},
	{id: "E02", not: noTables},
	{id: "E03", not: noTables},
	{id: "E05", path: "stats.ChiSquareQuantile", run: poissonPlans},
	{id: "E06", path: "random.Beta, stats.ChiSquareQuantile", run: planK},
	{id: "E07", path: "random.Beta, stats.ChiSquareQuantile", run: plansLandJ},
	{id: "E08", path: "stats.ClopperPearson, random.Beta", run: planSearch},
	{id: "E10", path: "plant: works/daily-sample.yaml", run: dailySample},
	{id: "E11", path: "plant: works/daily-sample.yaml", run: lateDetection},
	{id: "E12", path: "stats.ToleranceSampleSize", run: zeroAcceptance},
	{id: "E13", not: "no such model: pieces fail independently, no lot of known size is drawn from"},
}

// share is a part of a whole.
func share(part, whole int) quantity.Share { return quantity.Share(float64(part) / float64(whole)) }

// npAt is the expected number of defectives in a sample at which a plan that
// accepts up to ac is passed with probability pa, by the Poisson law.
func npAt(ac int, pa float64) float64 {
	return stats.ChiSquareQuantile(1-pa, float64(2*(ac+1))) / 2
}

// acceptances are the probabilities at which plans are told.
var acceptances = []float64{.95, .50, .10}

func poissonPlans(t *trial) {
	want := map[int]string{
		0: ".051 .693 2.303", 1: ".355 1.678 3.890", 2: ".818 2.674 5.322", 3: "1.366 3.672 6.681",
		5: "2.613 5.670 9.275", 7: "3.981 7.669 11.771", 10: "6.169 10.669 15.407",
	}
	for _, ac := range []int{0, 1, 2, 3, 5, 7, 10} {
		for i, text := range list(want[ac]) {
			t.printed(fmt.Sprintf("np, Ac %d, Pa %g", ac, acceptances[i]), npAt(ac, acceptances[i]), text)
		}
	}
}

// passing is the law of the share of defectives at which a sample of n with up
// to c of them is just passed: at its quantile 1 - pa the plan accepts with
// probability pa.
func passing(n, c int) random.Law { return law(random.Beta(float64(c+1), float64(n-c), 0, 1)) }

func planK(t *trial) {
	for i, want := range list("0.96255094 0.75866980 0.12378470") {
		p := []float64{.01, .02, .05}[i]
		t.within(fmt.Sprintf("Pa at %g", p), 1-below(passing(125, 3), p), want, 1e-6)
	}
	for i, want := range list("1.093 2.938 5.345") {
		t.printed(fmt.Sprintf("%% at Pa %g", acceptances[i]), 100*npAt(3, acceptances[i])/125, want)
	}
}

func plansLandJ(t *trial) {
	for _, c := range []struct {
		name              string
		n, ac             int
		poisson, binomial string
	}{
		{"L", 200, 5, "1.307 2.835 4.637", "1.314 2.830 4.588"}, {"J", 80, 2, "1.022 3.343 6.653", "1.030 3.329 6.516"},
	} {
		for i, pa := range acceptances {
			t.printed(fmt.Sprintf("%s: %% at Pa %g, Poisson", c.name, pa), 100*npAt(c.ac, pa)/float64(c.n), list(c.poisson)[i])
			t.printed("binomial", 100*passing(c.n, c.ac).Quantile(1-pa), list(c.binomial)[i])
		}
	}
}

// planSearch: the smallest sample that passes 5 % of defectives nearly always
// and 15 % hardly ever. A plan passes p with at least 95 % if p is no more than
// the lower limit, on that side alone, of one more defective than it accepts.
func planSearch(t *trial) {
	for n := 1; n <= 100; n++ {
		for c := range min(n, 12) {
			likes := stats.ClopperPearson(c+1, n, .90).Low >= .05
			refuses := stats.ClopperPearson(c, n, 1-2*.075).High <= .15
			if likes && refuses {
				t.same("n, c", fmt.Sprintf("%d, %d", n, c), "80, 7")
				t.printed("Pa at 5 %", 1-below(passing(n, c), .05), "0.953408")
				t.printed("Pa at 15 %", 1-below(passing(n, c), .15), "0.072717")
				return
			}
		}
	}
	panic("no plan found")
}

func zeroAcceptance(t *trial) {
	t.same("n at 5 %", stats.ToleranceSampleSize(.95, .95, false), "59")
	t.same("n at 1 %", stats.ToleranceSampleSize(.99, .95, false), "299")
}

// sampled is what eight pieces a day, tested twelve days after they were cast,
// tell about a fault that one piece in twenty has.
type sampled struct {
	found []bool   // by day: whether the fault was seen
	delay des.Time // from cast to test
	off   float64  // faults seen above what was to be expected
}

// testDaily runs the works for so many weeks and reads its diary.
func testDaily(p *plant.Plant, s random.Source, weeks int) sampled {
	var r sampled
	cast := map[uint64]des.Time{}
	tested, found := 0, 0
	days := map[des.Time]bool{}
	see := func(o plant.Observation, fault bool) {
		tested++
		r.delay = o.At - cast[o.Piece]
		delete(cast, o.Piece)
		day := o.At / des.Day
		days[day] = days[day] || fault
		if fault {
			found++
		}
	}
	simulate(p, plant.Options{Source: s, Weeks: weeks, Observer: func(o plant.Observation) {
		switch o.Event {
		case "filled":
			cast[o.Piece] = o.At
		case "passed function":
			see(o, false)
		case "lost":
			see(o, true)
		}
	}})
	for day := range des.Time(7 * weeks) {
		if fault, tested := days[day]; tested {
			r.found = append(r.found, fault)
		}
	}
	r.off = float64(found) - 0.05*0.9*float64(tested)
	return r
}

// untilFound is the mean number of days from the one after a find to the next
// find, that day included.
func (r *sampled) untilFound() float64 {
	finds, last := 0, -1
	for day, found := range r.found {
		if found {
			finds++
			last = day
		}
	}
	return float64(last+1) / float64(finds)
}

// dailySample: how long it takes until a fault is seen.
func dailySample(t *trial) {
	p := build(works("daily-sample.yaml"))
	t.chance(func(s random.Source) sample {
		r := testDaily(p, s, 260)
		seen, blind, runs := 0, 0, 0
		for day := range r.found {
			if r.found[day] {
				seen++
			}
			if day >= 10 {
				runs++
				missed := true
				for _, f := range r.found[day-10 : day] {
					missed = missed && !f
				}
				if missed {
					blind++
				}
			}
		}
		days := r.untilFound()
		return sample{[]float64{float64(seen) / float64(len(r.found)), days, 400 * days, float64(blind) / float64(runs)}, []float64{r.off}}
	}, wanted{name: "q", want: "0.3081260603"}, wanted{name: "mean days", want: "3.245424938"}, wanted{name: "mean pieces, 400 a day", want: "1298.169975"},
		wanted{name: "P(not found after 10 days)", want: "0.025134", width: 0.25})
}

// lateDetection: the same for who counts from the first bad cast.
func lateDetection(t *trial) {
	p := build(works("daily-sample.yaml"))
	t.chance(func(s random.Source) sample {
		r := testDaily(p, s, 60)
		days := float64(r.delay/des.Day) + r.untilFound()
		return sample{[]float64{days, 400 * days}, []float64{r.off}}
	}, wanted{name: "mean days to the stop", want: "15.24542494"}, wanted{name: "pieces cast meanwhile, 400 a day", want: "6098.169975"})
}
