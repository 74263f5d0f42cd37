package decision

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"potbank/internal/experiment"
	"potbank/internal/scenario"
	"potbank/internal/stats"
)

// A Tornado says which inputs move a figure most: each is moved to the two ends
// of where it is likely to lie, one chance in ten beyond either, while the
// others stay. Bars are comparable because the ends are equally likely, which
// plus and minus ten percent are not.
type Tornado struct {
	Name, Unit   string
	Turn         Turn           // where the answer becomes another one
	Seed         uint64         // of every run; filled in by whoever asked
	Replications int            // behind every figure, on shared luck
	AsStated     stats.Estimate // with every input as the file states it
	Bars         []Bar          // the longest first
	Screened     []Effect       // by size; nil where every input has a bar
	Runs         int            // works tried to screen
	Warnings     []string
}

// A Bar is one input with what its two ends make of the figure.
type Bar struct {
	scenario.Input
	AtLow, AtHigh Swing
}

// Length is the span of the bar, from the lowest of the three values to the
// highest.
func (b Bar) Length() float64 {
	ends := []float64{0, b.AtLow.length(), b.AtHigh.length()}
	return slices.Max(ends) - slices.Min(ends)
}

// A Swing is the difference that one end of an input makes, from pairs of
// replications.
type Swing struct {
	stats.Estimate
	Impossible string // why no works can be had there; then there is no value
}

func (s Swing) length() float64 {
	if s.Impossible != "" || math.IsNaN(s.Value) {
		return 0
	}
	return s.Value
}

// An End is the figure with one input at one of its ends.
type End struct {
	Path, At string
	Value    float64
}

// Ends lists the ends of all bars, the longest first, and parts them: those at
// which the answer is another one than as stated, and the rest.
func (t *Tornado) Ends() (turned, others []End) {
	for _, b := range t.Bars {
		for k, s := range []Swing{b.AtLow, b.AtHigh} {
			if s.Impossible != "" || math.IsNaN(s.Value) {
				continue
			}
			e := End{b.Path, []string{b.Low, b.High}[k], t.AsStated.Value + s.Value}
			if (e.Value > t.Turn.At) != (t.AsStated.Value > t.Turn.At) {
				turned = append(turned, e)
			} else {
				others = append(others, e)
			}
		}
	}
	return turned, others
}

// An Effect is what an input does on average to the figure, from its low to its
// high end, while all others are at either of theirs.
type Effect struct {
	scenario.Input
	stats.Estimate
}

// Limits of one tornado. A bar costs two works, so that more inputs are screened
// first: that costs as many works as there are inputs, or a few more, and every
// one of them tells of every input.
const (
	mostBars   = 15 // inputs that need no screening
	keptBars   = 8  // inputs with a bar after screening
	fewestRuns = 3  // replications of each works
)

// MoveInputs makes the tornado of a figure. Progress, if not nil, is told how
// many settings of the inputs of how many are done. The error is that of ctx or of
// a replication.
func MoveInputs(ctx context.Context, inputs []scenario.Input, y Yardstick, replications int, progress func(done, of int)) (*Tornado, error) {
	m := &moving{ctx: ctx, yardstick: y, replications: max(fewestRuns, replications), progress: progress}
	t := &Tornado{Name: y.Name, Unit: y.Unit, Turn: y.Turn, Replications: m.replications}
	kept := inputs
	if len(inputs) > mostBars {
		m.of = len(stats.Screening(len(inputs))) + 2*keptBars + 1
		screened, runs, err := m.screen(inputs)
		if err != nil {
			return nil, err
		}
		t.Screened, t.Runs = screened, runs
		kept = nil
		for _, e := range screened[:keptBars] {
			kept = append(kept, e.Input)
		}
	}
	m.of = m.done + 2*len(kept) + 1
	if err := m.bars(t, kept); err != nil {
		return nil, err
	}
	t.Warnings = t.warnings(len(inputs))
	return t, nil
}

// A moving runs works with moved inputs.
type moving struct {
	ctx          context.Context
	yardstick    Yardstick
	replications int
	progress     func(done, of int)
	done, of     int
}

// sample gives the figure with inputs moved, or says why no works can be had.
func (m *moving) sample(inputs []scenario.Input, sides []scenario.Side) (figures []float64, impossible string, err error) {
	works, of, impossible := m.yardstick.ready(inputs, sides)
	m.done++
	if m.progress != nil {
		defer m.progress(m.done, m.of)
	}
	if impossible != "" {
		return nil, impossible, nil
	}
	figures, err = of(m.ctx, works, m.replications)
	return figures, "", err
}

// bars moves one input at a time.
func (m *moving) bars(t *Tornado, inputs []scenario.Input) error {
	base, impossible, err := m.sample(nil, nil)
	if err != nil {
		return err
	}
	if impossible != "" {
		return fmt.Errorf("decision: %s", impossible)
	}
	t.AsStated = stats.MeanInterval(base, experiment.Level)
	for _, in := range inputs {
		bar := Bar{Input: in}
		if bar.AtLow, err = m.swing(in, scenario.AtLow, base); err != nil {
			return err
		}
		if bar.AtHigh, err = m.swing(in, scenario.AtHigh, base); err != nil {
			return err
		}
		t.Bars = append(t.Bars, bar)
	}
	slices.SortStableFunc(t.Bars, func(a, b Bar) int { return cmp.Compare(b.Length(), a.Length()) })
	return nil
}

// swing moves one input to one side.
func (m *moving) swing(in scenario.Input, side scenario.Side, base []float64) (Swing, error) {
	figures, impossible, err := m.sample([]scenario.Input{in}, []scenario.Side{side})
	if err != nil || impossible != "" {
		return Swing{Impossible: impossible}, err
	}
	return Swing{Estimate: stats.PairedInterval(figures, base, experiment.Level)}, nil
}

// screen moves all inputs at once, by a design that tells their effects apart.
// An effect is the mean figure with the input high less that with it low, so
// that a works that cannot be had unbalances the design but leaves no bias of
// the figure's level.
func (m *moving) screen(inputs []scenario.Input) ([]Effect, int, error) {
	sums := [2][][]float64{} // [low, high][input][replication]
	var count [2][]int
	for k := range sums {
		sums[k], count[k] = make([][]float64, len(inputs)), make([]int, len(inputs))
		for i := range inputs {
			sums[k][i] = make([]float64, m.replications)
		}
	}
	possible := m.possible(inputs)
	runs := 0
	for _, row := range stats.Screening(len(inputs)) {
		sides := make([]scenario.Side, len(row))
		for i, s := range row {
			if possible[i][(s+1)/2] {
				sides[i] = scenario.Side(s)
			}
		}
		figures, impossible, err := m.sample(inputs, sides)
		if err != nil {
			return nil, 0, err
		}
		if impossible != "" {
			continue
		}
		runs++
		for i, s := range row {
			k := (s + 1) / 2
			count[k][i]++
			for r, y := range figures {
				sums[k][i][r] += y
			}
		}
	}
	return effects(inputs, sums, count), runs, nil
}

// possible tells for each input whether a works can be had with it at its low
// and at its high end. Where not, the screening leaves it as stated: else every
// works of the half of the design that has it there would be lost.
func (m *moving) possible(inputs []scenario.Input) [][2]bool {
	all := make([][2]bool, len(inputs))
	for i, in := range inputs {
		for k, side := range []scenario.Side{scenario.AtLow, scenario.AtHigh} {
			_, _, why := m.yardstick.ready([]scenario.Input{in}, []scenario.Side{side})
			all[i][k] = why == ""
		}
	}
	return all
}

// effects turns the sums at either side into differences of means.
func effects(inputs []scenario.Input, sums [2][][]float64, count [2][]int) []Effect {
	var all []Effect
	for i, in := range inputs {
		each := make([]float64, len(sums[0][i]))
		for r := range each {
			each[r] = sums[1][i][r]/float64(count[1][i]) - sums[0][i][r]/float64(count[0][i])
		}
		all = append(all, Effect{in, stats.MeanInterval(each, experiment.Level)})
	}
	slices.SortStableFunc(all, func(a, b Effect) int { return cmp.Compare(math.Abs(b.Value), math.Abs(a.Value)) })
	return all
}

// warnings says what the reader must know before believing the picture.
func (t *Tornado) warnings(inputs int) []string {
	var all []string
	for _, b := range t.Bars {
		for _, s := range []Swing{b.AtLow, b.AtHigh} {
			if s.Impossible != "" {
				all = append(all, fmt.Sprintf("%s cannot be moved so far: %s.", b.Path, s.Impossible))
			}
		}
	}
	if design := len(stats.Screening(max(1, inputs))); t.Screened != nil && t.Runs < design {
		all = append(all, fmt.Sprintf("Of %d works to screen the inputs %d cannot be built: the effects are not told apart cleanly.", design, design-t.Runs))
	}
	if len(t.Bars) > 0 && !t.Bars[0].AtLow.Excludes(0) && !t.Bars[0].AtHigh.Excludes(0) {
		all = append(all, "No input moves the figure by more than luck may: more replications may tell.")
	}
	return all
}
