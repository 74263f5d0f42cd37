package plant_test

import (
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// TestWatchCounts: an alarm needs so many faults of one parent within the time;
// pieces without a fault and faults of other parents do not help.
func TestWatchCounts(t *testing.T) {
	w := plant.NewWatch(plant.AlarmRule{By: "case", Faults: 2, Within: des.Day})
	for _, step := range []struct {
		at          des.Time
		parent      uint64
		fault, real bool
		alarm, true bool
	}{
		{0, 1, true, false, false, false},
		{1, 1, false, true, false, false},
		{2, 2, true, true, false, false},
		{3 + des.Day, 1, true, false, false, false}, // the first is forgotten
		{2 + des.Day, 2, true, true, true, true},
		{3 + 2*des.Day, 1, true, false, true, false}, // two, none of the bad master
	} {
		alarm, founded := w.See(step.at, step.parent, step.fault, step.real)
		if alarm != step.alarm || alarm && founded != step.true {
			t.Errorf("%+v: alarm %v, founded %v", step, alarm, founded)
		}
	}
	w.Forget(2)
	if alarm, _ := w.See(3+des.Day, 2, true, true); alarm {
		t.Error("a count that was begun anew makes an alarm at its first fault")
	}
}

// TestWatchSums: with rates 0.1 and 0.4 a fault adds ln 4, a piece without takes
// ln 1.5, and the sum does not fall below 0.
func TestWatchSums(t *testing.T) {
	w := plant.NewWatch(plant.AlarmRule{By: "ware", Good: .1, Bad: .4, Threshold: 2.3})
	for k, step := range []struct{ fault, alarm bool }{
		{false, false}, {false, false}, // stays at 0
		{true, false}, {false, false}, {true, true}, // 1.386, 0.981, 2.367
	} {
		if alarm, _ := w.See(des.Time(k), 0, step.fault, false); alarm != step.alarm {
			t.Errorf("piece %d: alarm %v", k+1, alarm)
		}
	}
}
