package effort_test

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"
	"time"

	"potbank/internal/effort"
	"potbank/internal/experiment"
	"potbank/internal/plant"
	"potbank/internal/stats"
)

// On a clock that goes on by a second a reading every batch seems to take one second,
// so that with w workers 2 w replications a second are made, at 1/(2 w) s each.
func TestMeasureByHand(t *testing.T) {
	p := load(t, "small-works.yaml")
	used, fresh := time.Duration(0), 0
	m := effort.Machine{Now: clock(time.Second), Cores: 4, Peak: func() int64 { return 7 }, Fresh: func() { fresh++ }, Used: func() time.Duration {
		used += time.Second
		return used
	}}
	var last, all int
	b, err := effort.Measure(t.Context(), p, plant.Options{Weeks: 4}, 1, m, 3, 2, func(done, of int) { last, all = done, of })
	if err != nil {
		t.Fatal(err)
	}
	if last != all || all != 2*2*(1+2+3) {
		t.Errorf("told of %d of %d replications", last, all)
	}
	if len(b.Points) != 3 || fresh != 3 {
		t.Fatalf("%d points, %d times afresh", len(b.Points), fresh)
	}
	for i, point := range b.Points {
		w := float64(i + 1)
		if point.Workers != i+1 || point.Rate.Value != 2*w || point.Work.Value != 1/(2*w) || point.Peak != 7 || point.Rate.N != 2 {
			t.Errorf("%+v", point)
		}
	}
	// Half a second for 4 weeks, of 365.25 / 7 in a year.
	if want := 0.5 * 365.25 / 7 / 4; math.Abs(b.Year.Value-want) > 1e-12 {
		t.Errorf("a year takes %g s, want %g", b.Year.Value, want)
	}
	if b.Busy() != 6./6/3 {
		t.Errorf("the program got %g of 3 cores in a second of processor time a second", b.Busy())
	}
	if b.Events.N != 6 || b.Events.Value < 1000 || b.Packed.Value < 100 || b.Stored.Value < b.Packed.Value {
		t.Errorf("%g events, %g bytes, %g in a ledger", b.Events.Value, b.Packed.Value, b.Stored.Value)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := effort.Measure(ctx, p, plant.Options{Weeks: 4}, 1, m, 1, 2, func(int, int) {}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func TestCurve(t *testing.T) {
	for most, want := range map[int][]int{1: {1}, 2: {1, 2}, 4: {1, 2, 3, 4}, 5: {1, 2, 3, 4, 5}, 64: {1, 2, 3, 4, 8, 16, 32, 64}} {
		if got := effort.Curve(most); !slices.Equal(got, want) {
			t.Errorf("up to %d: %v", most, got)
		}
	}
}

// Two workers make one replication a second, at 1.6 s of processor time each. Here a
// core is busy with one for 2 s, so that 100 take 2 + 99 x 2 / 2 = 101 s; elsewhere, on
// 16 cores, 1.6 + 99 x 1.6 / 16 = 11.5 s. On 10,000 cores the machine that hands
// out takes 2 ms for each, which of 10,000 is more than the 3.2 s that they run.
func TestProjectByHand(t *testing.T) {
	b := &effort.Bench{Cores: 2, Points: []effort.Point{{Workers: 2,
		Rate: stats.Estimate{Value: 1, Low: 0.5, High: 1.5}, Work: stats.Estimate{Value: 1.6, Low: -1, High: 4.2}}}}
	got := b.Project(experiment.Runs{Least: 1, Most: 100}, []int{16})
	seconds := func(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }
	want := []effort.Projection{
		{Cores: 2, Here: true, Least: 2 * time.Second, Most: 101 * time.Second, Low: seconds(101 / 1.5), High: 202 * time.Second, Hours: 101. * 2 / 3600},
		{Cores: 16, Least: seconds(1.6), Most: seconds(11.5), Low: seconds(11.5), High: -1, Hours: 11.5 * 16 / 3600},
	}
	for i := range want {
		g, w := got[i], want[i]
		near := func(a, b time.Duration) bool { return (a - b).Abs() < time.Microsecond }
		if g.Cores != w.Cores || g.Here != w.Here || !near(g.Least, w.Least) || !near(g.Most, w.Most) || !near(g.Low, w.Low) || !near(g.High, w.High) || math.Abs(g.Hours-w.Hours) > 1e-9 {
			t.Errorf("got  %+v\nwant %+v", g, w)
		}
	}
	if p := b.Project(experiment.Runs{Least: 1, Most: 10_000}, []int{10_000})[1]; p.Most != 20*time.Second {
		t.Errorf("handing out 10,000 takes %v", p.Most)
	}
}
