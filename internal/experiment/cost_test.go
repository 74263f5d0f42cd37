package experiment

import (
	"math"
	"testing"
)

func TestCostLinesAddUpToTheCostPerGoodPiece(t *testing.T) {
	a := ask(t, toy(), Settings{Replications: 10, WarmUp: 4})
	whole, _ := a.Figure("cost.per_good")
	if len(a.CostLines) != 2 {
		t.Fatalf("%d lines, want wages and gas", len(a.CostLines))
	}
	var sum float64
	for _, line := range a.CostLines {
		sum += line.Value
		if line.Unit != "EUR/piece" || !line.HasInterval() {
			t.Errorf("line %+v", line)
		}
	}
	if math.Abs(sum-whole.Value) > 1e-12*whole.Value {
		t.Errorf("the lines add up to %g, the cost per good piece is %g", sum, whole.Value)
	}
}

func TestWorksWithoutCostMeasuresHasNoLines(t *testing.T) {
	w := toy()
	a, err := replicate(t.Context(), w, w.gauges()[:2], Settings{Replications: 2, WarmUp: 4})
	if err != nil || a.CostLines != nil {
		t.Errorf("lines %+v, error %v", a.CostLines, err)
	}
}
