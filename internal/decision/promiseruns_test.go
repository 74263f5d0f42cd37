package decision

import (
	"math"
	"testing"
	"time"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/scenario"
)

// toyPromise is an order of 100 good pieces in the small works, from its start,
// of which 20 runs are known: run k, from 1, packs five pieces a day more than
// the run before, and is done at noon of day k.
func toyPromise(t *testing.T) *promiseStudy {
	t.Helper()
	file, faults := scenario.Read("../../scenarios/small-works.yaml")
	if file == nil {
		t.Fatal(faults)
	}
	works, err := newPromiseWorks(file, 1)
	if err != nil {
		t.Fatal(err)
	}
	s := &promiseStudy{q: &PromisePlan{}, works: works, order: &plant.Order{Quantity: 100}}
	for k := 1; k <= 20; k++ {
		r := promiseRun{own: plant.OrderResult{Days: make([]int32, 25), Done: des.Time(k-1)*des.Day + 12*des.Hour, WorkDays: float64(k)}}
		for day := range r.own.Days {
			r.own.Days[day] = int32(5 * k)
		}
		s.runs = append(s.runs, r)
	}
	return s
}

// TestPromisedByRank: of 20 runs done on days 1 to 20 a date that 95 % of them
// keep is day 19, one that 90 % keep day 18.
//
// source: arithmetic
func TestPromisedByRank(t *testing.T) {
	s := toyPromise(t)
	first := s.works.clock().Date(0)
	for service, day := range map[float64]int{0.5: 10, 0.9: 18, 0.95: 19, 0.99: 20} {
		date, chance := s.promised(s.runs, service)
		if got := int(date-first) + 1; got != day || math.Abs(chance.Value-float64(day)/20) > 1e-12 {
			t.Errorf("at %g day %d is promised with %g, by hand day %d with %g", service, got, chance.Value, day, float64(day)/20)
		}
	}
	s.runs[0].own.Done, s.runs[1].own.Done = des.Never, des.Never
	if date, _ := s.promised(s.runs, 0.95); date != -1 {
		t.Errorf("18 of 20 runs are done, and %v is promised with 95 %%", date)
	}
}

// TestFanByRank: after two days the 20 runs have 10, 20, ... 200 pieces, of which
// the 5 % point is 10, the median 100 and the 95 % point 190; eleven have the 100.
//
// source: arithmetic
func TestFanByRank(t *testing.T) {
	s := toyPromise(t)
	s.progressOf()
	if len(s.answer.Days) < 2 {
		t.Fatalf("%d days", len(s.answer.Days))
	}
	d := s.answer.Days[1]
	if d.Low != 10 || d.Mid != 100 || d.High != 190 || d.Done != 11.0/20 {
		t.Errorf("after two days %g, %g and %g pieces, and %g of the runs are done; by hand 10, 100, 190 and 0.55", d.Low, d.Mid, d.High, d.Done)
	}
	if want := s.civil(0).Add(48 * time.Hour); !d.End.Equal(want) {
		t.Errorf("day two ends %v, want %v", d.End, want)
	}
}

// TestHalfSquares: what a cause of the width counts for is half the mean square
// of what dealing it anew changes (Jansen's estimator). Runs 1 to 20 against the
// same two working days later differ by 2, half of whose square is 2.
//
// source: Jansen, Computer Physics Communications 117 (1999) 35, formula 22, from
// memory
func TestHalfSquares(t *testing.T) {
	s, again := toyPromise(t), toyPromise(t)
	for k := range again.runs {
		again.runs[k].own.WorkDays += 2
	}
	halves := s.halfSquares(again.runs)
	if len(halves) != 20 {
		t.Fatalf("%d pairs", len(halves))
	}
	for k, h := range halves {
		if math.Abs(h-2) > 1e-12 {
			t.Errorf("pair %d counts %g, by hand 2", k, h)
		}
	}
}

// TestWeigh: futures of weights 1/4 and 3/4.
//
// source: arithmetic
func TestWeigh(t *testing.T) {
	futures := []SizeFuture{{Weight: 0.25}, {Weight: 0.75}}
	got := weigh(futures, func(f int) []float64 { return [][]float64{{4, 8}, {12, 16, 1}}[f] })
	if len(got) != 2 || got[0] != 10 || got[1] != 14 {
		t.Errorf("4, 8 and 12, 16 weigh %v, by hand 10 and 14", got)
	}
}
