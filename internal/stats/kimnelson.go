package stats

import (
	"fmt"
	"math"
)

// KimNelson chooses the best of several plants run under common random draws
// by the fully sequential procedure KN (Kim and Nelson, ACM Transactions on
// Modeling and Computer Simulation 11, 2001, with c = 1). After a first stage
// every plant is compared with every other after each run, and dropped as soon
// as it is clearly behind. The best is kept with probability 1-Alpha at least
// whenever it leads by Delta or more; plants closer together than Delta count
// as equally good. Sensible up to about 50 plants.
type KimNelson struct {
	Alpha float64 // risk of a wrong choice, 0.05 for 95 %
	Delta float64 // difference worth detecting, in the unit of the measure
	First int     // runs of the first stage, 10 if 0, at least 2
	Goal  Goal
}

// A Selection is the state of a choice among several plants.
type Selection struct {
	Best      int   // the choice, -1 while more runs are needed
	Survivors []int // plants still in the race, in order of their index
	N         []int // runs used of each plant: where it was dropped, or now
}

// KimNelsonConstant returns eta of KN for k >= 2 plants and a first stage of n0
// runs; the procedure's h² is 2·eta·(n0-1).
func KimNelsonConstant(k, n0 int, alpha float64) float64 {
	checkLevel(1 - alpha)
	return (math.Pow(2*alpha/float64(k-1), -2/float64(n0-1)) - 1) / 2
}

// Select judges the runs made so far. samples[i][j] is plant i in run j, where
// run j of all plants shares its draws. Plants dropped earlier need no further
// runs. Like Stopping it goes through the runs in order and looks at no run
// beyond the one that decides.
func (k KimNelson) Select(samples [][]float64) Selection {
	race := newRace(k, samples)
	if race == nil {
		return undecided(samples)
	}
	for r := race.first; len(race.alive) > 1 && race.holds(r); r++ {
		race.screen(r)
	}
	return race.selection()
}

// undecided is the selection before the first stage is complete.
func undecided(samples [][]float64) Selection {
	s := Selection{Best: -1}
	for i := range samples {
		s.Survivors = append(s.Survivors, i)
		s.N = append(s.N, len(samples[i]))
	}
	return s
}

// race is a choice in progress.
type race struct {
	rule    KimNelson
	first   int
	samples [][]float64
	bound   [][]float64 // h²·S²/delta² of each pair
	alive   []int
	used    []int     // runs used of each plant
	sums    []float64 // of the values of each plant, turned so that most is best
}

// newRace computes the first stage, or returns nil when it is not complete.
func newRace(rule KimNelson, samples [][]float64) *race {
	first := rule.First
	if first == 0 {
		first = fewValues
	}
	if first < 2 || !(rule.Delta > 0) {
		panic(fmt.Sprintf("stats: selection with first stage %d and difference %v", first, rule.Delta))
	}
	r := &race{rule: rule, first: first, samples: samples}
	r.used, r.sums = make([]int, len(samples)), make([]float64, len(samples))
	for i, sample := range samples {
		if len(sample) < first {
			return nil
		}
		r.alive = append(r.alive, i)
		r.extend(i, first)
	}
	if len(samples) > 1 {
		r.pairs()
	}
	return r
}

// pairs fixes how far behind each plant may fall, from the spread of the
// differences in the first stage.
func (r *race) pairs() {
	k := len(r.samples)
	h2 := 2 * KimNelsonConstant(k, r.first, r.rule.Alpha) * float64(r.first-1)
	r.bound = make([][]float64, k)
	for i := range r.bound {
		r.bound[i] = make([]float64, k)
		for l := range r.bound[i] {
			var t Tally
			for j := range r.first {
				t.Add(r.samples[i][j] - r.samples[l][j])
			}
			r.bound[i][l] = h2 * t.Variance() / float64(r.rule.Delta*r.rule.Delta)
		}
	}
}

// holds tells whether every plant in the race has n runs.
func (r *race) holds(n int) bool {
	for _, i := range r.alive {
		if len(r.samples[i]) < n {
			return false
		}
	}
	return true
}

// extend takes the values of plant i up to run n into its sum.
func (r *race) extend(i, n int) {
	for ; r.used[i] < n; r.used[i]++ {
		r.sums[i] += float64(r.rule.Goal.sign() * r.samples[i][r.used[i]])
	}
}

// screen drops the plants that are clearly behind after n runs. All are judged
// against the same field, so the order of plants does not matter.
func (r *race) screen(n int) {
	for _, i := range r.alive {
		r.extend(i, n)
	}
	var left []int
	for _, i := range r.alive {
		if !r.behind(i, n) {
			left = append(left, i)
		}
	}
	r.alive = left
}

// behind tells whether plant i trails another of the field by the margin that
// shrinks to nothing as runs accumulate. At margin 0 the first of equals stays.
func (r *race) behind(i, n int) bool {
	for _, l := range r.alive {
		margin := max(0, r.rule.Delta/2*(r.bound[i][l]-float64(n)))
		lead := r.sums[l] - r.sums[i]
		if lead > 0 && lead >= margin || lead == 0 && margin == 0 && l < i {
			return true
		}
	}
	return false
}

// selection reports the state.
func (r *race) selection() Selection {
	s := Selection{Best: -1, Survivors: r.alive, N: r.used}
	if len(r.alive) == 1 {
		s.Best = r.alive[0]
	}
	return s
}
