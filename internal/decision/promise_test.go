package decision_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
)

// readFile reads a scenario.
func readFile(t *testing.T, path string) *scenario.File {
	t.Helper()
	f, faults := scenario.Read(path)
	if f == nil {
		t.Fatal(scenario.Faults(faults))
	}
	return f
}

// booked is a works with an order in its book.
func booked(t *testing.T, f *scenario.File, o plant.Order, runIn des.Time) *scenario.File {
	t.Helper()
	b, err := decision.Book(f, o, runIn)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestPromiseOfPlainPipeline holds the whole way from an order to its date on a
// works without any luck: every run says the same, to the minute.
//
// source: Little's law and a ceiling. 120 moulds cast once a day, 1 day in the
// mould and 5 more: 10,000 take 84 days of casting, the last is cast on the 84th
// and done at the end of day 89.
func TestPromiseOfPlainPipeline(t *testing.T) {
	f := readFile(t, "../proof/works/pipeline.yaml")
	a, err := decision.Promise(t.Context(), decision.PromisePlan{
		Order: "ten-thousand", Service: .95, Runs: 3, Pairs: 2, Workers: 2,
		Works: booked(t, f, f.Works.Orders[0], 0),
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range a.Dates {
		near(t, "days", d.Calendar.Value, 89, 1e-9)
		if want := time.Date(2027, 1, 4+89, 0, 0, 0, 0, time.UTC); !d.At.Equal(want) {
			t.Errorf("done at %v, want %v", d.At, want)
		}
	}
	if a.Spread != 0 || a.Causes != nil || a.Casts.Batch != 10000 {
		t.Errorf("a works without luck has spread %v, causes %v and takes %d casts", a.Spread, a.Causes, a.Casts.Batch)
	}
	// Good pieces by the end of day k are 120 (k - 5), from day 6 on.
	for k, day := range a.Days {
		if want := min(10000, max(0, 120*float64(k+1-6))); day.Low != want || day.High != want {
			t.Fatalf("day %d: %v to %v good pieces, want %v", k+1, day.Low, day.High, want)
		}
	}
	if w := a.Weeks[0]; w.Casts != 840 || w.Worn != 0 {
		t.Errorf("first week: %v casts, %v moulds worn", w.Casts, w.Worn)
	}
}

// TestPromiseOfPans holds an order of 10,000 pans, run in as a promise does it.
//
// source: hand calculation of Plant A: 24.2 to 24.5 working days elapsed, if ware
// for stock has no lower rank.
func TestPromiseOfPans(t *testing.T) {
	f := readFile(t, "../../scenarios/plant-a.yaml")
	b := booked(t, f, plant.Order{Name: "pans", Ware: "pan", Quantity: 10000, Start: "2027-04-05 06:00", Priority: 3}, 4*des.Week)
	if b.Works.Start != "2027-03-08 06:00" || f.Works.Start != "2027-01-04 06:00" {
		t.Errorf("the run begins at %s, that of the file at %s", b.Works.Start, f.Works.Start)
	}
	ready, faults := b.Plant()
	if ready == nil {
		t.Fatal(scenario.Faults(faults))
	}
	r, err := ready.Simulate(plant.Options{Source: random.New(1, 1), Fixed: true, Until: []string{"pans"}})
	if err != nil {
		t.Fatal(err)
	}
	if days := r.Orders[0].WorkDays; days < 24.2 || days > 24.5 {
		t.Errorf("done after %.2f working days, by hand 24.2 to 24.5", days)
	}
}

// smallPlan is a question about the small works, with evidence, another order, a
// lever that helps, one that does nothing and one that cannot be built.
func smallPlan(t *testing.T) decision.PromisePlan {
	t.Helper()
	asked, faults := scenario.ReadQuestion("testdata/promise.yaml")
	if asked == nil {
		t.Fatal(scenario.Faults(faults))
	}
	q, err := decision.AskedPromise(asked)
	if err != nil {
		t.Fatal(err)
	}
	q.Workers = 2
	return q
}

// TestPromiseOfSmallWorks holds what must be true of any answer: dates in order,
// ranks that bound them, a promise with the probability it says, luck shared by
// pairs, and the same answer whatever the number of workers.
func TestPromiseOfSmallWorks(t *testing.T) {
	q := smallPlan(t)
	a, err := decision.Promise(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	for k := 1; k < len(a.Dates); k++ {
		if a.Dates[k].At.Before(a.Dates[k-1].At) {
			t.Errorf("the %g %% date is before the %g %% date", 100*a.Dates[k].P, 100*a.Dates[k-1].P)
		}
	}
	if d := a.Dates[0]; d.LowRank < 1 || d.Low.After(d.At) || d.High.Before(d.At) {
		t.Errorf("median %v, interval %v to %v by ranks %d, %d", d.At, d.Low, d.High, d.LowRank, d.HighRank)
	}
	if a.Chance.Value < a.Service {
		t.Errorf("the date promised is met with %v", a.Chance.Value)
	}
	if len(a.Unknown)+len(a.Causes) == 0 || a.Spread <= 0 {
		t.Errorf("nothing makes the date wide: spread %v", a.Spread)
	}
	if len(a.Slips) != 1 || a.Slips[0].Order != "other" || a.Slips[0].Mean.Value <= 0 {
		t.Errorf("the other order, of less urgency, slips by %+v", a.Slips)
	}
	s := strings.Join([]string{a.Levers[0].Name, a.Levers[1].Name}, " ")
	if s != "second-bench rename" || !a.Levers[0].Sure || a.Levers[0].Fresh == nil || a.Levers[1].Sure {
		t.Errorf("levers are %+v", a.Levers)
	}
	if g := a.Levers[1]; g.Mean.Value != 0 || g.AtService.Value != 0 {
		t.Errorf("a lever that changes nothing wins %v and %v days", g.Mean.Value, g.AtService.Value)
	}
	if b := a.Casts; float64(b.Batch) <= b.Mean || b.TopUp == nil {
		t.Errorf("one batch takes %d casts, the mean %v; topped up %+v", b.Batch, b.Mean, b.TopUp)
	}
	if len(a.Lots) != 1 || !a.Lots[0].Median.Before(a.Dates[0].At) {
		t.Errorf("lots are %+v", a.Lots)
	}
	if !strings.HasPrefix(a.Recommendation, "Promise 150 pan for ") {
		t.Errorf("the sentence is %q", a.Recommendation)
	}
	q.Workers = 1
	again, err := decision.Promise(t.Context(), q)
	if err != nil || again.Recommendation != a.Recommendation || !again.Dates[2].At.Equal(a.Dates[2].At) {
		t.Errorf("one worker says %q", again.Recommendation)
	}
}

// TestDriftOfAnOrder holds that an order on the middle of its first forecast has
// not drifted, and one with hardly a piece has.
func TestDriftOfAnOrder(t *testing.T) {
	q := smallPlan(t)
	q.Levers = nil
	whole, err := decision.Promise(t.Context(), q)
	if err != nil {
		t.Fatal(err)
	}
	day := whole.Days[len(whole.Days)/2]
	for good, outside := range map[int]bool{int(day.Mid): false, 1: true} {
		u := decision.Under{At: day.End, Good: good, ByDay: map[string]int{day.End.Format(time.DateOnly): good}}
		o := q.Works.Works.Orders[len(q.Works.Works.Orders)-1]
		o.Start, o.Packed, o.Lots = day.End.Format("2006-01-02 15:04"), good, nil
		u.Works = booked(t, q.Works, o, 2*des.Week)
		q.Forth = &u
		a, err := decision.Promise(t.Context(), q)
		if err != nil {
			t.Fatal(err)
		}
		d := a.Drift
		if d == nil || d.Outside != outside || a.Packed != good {
			t.Errorf("with %d packed the drift is %+v", good, d)
		}
		if d != nil && outside == d.Since.IsZero() {
			t.Errorf("with %d packed it is outside since %v", good, d.Since)
		}
	}
}

// TestPromiseCutShort holds that a study that is stopped gives what it has, and
// says so.
func TestPromiseCutShort(t *testing.T) {
	q := smallPlan(t)
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	q.Progress = func(p experiment.Progress) {
		if p.Replications == q.Runs+1 {
			stop()
		}
	}
	a, err := decision.Promise(ctx, q)
	if !errors.Is(err, context.Canceled) || a == nil || a.Partial == "" || len(a.Dates) == 0 {
		t.Errorf("stopped: %v, %+v", err, a)
	}
	q.Progress = func(experiment.Progress) { stop() }
	if a, err := decision.Promise(ctx, q); a != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("stopped at once: %v, %+v", err, a)
	}
}

// TestImpossiblePromises holds what is refused.
func TestImpossiblePromises(t *testing.T) {
	q := smallPlan(t)
	q.Order = "nobody's"
	if _, err := decision.Promise(t.Context(), q); err == nil || !strings.Contains(err.Error(), "no order") {
		t.Errorf("an order that is not there: %v", err)
	}
	q = smallPlan(t)
	q.Runs = 1
	if _, err := decision.Promise(t.Context(), q); err == nil || !strings.Contains(err.Error(), "fewer than 2") {
		t.Errorf("one run: %v", err)
	}
	if _, err := decision.Book(q.Works, plant.Order{Start: "2027-02-30"}, 0); err == nil {
		t.Error("30 February is taken for a date")
	}
}

// TestQuestionsOfPromise reads the questions that come with the program: all
// their works can be built, and the order is in each.
func TestQuestionsOfPromise(t *testing.T) {
	for _, name := range []string{"ten-thousand", "ten-thousand-today"} {
		asked, faults := scenario.ReadQuestion("../../scenarios/questions/" + name + ".yaml")
		if asked == nil {
			t.Fatal(scenario.Faults(faults))
		}
		q, err := decision.AskedPromise(asked)
		if err != nil {
			t.Fatal(err)
		}
		works := []*scenario.File{q.Works}
		for _, l := range q.Levers {
			works = append(works, l.Works)
		}
		if q.Forth != nil {
			works = append(works, q.Forth.Works)
			if left := q.Forth.Works.Works.Orders[0]; left.Packed != q.Forth.Good || left.Start != "2027-03-15 06:00" {
				t.Errorf("%s: today's order is %+v", name, left)
			}
		}
		for k, w := range works {
			if ready, faults := w.Plant(); ready == nil {
				t.Errorf("%s, works %d: %s", name, k, scenario.Faults(faults))
			} else if ready.Works().Run.Length > 20*des.Week || math.IsNaN(ready.Yield("pan")) {
				t.Errorf("%s, works %d: %v simulated", name, k, ready.Works().Run.Length)
			}
		}
	}
}

// TestDaysOfOrder holds the yardstick by which inputs may be ranked for a date.
//
// source: as of the plain pipeline, day 89.
func TestDaysOfOrder(t *testing.T) {
	f := readFile(t, "../proof/works/pipeline.yaml")
	ready, faults := f.Plant()
	if ready == nil {
		t.Fatal(scenario.Faults(faults))
	}
	y := decision.DaysOfOrder(f, ready, "ten-thousand", 1, 2)
	days, err := y.Of(t.Context(), []*plant.Plant{ready}, 2)
	if err != nil || len(days) != 2 || days[0] != 89 || days[1] != 89 {
		t.Errorf("the order takes %v days: %v", days, err)
	}
	none := decision.DaysOfOrder(f, ready, "none", 1, 2)
	if _, err := none.Of(t.Context(), []*plant.Plant{ready}, 2); err == nil {
		t.Error("an order that is not there takes days")
	}
}
