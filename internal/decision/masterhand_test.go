package decision_test

import (
	"math"
	"testing"

	"potbank/internal/decision"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// faultLuck is a stream of uniform numbers for the simulations of this file.
type faultLuck struct {
	source random.Source
	n      uint64
}

func (c *faultLuck) next() float64 {
	c.n++
	return c.source.Uniform(random.PurposeOf("test"), c.n, 0)
}

func (c *faultLuck) trial(p float64) bool { return c.next() < p }

// simulated repeats until n values are there and returns their mean and its
// standard error.
func simulated(n int, once func() float64) (m, se float64) {
	var sum, square float64
	for range n {
		x := once()
		sum += x
		square += x * x
	}
	m = sum / float64(n)
	return m, math.Sqrt((square/float64(n) - m*m) / float64(n-1))
}

// TestSteadyFault: source: hand calculation, exposure of a constant rate; mean,
// 95 % and 99 % quantile of the casts until the stop.
func TestSteadyFault(t *testing.T) {
	for _, c := range []struct {
		f              decision.SteadyFault
		mean, p95, p99 float64
	}{
		{decision.SteadyFault{PerDay: 40, Lag: 6, Faults: 1, Raise: .10}, 250, 269, 284},
		{decision.SteadyFault{PerDay: 40, Lag: 6, Faults: 3, Raise: .25}, 252, 263, 271},
		{decision.SteadyFault{PerDay: 40, Lag: 0, Faults: 1, Raise: 1}, 1, 1, 1},
		{decision.SteadyFault{PerDay: 40, Lag: 6, Faults: 1, Raise: 1}, 241, 241, 241},
	} {
		near(t, "mean", c.f.Mean(), c.mean, 1e-9)
		near(t, "95 %", c.f.Quantile(.95), c.p95, 0)
		near(t, "99 %", c.f.Quantile(.99), c.p99, 0)
		m, se := simulated(20000, func() float64 { return steadyOnce(c.f) })
		near(t, "simulated mean", m, c.mean, 3*se)
	}
}

var steadyLuck = &faultLuck{source: random.New(5, 2)}

// steadyOnce casts at even distances and counts what was cast when the alarm
// that the watch of the engine gives has been acted on.
func steadyOnce(f decision.SteadyFault) float64 {
	w := plant.NewWatch(plant.AlarmRule{By: "case", Faults: f.Faults})
	between := des.Time(float64(des.Day) / f.PerDay)
	for n := 1; ; n++ {
		at := des.Time(n) * between
		if alarm, _ := w.See(at, 1, steadyLuck.trial(f.Raise), true); alarm {
			stop := at + des.Time(f.Lag*float64(des.Day))
			return float64(stop / between)
		}
	}
}

// TestNoAlarm: source: hand calculation; pieces that must pass for 95 %, exact
// and by the rule of three.
func TestNoAlarm(t *testing.T) {
	for _, c := range []struct{ raise, exact, rule float64 }{{.05, 58.4, 60}, {.1, 28.4, 30}, {.3, 8.4, 10}} {
		near(t, "pieces", decision.PiecesToSee(c.raise, .95), c.exact, .05)
		near(t, "rule of three", 3/c.raise, c.rule, 1e-9)
	}
	near(t, "no alarm", decision.NoAlarm(.5, .4, .5, 10), math.Pow(.9, 10), 1e-12)
}

// TestSpreadingFaultCasts: source: hand calculation, B = 100 places, one cast a
// day, life 100; 50, 100 and 150 days.
func TestSpreadingFaultCasts(t *testing.T) {
	f := decision.SpreadingFault{Places: 100, CastDay: 1, Life: 100}
	for _, c := range []struct{ days, casts float64 }{{50, 1250}, {100, 5000}, {150, 10000}} {
		near(t, "casts", f.Casts(c.days), c.casts, 1e-9)
	}
}

// TestSpreadingFault: source: hand calculation of the Rayleigh wait; the same
// by simulation of casts as a Poisson stream that grows with time.
func TestSpreadingFault(t *testing.T) {
	luck := &faultLuck{source: random.New(5, 3)}
	for _, c := range []struct {
		cast, replaced, raise, gate, react float64
		alarm, casts, p95                  float64
		band                               [3]float64
	}{
		{1, 2, .2, 3, 1, 4.98, 36.9, 62, [3]float64{.005, .05, .5}},
		{1, 2, .2, 8, 1, 9.98, 121.7, 166, [3]float64{.005, .05, .5}},
		{1, 2, .2, 25, 1, 26.98, 784, 892, [3]float64{.005, .5, .5}},
		{2, .5, 1, 10, 0, 11.25, 63.5, 77, [3]float64{.005, .05, .5}},
	} {
		f := decision.SpreadingFault{Places: c.replaced * 1000 / c.cast, CastDay: c.cast, Life: 1000, Raise: c.raise, Gate: c.gate, React: c.react}
		near(t, "replaced", f.Replaced(), c.replaced, 1e-12)
		near(t, "alarm", f.Alarm(), c.alarm, c.band[0])
		near(t, "casts", f.Mean(), c.casts, c.band[1])
		near(t, "95 %", f.Quantile(.95), c.p95, c.band[2])
		// The expected casts by t grow as t^2: the n-th comes at the root of a sum
		// of unit exponentials.
		rate := c.cast * c.replaced / 2
		m, se := simulated(20000, func() float64 {
			for sum := 0.0; ; {
				sum -= math.Log(luck.next())
				if luck.trial(c.raise) {
					return f.Casts(math.Sqrt(sum/rate) + c.gate + c.react)
				}
			}
		})
		near(t, "simulated casts", m, f.Mean(), 3*se)
	}
}

// TestDailySample: source: E10 and E11, geometric law: 5 % bad, the test sees 90 %,
// 8 a day of 400, at once and after 12 days in process. J04: the 6,098 pieces of
// E11, 5 % bad, worth 9 each.
func TestDailySample(t *testing.T) {
	d := decision.DailySample{Bad: .05, Finds: .9, Pieces: 8, Flow: 400}
	near(t, "E10 q", d.Chance(), 0.3081260603, 1e-9)
	near(t, "E10 days", d.Days(), 3.245424938, 1e-8)
	near(t, "E10 pieces", d.Made(), 1298.169975, 1e-5)
	near(t, "E10 not found in 10 days", d.Missed(10), 0.025134, 5e-7)
	luck := &faultLuck{source: random.New(5, 4)}
	m, se := simulated(20000, func() float64 {
		for day := 1; ; day++ {
			for range d.Pieces {
				if luck.trial(d.Bad) && luck.trial(d.Finds) {
					return float64(day)
				}
			}
		}
	})
	near(t, "E10 simulated days", m, 3.245424938, 3*se)
	d.Process = 12
	near(t, "E11 days", d.Days(), 15.24542494, 1e-8)
	near(t, "E11 pieces", d.Made(), 6098.169975, 1e-5)
	near(t, "J04 cost", decision.LateCost(6098.17, d.Bad, 9), 2744.18, .005)
}

// TestInformation: source: hand calculation; delay and its simulation, fault
// rates .02 and .30, threshold ln 2000.
func TestInformation(t *testing.T) {
	h := math.Log(2000)
	near(t, "delay", h/decision.Information(.30, .02), 13.2, .05)
	for _, c := range []struct{ share, traced, pooled, ratio float64 }{
		{.5, 26, 37, 1.42}, {.2, 66, 161, 2.45}, {.1, 132, 527, 4.00}, {.05, 264, 1835, 6.96},
	} {
		traced, pooled := decision.TracedDelay(.02, .30, c.share, h), decision.PooledDelay(.02, .30, c.share, h)
		near(t, "traced", traced, c.traced, .5)
		near(t, "pooled", pooled, c.pooled, .5)
		near(t, "ratio", pooled/traced, c.ratio, .006)
	}
}

// TestCumulativeSum: source: published by simulation with few repeats (delay
// 13.6 traced; 151 and 472 pooled at shares of .2 and .1; at least 2,000 pieces
// between false alarms). Their own error is not given: half a unit of the last
// digit for the first, 5 % for the others, besides three standard errors of ours.
func TestCumulativeSum(t *testing.T) {
	luck := &faultLuck{source: random.New(5, 5)}
	delay := func(good, bad, share float64) float64 {
		w := plant.NewWatch(plant.AlarmRule{By: "ware", Good: good, Bad: good + share*(bad-good), Threshold: math.Log(2000)})
		for n := 1; ; n++ {
			p := good
			if luck.trial(share) {
				p = bad
			}
			if alarm, _ := w.See(0, 0, luck.trial(p), true); alarm {
				return float64(n)
			}
		}
	}
	for _, c := range []struct{ share, pieces, band float64 }{{1, 13.6, .05}, {.2, 151, .05 * 151}, {.1, 472, .05 * 472}} {
		m, se := simulated(4000, func() float64 { return delay(.02, .30, c.share) })
		near(t, "delay", m, c.pieces, c.band+3*se)
	}
	m, se := simulated(100, func() float64 {
		w := plant.NewWatch(plant.AlarmRule{By: "case", Good: .02, Bad: .30, Threshold: math.Log(2000)})
		for n := 1; ; n++ {
			if alarm, _ := w.See(0, 0, luck.trial(.02), false); alarm {
				return float64(n)
			}
		}
	})
	if m+3*se < 2000 {
		t.Errorf("%.0f ± %.0f pieces between false alarms, bound 2,000", m, 3*se)
	}
	near(t, "pieces between false alarms", m, 20500, 3*(se+20500/math.Sqrt(40)))
}

// TestMissingMouldDays: source: hand calculation, 60 moulds, 4 days, 6 a day; and
// without a limit of pours.
func TestMissingMouldDays(t *testing.T) {
	near(t, "mould-days", decision.MissingMouldDays(60, 4, 6), 545, 1e-9)
	near(t, "mould-days at once", decision.MissingMouldDays(60, 4, math.Inf(1)), 240, 1e-9)
	// Counted out: the j-th mould is missing for its lead and j/m days.
	sum := 0.0
	for j := 1; j <= 60; j++ {
		sum += 4 + float64(j)/6
	}
	near(t, "counted out", sum, 545, 1e-9)
}
