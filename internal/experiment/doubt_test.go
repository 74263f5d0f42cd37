package experiment

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// drawnWorks is a works of which one thing is not known: the level of its
// output or the yield of its order. Its luck is normal.
type drawnWorks struct {
	*toyWorks
	level float64 // pieces a week above the toy's 1000
	luck  float64 // standard deviation of a run, pieces a week
	order func(z float64) des.Time
	fail  error
}

func (w *drawnWorks) Simulate(o plant.Options) (*plant.Result, error) {
	if w.fail != nil {
		return nil, w.fail
	}
	z := stats.NormalQuantile(o.Source.Uniform(toyLuck, 7, 0))
	r := &plant.Result{}
	for range o.Weeks {
		row := make([]int64, counters)
		row[packed] = int64(math.Round(1000 + w.level + w.luck*z))
		row[energy] = 2 * row[packed]
		r.Week = append(r.Week, row)
	}
	if w.order != nil {
		done := w.order(z)
		r.Orders = []plant.OrderResult{{Name: "ten-thousand", Ware: "pan", Want: 10000, Good: 10000, Done: done, WorkDays: 30}}
	}
	return r, nil
}

// toyGauges are those of the toy for any works made of it.
func toyGauges(p Runner) []gauge { return p.(*drawnWorks).gauges() }

var drawnInput = random.PurposeOf("drawn input")

// normalInput draws a standard normal value for input i of works k.
func normalInput(seed uint64, k, i int) float64 {
	return stats.NormalQuantile(random.New(seed, uint32(k)).Uniform(drawnInput, uint64(i), 0))
}

// twoInputs are works whose level is 27 times one input and 13 times another;
// a third does nothing. Their spread is 30.
func twoInputs(seed uint64, luck float64) Inputs {
	in := Inputs{Evidence: []Evidence{{"idle", "40 of 50", 50}, {"great", "300 of 500", 500}, {"small", "12 records", 12}}}
	in.Draw = func(k int) (Runner, []float64, error) {
		x := []float64{normalInput(seed, k, 0), normalInput(seed, k, 1), normalInput(seed, k, 2)}
		return &drawnWorks{toyWorks: toy(), level: 27*x[1] + 13*x[2], luck: luck}, x, nil
	}
	return in
}

// doubtless is an answer to add a doubt to, of two weeks of which one is measured.
func doubtless() *Answer {
	return &Answer{Weeks: 2, WarmUp: WarmUp{Weeks: 1}, Measures: []Figure{
		{Name: "packed.total", Unit: "pieces/wk", Headline: true}, {Name: "wip.total"}, {Name: "refire.good", Headline: true},
	}}
}

// The split finds the spread of inputs and of luck that the toy has, and which
// input it hangs on: 27^2 of 30^2 is 81 %. Standard deviations of 400 works are
// known to 7 % (two standard errors).
func TestDoubtFindsKnownComponents(t *testing.T) {
	a := doubtless()
	if err := addDoubt(t.Context(), a, twoInputs(3, 20), Settings{Draws: 400, Seed: 5, Workers: 2}, toyGauges); err != nil {
		t.Fatal(err)
	}
	d := a.Doubt
	if d.Draws != 400 || d.Runs != 2 || len(d.Measures) != 1 {
		t.Fatalf("%d works, %d runs each, measures %+v; want 400, 2 and packed.total alone", d.Draws, d.Runs, d.Measures)
	}
	m := d.Measures[0]
	for _, tt := range []struct {
		name      string
		got, want float64
	}{{"luck", m.Luck, 1.96 * 20}, {"inputs", m.Inputs, 1.96 * 30}, {"both", m.Range.HalfWidth(), 1.96 * math.Hypot(20, 30)}} {
		if math.Abs(tt.got/tt.want-1) > 0.1 {
			t.Errorf("%s: ± %v, want about %v", tt.name, tt.got, tt.want)
		}
	}
	if truth := 900.0 / 1300; !m.Share.Contains(truth) {
		t.Errorf("share %+v, want %v", m.Share, truth)
	}
	if len(d.Next) != 2 || d.Next[0].Path != "great" || d.Next[1].Path != "small" || math.Abs(d.Next[0].Share-0.81) > 0.08 {
		t.Errorf("to measure next %+v", d.Next)
	}
	wantWarning(t, a, "Known from fewer than 20 pieces or records: small (12 records).")
}

// Works that are all alike add no width, and no input is named.
func TestDoubtOfKnownInputs(t *testing.T) {
	a := doubtless()
	in := twoInputs(3, 20)
	in.Draw = func(k int) (Runner, []float64, error) {
		return &drawnWorks{toyWorks: toy(), luck: 20}, []float64{normalInput(1, k, 0), normalInput(1, k, 1), normalInput(1, k, 2)}, nil
	}
	if err := addDoubt(t.Context(), a, in, Settings{Draws: 100, Seed: 5}, toyGauges); err != nil {
		t.Fatal(err)
	}
	m := a.Doubt.Measures[0]
	if m.Share.Low != 0 || m.Inputs > 0.6*m.Luck || len(a.Doubt.Next) > 0 {
		t.Errorf("inputs ± %v beside luck ± %v, next %+v", m.Inputs, m.Luck, a.Doubt.Next)
	}
}

// orderInputs are works that make an order of 10,000 good pieces at 412 casts a
// day, their yield drawn from what hits of 500 pieces allow. Casts to the
// 10,000th success are negative binomial: mean Q/y, variance Q(1-y)/y^2, and so
// near normal that the difference is below an hour.
func orderInputs(seed uint64, hits int) Inputs {
	in := Inputs{Evidence: []Evidence{{"ware.pan.yields.white", fmt.Sprintf("%d of 500", hits), 500}}}
	works := toy()
	works.works.Orders = []plant.Order{{Name: "ten-thousand"}}
	in.Draw = func(k int) (Runner, []float64, error) {
		y := random.Proportion(random.New(seed, uint32(k)).Uniform(drawnInput, 0, 0), hits, 500)
		return &drawnWorks{toyWorks: works, order: func(z float64) des.Time { return completion(y, z) }}, []float64{y}, nil
	}
	return in
}

// completion is when 10,000 good pieces of yield y are ready.
func completion(y, z float64) des.Time {
	casts := 10_000/y + z*math.Sqrt(10_000*(1-y))/y
	return day(casts / 412)
}

// A yield of 80 % is estimated from 500 pieces, the end of an order of 10,000
// foretold, and then the order is made: it must end within the range of dates
// in 95 of 100 cases, and by the 95 % date too. Were the yield taken for known,
// seven of ten orders would miss the range that luck alone gives: of the width
// the yield has five times as much.
func TestDatesCoverWhatThePlannerDoesNotKnow(t *testing.T) {
	const truth, counted = 0.80, 500
	studies, most := 1000, 0.02 // three standard deviations of the coverage
	if testing.Short() {
		studies, most = 250, 0.045
	}
	clock := toy().Clock()
	var inRange, inTime, inLuck int
	for study := range uint64(studies) {
		world := random.New(1759, uint32(study))
		hits := 0
		for i := range uint32(counted) {
			if random.Trial(world.Uniform(drawnInput, 1, i), truth) {
				hits++
			}
		}
		a := &Answer{Weeks: 1}
		if err := addDoubt(t.Context(), a, orderInputs(1000+study, hits), Settings{Draws: 40, Seed: study}, toyGauges); err != nil {
			t.Fatal(err)
		}
		done := completion(truth, stats.NormalQuantile(world.Uniform(drawnInput, 2, 0)))
		end, known := clock.Civil(done), float64(hits)/counted
		if done >= completion(known, -1.96) && done <= completion(known, 1.96) {
			inLuck++
		}
		o := a.Doubt.Orders[0]
		if !o.HasInterval {
			t.Fatalf("no range from 40 works: %+v", o)
		}
		if !end.Before(o.Low.Civil) && !end.After(o.High.Civil) {
			inRange++
		}
		if !end.After(a.Orders[0].Dates[2].At.Civil) {
			inTime++
		}
	}
	for name, n := range map[string]int{"range": inRange, "95 % date": inTime} {
		if share := float64(n) / float64(studies); math.Abs(share-0.95) > most {
			t.Errorf("%s: covers %.3f of the orders, want 0.95 ± %g", name, share, most)
		}
	}
	if share := float64(inLuck) / float64(studies); share > 0.4 {
		t.Errorf("luck alone covers %.3f of the orders; the test wants a yield that matters", share)
	}
}

// The widths of that order are known: methods of the trade give a standard
// deviation of 0.14 days for luck and 0.68 for a yield counted on 500 pieces.
// By hand: sqrt(10000 0.2)/0.8/412 = 0.136; 10000/412/0.8^2 sqrt(0.16/500) = 0.678.
func TestDoubtOfAnOrder(t *testing.T) {
	a := &Answer{Weeks: 1, Orders: []Order{{Name: "ten-thousand", Of: 10}}}
	in := orderInputs(2, 400)
	if err := addDoubt(t.Context(), a, in, Settings{Draws: 400, Seed: 1}, toyGauges); err != nil {
		t.Fatal(err)
	}
	o := a.Doubt.Orders[0]
	if math.Abs(o.Luck/1.96-0.136) > 0.015 || math.Abs(o.Inputs/1.96-0.678) > 0.07 || o.Unit != "d" {
		t.Errorf("luck ± %v, inputs ± %v %s; want 1.96 x 0.136 and 0.678 d", o.Luck, o.Inputs, o.Unit)
	}
	if len(a.Orders) != 1 || a.Orders[0].Of != 800 || a.Orders[0].Finished != 800 {
		t.Errorf("orders %+v, want one of 800 runs", a.Orders)
	}
	// 10000/0.8/412 = 30.34 days from Monday 4 January, 06:00.
	if got, want := a.Orders[0].Dates[0].At.Civil, time.Date(2027, 2, 3, 14, 0, 0, 0, time.UTC); got.Sub(want).Abs() > 3*time.Hour {
		t.Errorf("as likely as not by %v, want about %v", got, want)
	}
	if len(a.Doubt.Next) != 1 || a.Doubt.Next[0].Measure != "ten-thousand" || a.Doubt.Next[0].Share < 0.9 {
		t.Errorf("to measure next %+v", a.Doubt.Next)
	}
}

// An order that some runs do not finish has dates, but no spread in days.
func TestDoubtOfAnUnfinishedOrder(t *testing.T) {
	in := orderInputs(2, 400)
	whole := in.Draw
	in.Draw = func(k int) (Runner, []float64, error) {
		p, x, err := whole(k)
		if k%4 == 0 {
			p.(*drawnWorks).order = func(float64) des.Time { return des.Never }
		}
		return p, x, err
	}
	a := &Answer{Weeks: 1}
	if err := addDoubt(t.Context(), a, in, Settings{Draws: 40, Seed: 1}, toyGauges); err != nil {
		t.Fatal(err)
	}
	o := a.Doubt.Orders[0]
	if !math.IsNaN(o.Luck) || !o.High.Beyond || o.Low.Beyond || o.Name != "ten-thousand" {
		t.Errorf("order %+v", o)
	}
	wantWarning(t, a, "Order ten-thousand was not finished within the run of 1 week in 20 of 80 runs of drawn works.")
}

func TestDoubtDoesNotDependOnWorkers(t *testing.T) {
	var first *Answer
	for _, workers := range []int{1, 3, 8} {
		a := doubtless()
		if err := addDoubt(t.Context(), a, twoInputs(3, 20), Settings{Draws: 30, Seed: 5, Workers: workers}, toyGauges); err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = a
		}
		if diff := cmp.Diff(first, a, cmpopts.EquateNaNs()); diff != "" {
			t.Errorf("%d workers give another doubt (-one +several):\n%s", workers, diff)
		}
	}
}

func TestFewDrawsAreSaid(t *testing.T) {
	a := doubtless()
	if err := addDoubt(t.Context(), a, twoInputs(3, 20), Settings{Draws: 8, Seed: 5}, toyGauges); err != nil {
		t.Fatal(err)
	}
	wantWarning(t, a, "Only 8 works were drawn from the evidence")
	for _, draws := range []int{-1, 0, 1} {
		if err := addDoubt(t.Context(), doubtless(), twoInputs(3, 20), Settings{Draws: draws}, toyGauges); err == nil {
			t.Errorf("%d draws are accepted", draws)
		}
	}
}

// Works whose values do not go together are left out and counted.
func TestRefusedWorksAreSaid(t *testing.T) {
	in := twoInputs(3, 20)
	whole := in.Draw
	in.Draw = func(k int) (Runner, []float64, error) {
		if k%5 == 0 {
			return nil, nil, fmt.Errorf("no works number %d", k)
		}
		return whole(k)
	}
	a := doubtless()
	if err := addDoubt(t.Context(), a, in, Settings{Draws: 30, Seed: 5}, toyGauges); err != nil {
		t.Fatal(err)
	}
	if a.Doubt.Draws != 24 || a.Doubt.Refused != 6 {
		t.Errorf("%d works, %d refused", a.Doubt.Draws, a.Doubt.Refused)
	}
	wantWarning(t, a, "Of 30 works drawn from the evidence 6 could not run and were left out, so the doubt is too small (no works number 5).")

	in.Draw = func(int) (Runner, []float64, error) { return nil, nil, errors.New("never") }
	a = doubtless()
	if err := addDoubt(t.Context(), a, in, Settings{Draws: 3}, toyGauges); err != nil || a.Doubt != nil {
		t.Errorf("doubt %+v, error %v", a.Doubt, err)
	}
	wantWarning(t, a, "What is not known of the inputs is not in the figures")
}

func TestDoubtCutShort(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	a := doubtless()
	s := Settings{Draws: 30, Seed: 5, Progress: func(p Progress) {
		if p.Doing != Drawing || p.Most != 30 {
			t.Errorf("progress %+v", p)
		}
		if p.Replications == 9 {
			cancel()
		}
	}}
	if err := addDoubt(ctx, a, twoInputs(3, 20), s, toyGauges); !errors.Is(err, context.Canceled) || a.Doubt.Draws != 9 {
		t.Fatalf("error %v, %d works", err, a.Doubt.Draws)
	}
	wantWarning(t, a, "The doubt was stopped after 9 of 30 works drawn from the evidence.")

	in, stuck := twoInputs(3, 20), errors.New("dryer waits for kiln")
	whole := in.Draw
	in.Draw = func(k int) (Runner, []float64, error) {
		p, x, err := whole(k)
		if k == 6 {
			p.(*drawnWorks).fail = stuck
		}
		return p, x, err
	}
	a = doubtless()
	err := addDoubt(t.Context(), a, in, Settings{Draws: 30, Seed: 5, Workers: 4}, toyGauges)
	var failed *ReplicationError
	if !errors.As(err, &failed) || !errors.Is(err, stuck) || failed.Number != 6 || !strings.Contains(err.Error(), "works drawn from the evidence") {
		t.Fatalf("error %v", err)
	}
	if a.Doubt.Draws != 5 {
		t.Errorf("%d works kept, want 5", a.Doubt.Draws)
	}
	wantWarning(t, a, "The doubt rests on 5 works drawn from the evidence, since a run of the next one failed")
}
