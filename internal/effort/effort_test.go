package effort_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"potbank/internal/des"
	"potbank/internal/effort"
	"potbank/internal/ledger"
	"potbank/internal/plant"
	"potbank/internal/random"
	"potbank/internal/scenario"
	"potbank/scenarios"
)

// load builds an example.
func load(t *testing.T, name string) *plant.Plant {
	t.Helper()
	file, faults := scenario.ReadIn(scenarios.Files, name)
	if file == nil {
		t.Fatal(faults)
	}
	p, faults := file.Plant()
	if p == nil {
		t.Fatal(faults)
	}
	return p
}

// clock is a clock that goes on by a step whenever it is read.
func clock(step time.Duration) func() time.Time {
	now := time.Unix(0, 0)
	return func() time.Time {
		now = now.Add(step)
		return now
	}
}

// Ten replications of 2 s take 20 s on one core. On two, the first takes 2 s and the
// other nine share them: 2 + 18/2 = 11 s.
func TestEstimateByHand(t *testing.T) {
	rate := effort.Rate{Events: 1e6, Time: 2 * time.Second, Memory: 10e6, Result: 1e5, Stored: 5e4}
	one := effort.Study{Least: 10, Most: 20, Workers: 1, Cores: 1}.Estimate(rate)
	if one.Least != 20*time.Second || one.Most != 40*time.Second || one.Work != 40*time.Second || one.Events != 20e6 || one.Grows != 0 {
		t.Errorf("on one core: %+v", one)
	}
	two := effort.Study{Least: 10, Most: 20, Workers: 8, Cores: 2, Known: 10, Ledger: true, Kept: 1000}.Estimate(rate)
	if two.Least != 0 || two.Most != 11*time.Second || two.Grows != 10*5e4 {
		t.Errorf("on two cores, ten known: %+v", two)
	}
	// Twice what is alive, 20 kept, 2 runs, 4 results a worker; and the program.
	if want := int64(2*(20*1000+2*10e6+4*8*1e5) + 40e6); two.Memory != want {
		t.Errorf("memory %d, want %d", two.Memory, want)
	}
	endless := effort.Study{Least: math.MaxInt / 4, Most: math.MaxInt / 2, Workers: 1, Cores: 1, Ledger: true}.Estimate(rate)
	if endless.Most != math.MaxInt64 || endless.Grows != math.MaxInt64 {
		t.Errorf("without end: %+v", endless)
	}
}

func TestEstimateInWords(t *testing.T) {
	minute := effort.Rate{Time: time.Minute, Stored: 1e6}
	tests := []struct {
		study effort.Study
		want  string
	}{
		{effort.Study{Shape: "8 options x 3 futures x 40 runs of 52 weeks", Least: 6, Most: 6, Workers: 1, Cores: 1},
			"about 6 min on 1 processor: 8 options x 3 futures x 40 runs of 52 weeks"},
		{effort.Study{Shape: effort.Runs(5, 11, 52), Least: 5, Most: 11, Workers: 2, Cores: 2, Ledger: true},
			"about 3 to 6 min on 2 processors: 5 to 11 runs of 52 weeks; up to 11 MB in the ledger"},
		{effort.Study{Shape: effort.Runs(1200, 1200, 52), Least: 1200, Most: 1200, Known: 600, Workers: 512, Cores: 512, Shared: true},
			"about 10 h of processor time, on the machines that join: 1,200 runs of 52 weeks, less 600 that the ledger has"},
	}
	for _, test := range tests {
		if got := test.study.Estimate(minute).String(); got != test.want {
			t.Errorf("got  %s\nwant %s", got, test.want)
		}
	}
	for d, want := range map[time.Duration]string{
		15 * time.Millisecond: "15 ms", 1500 * time.Millisecond: "1.5 s", 59 * time.Second: "59 s", time.Minute: "1 min", 90 * time.Minute: "90 min",
		24 * time.Hour: "24 h", 10 * 24 * time.Hour: "10 days", 123 * 366 * 24 * time.Hour: "120 years",
	} {
		if got := effort.Duration(d); got != want {
			t.Errorf("%v is told as %q, want %q", d, got, want)
		}
	}
	for n, want := range map[int64]string{0: "0 bytes", 1500: "1.5 kB", 999_900: "1 MB", 87_300_000_000: "87 GB", math.MaxInt64: "9,200 PB"} {
		if got := effort.Bytes(n); got != want {
			t.Errorf("%d bytes are told as %q, want %q", n, got, want)
		}
	}
}

// Every limit holds where it is stated: a study just below it and one at it may run,
// one just above it is refused, and told which flag raises it.
func TestLimitsOfAStudy(t *testing.T) {
	l := effort.Limits{Longest: time.Hour, LongestRun: time.Minute, Memory: 1e9, Free: 2e6}
	tests := []struct {
		flag string
		of   func(n int64) effort.Estimate
		most int64
	}{
		{"--longest,", func(n int64) effort.Estimate { return effort.Estimate{Most: time.Duration(n)} }, int64(time.Hour)},
		{"--longest-run", func(n int64) effort.Estimate { return effort.Estimate{One: time.Duration(n)} }, int64(time.Minute)},
		{"--most-memory", func(n int64) effort.Estimate { return effort.Estimate{Memory: n} }, 1e9},
		{"another disk", func(n int64) effort.Estimate { return effort.Estimate{Grows: n} }, 1e6},
	}
	for _, test := range tests {
		for _, n := range []int64{test.most - 1, test.most, test.most + 1} {
			err := l.Check(test.of(n))
			var over *effort.OverError
			if got := errors.As(err, &over); got != (n > test.most) {
				t.Errorf("%s: %d of %d gives %v", test.flag, n, test.most, err)
			}
			if over != nil && !strings.Contains(over.Hint+",", test.flag) {
				t.Errorf("%s is not named: %s", test.flag, over)
			}
		}
	}
	endless := effort.Estimate{Most: math.MaxInt64, One: math.MaxInt64, Memory: math.MaxInt64, Grows: math.MaxInt64}
	if err := (effort.Limits{Free: -1}).Check(endless); err != nil {
		t.Errorf("without limits: %v", err)
	}
}

// A pilot of a few weeks tells the events of a year to a tenth, and rather
// too many bytes. The
// clock goes on by 10 ms a reading, so that every run seems to take as long.
func TestPilotForetellsTheRun(t *testing.T) {
	for _, name := range []string{"small-works.yaml", "plant-a.yaml"} {
		p := load(t, name)
		o := plant.Options{Source: random.New(1, 1), Weeks: 40}
		rate, err := effort.Pilot(p, o, clock(40*time.Millisecond)) // 2 weeks, then 12
		if err != nil {
			t.Fatal(err)
		}
		r, err := p.Simulate(o)
		if err != nil {
			t.Fatal(err)
		}
		for _, test := range []struct {
			what            string
			told, was, most float64
		}{
			{"events", rate.Events, float64(r.Events), 1.1},
			{"bytes of counters", float64(rate.Result), float64(8 * len(r.Week) * len(r.Week[0])), 1.1},
			// A long result packs better than a short one.
			{"bytes in a ledger", float64(rate.Stored), float64(ledger.Stored(r)), 1.25},
		} {
			if ratio := test.told / test.was; ratio < 0.9 || ratio > test.most {
				t.Errorf("%s: %.0f %s foretold, %.0f were (%.2f)", name, test.told, test.what, test.was, ratio)
			}
		}
		if rate.Memory < 10_000 || rate.Memory > 200e6 {
			t.Errorf("%s: a run holds %d bytes", name, rate.Memory)
		}
		if hand := p.Events() * 40 / float64(p.Weeks()); hand < float64(r.Events) || hand > 4*float64(r.Events) {
			t.Errorf("%s: %.0f events by hand, %d were", name, hand, r.Events)
		}
	}
}

// A pilot of a run as long as the pilot is the run.
func TestPilotOfAShortRun(t *testing.T) {
	p := load(t, "small-works.yaml")
	r, err := p.Simulate(plant.Options{Source: random.New(1, 1), Weeks: 2})
	if err != nil {
		t.Fatal(err)
	}
	rate, err := effort.Pilot(p, plant.Options{Source: random.New(1, 1), Weeks: 2}, clock(time.Second))
	if err != nil || rate.Events != float64(r.Events) || rate.Time != time.Second {
		t.Errorf("%+v, %v; want %d events in 1 s", rate, err, r.Events)
	}
	// Two weeks take a second, longer than a pilot may: the year is 20 times that.
	if rate, err = effort.Pilot(p, plant.Options{Source: random.New(1, 1), Weeks: 40}, clock(time.Second)); err != nil || rate.Time != 20*time.Second {
		t.Errorf("%+v, %v; want 20 s", rate, err)
	}
}

// A replication that goes on for longer than it may is ended and says where; one that
// does not is what it was, and one that is stopped is stopped.
func TestLongReplicationIsEnded(t *testing.T) {
	p := load(t, "small-works.yaml")
	o := plant.Options{Source: random.New(1, 1), Weeks: 12}
	want, err := p.Simulate(o)
	if err != nil {
		t.Fatal(err)
	}
	// The clock is read when the run begins and at the end of every week.
	for _, test := range []struct {
		limit time.Duration
		ended bool
	}{{11 * time.Second, true}, {12 * time.Second, false}, {13 * time.Second, false}} {
		r, err := p.Recalling(effort.Watched(nil, test.limit, clock(time.Second))).Simulate(o)
		var long *effort.LongError
		switch {
		case !test.ended && (err != nil || r.Events != want.Events):
			t.Errorf("%v: %v", test.limit, err)
		case test.ended && (!errors.As(err, &long) || long.At < 11*des.Week):
			t.Errorf("%v: ended with %v, %+v", test.limit, err, long)
		}
	}
	o.Stopped = func() bool { return true }
	if _, err := effort.Within(time.Hour, clock(time.Second), p.Simulate)(o); !errors.Is(err, plant.ErrStopped) {
		t.Errorf("stopped: %v", err)
	}
}
