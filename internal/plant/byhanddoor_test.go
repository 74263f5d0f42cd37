package plant_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"

	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
	"potbank/internal/stats"
)

// TestKilnWithDoor runs a shuttle kiln that is fed at random, takes up to 10
// pieces, is lit when at least so many wait, and lets nobody join a fire that
// has begun: the queue M/D[a,10]/1.
//
// A case passes if a 99.9 % interval over the replications covers the exact
// value and is at most 2 % to either side; it then cannot cover 1.05 times the
// value as well.
//
// source: Neuts, Ann. Math. Stat. 38, 1967, pp. 759-770 (general bulk service
// rule), computed from the embedded chain for 8 arrivals in the time of a firing.
func TestKilnWithDoor(t *testing.T) {
	const firing = 2.0 // h
	for _, tt := range []struct {
		least            quantity.Share
		wait, load, busy float64 // wait in firings, pieces of a load, share of time
	}{
		{0.1, 0.609809, 8.000241, 0.999970},
		{0.5, 0.607279, 8.120527, 0.985158},
		{0.8, 0.622718, 8.888923, 0.899997},
		{1.0, 0.672328, 10, 0.8},
	} {
		w := readWorks(t, "testdata/door.yaml")
		w.Kilns[0].Least = tt.least
		p := build(t, w)
		got := map[string][]float64{}
		for n := range doorReplications {
			r := simulate(t, p, plant.Options{Source: random.New(1967, uint32(n)), Weeks: doorWeeks})
			value := func(name string) float64 { return figure(t, p, r, name, 2, doorWeeks) }
			arrivals := value("cast.total")
			// Pieces x hours before the kiln, over pieces: Little's law.
			got["wait"] = append(got["wait"], value("wip.buffer")*168/arrivals/firing)
			got["load"] = append(got["load"], arrivals/value("kiln.kiln.firings"))
			got["busy"] = append(got["busy"], value("state.kiln.firing")/100)
		}
		for name, want := range map[string]float64{"wait": tt.wait, "load": tt.load, "busy": tt.busy} {
			mean, sd := stat.MeanStdDev(got[name], nil)
			half := stats.StudentQuantile(0.9995, doorReplications-1) * sd / math.Sqrt(doorReplications)
			if math.Abs(mean-want) > half {
				t.Errorf("least load %v: %s %.6f +- %.6f, exactly %.6f", tt.least, name, mean, half, want)
			}
			if half > doorWidth*want {
				t.Errorf("least load %v: %s is known to %.3f %% only", tt.least, name, 100*half/want)
			}
		}
	}
}
