package report

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/experiment"
	"potbank/internal/plant"
)

func TestEveryMeasureIsShown(t *testing.T) {
	a := sample()
	l := &layout{a: a, shown: map[string]bool{}}
	for _, part := range []func() Part{l.production, l.stock, l.leadTime, l.losses, l.again, l.windows, l.kilns, l.energy, l.cost} {
		part()
	}
	l.resources()
	rest := map[string]bool{}
	for _, row := range l.others().Table.Rows {
		rest[row.Cells[0]] = true
	}
	for _, f := range a.Measures {
		if !math.IsNaN(f.Value) && l.shown[f.Name] == rest[f.Name] {
			t.Errorf("%s is shown %v and among the rest %v, want one of the two", f.Name, l.shown[f.Name], rest[f.Name])
		}
	}
}

func TestOneReplicationIsReadWithoutIntervals(t *testing.T) {
	a := sample()
	a.Replications, a.Fixed, a.Doubt = 1, true, nil
	for _, figures := range [][]experiment.Figure{a.Measures, a.CostLines} {
		for i := range figures {
			figures[i].Estimate = alone(figures[i].Value)
		}
	}
	a.OneWeek.Low, a.OneWeek.High = math.NaN(), math.NaN()
	text := string(terminal(t, AnswerDocument(a)))
	if strings.Contains(text, " ± ") {
		t.Errorf("an interval from one replication:\n%s", text)
	}
	if !strings.Contains(text, "1 replication with randomness off of 52 weeks") {
		t.Error("it is not said that there is one replication with randomness off")
	}
}

func TestPartialAnswerIsLabelled(t *testing.T) {
	a := sample()
	a.Partial = "The study was stopped after 10 replications."
	if text := string(terminal(t, AnswerDocument(a))); !strings.Contains(text, "10 replications (partial) of 52 weeks") {
		t.Error("the answer is not labelled partial")
	}
}

func TestWorksWithoutPricesHasNoCost(t *testing.T) {
	a := sample()
	for i := range a.Measures {
		if strings.HasPrefix(a.Measures[i].Name, "cost.") {
			a.Measures[i].Estimate = about(0, 0)
		}
	}
	text := string(terminal(t, AnswerDocument(a)))
	if !strings.Contains(text, "The scenario gives no prices") || strings.Contains(text, "and costs") {
		t.Errorf("a cost is told where there are no prices:\n%s", text)
	}
}

func TestUnmeasuredListIsCutShort(t *testing.T) {
	a := sample()
	a.Unmeasured = nil
	for range unmeasuredShown + 3 {
		a.Unmeasured = append(a.Unmeasured, experiment.Assumption{Path: "fuel.carbon", Value: "56.1 kg/GJ"})
	}
	text := string(terminal(t, AnswerDocument(a)))
	if n := strings.Count(text, "fuel.carbon"); n != unmeasuredShown {
		t.Errorf("%d values listed, want %d", n, unmeasuredShown)
	}
	if !strings.Contains(text, "and 3 more") {
		t.Error("it is not said that there are more")
	}
}

func TestCheckOnTheTerminal(t *testing.T) {
	a := sample()
	hand := &plant.Hand{
		Values:      []plant.HandValue{{Name: "packed.total", Value: 6630, Unit: "pieces/wk", How: "least capacity of all departments, times the yields of those that follow it"}},
		Departments: a.Loads, Binding: a.HandSays,
	}
	golden(t, "check.txt", terminal(t, CheckDocument(a.Scenario, hand, a.Unmeasured)))
}

func TestMeasuresOnTheTerminal(t *testing.T) {
	golden(t, "measures.txt", terminal(t, MeasuresDocument([]*plant.Measure{
		{Name: "packed.total", Unit: "pieces/wk", Definition: "Good pieces of all wares packed in a week, on average over the weeks after the warm-up of a replication.", Formula: "good quantity (GQ) / weeks", Headline: true},
		{Name: "load.<resource>", Unit: "%", Definition: "Busy share of the attended time."},
	})))
}

func TestKeysOnTheTerminal(t *testing.T) {
	golden(t, "keys.txt", terminal(t, KeysDocument([]Key{
		{Path: "run", Doc: "how long to simulate", Section: true},
		{Path: "kilns.<name>.push", Doc: "push interval", Optional: true},
		{Path: "kilns.<name>.kind", Doc: "tunnel: cars pushed without end; shuttle: load, fire, cool, unload", Words: "tunnel,shuttle"},
		{Path: "kilns.<name>.cars-ahead", Doc: "most loaded cars waiting before the kiln", Default: "8"},
	})))
}

func TestTraceOnTheTerminal(t *testing.T) {
	clock := calendar.NewClock(time.Date(2027, 1, 4, 6, 0, 0, 0, time.UTC))
	golden(t, "trace.txt", terminal(t, TraceDocument(sample().Scenario, clock, []plant.Observation{
		{At: 30 * des.Minute, Piece: 7, Ware: "pan", Event: "filled", Section: "casting", Where: "bench A", Detail: "working mould 118 (cast 23 of 80), case 4, block 1, model of pan"},
		{At: 3*des.Hour + 10*des.Second, Piece: 7, Ware: "pan", Event: "demoulded", Section: "casting", Where: "casters", Spent: spent(125*des.Minute, 0, 25*des.Minute+10*des.Second, 0)},
		{At: 3*des.Hour + 20*des.Second, Piece: 7, Ware: "pan", Event: "on a trolley", Section: "finishing", Spent: spent(125*des.Minute+10*des.Second, 0, 25*des.Minute+10*des.Second, 0)},
		{At: 70 * des.Hour, Piece: 7, Ware: "pan", Event: "into the kiln", Section: "kiln", Where: "tunnel", Detail: "car 31", Spent: spent(40*des.Hour, 6*des.Hour, 3*des.Hour, 20*des.Hour)},
	})))
}

// spent is the time of a piece so far: worked on, and waiting for a place, for
// hands, and for a shift.
func spent(working, place, crew, offShift des.Time) (parts [7]des.Time) {
	parts[0], parts[1], parts[2], parts[5] = working, place, crew, offShift
	return parts
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }

func TestWriteErrorsAreTold(t *testing.T) {
	if err := Terminal(brokenPipe{}, AnswerDocument(sample())); err == nil {
		t.Error("Terminal told no error of a broken pipe")
	}
	if err := JSON(brokenPipe{}, sample(), "0.0.0"); err == nil {
		t.Error("JSON told no error of a broken pipe")
	}
}
