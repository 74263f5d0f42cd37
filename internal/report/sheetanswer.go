package report

import (
	"strings"

	"potbank/internal/experiment"
)

// Input is one value of a scenario with its origin.
type Input struct {
	Path, Value string
	From        string // file, overlay or default
	Place       string // file and line; empty for a default
	Guess       bool   // owned to be one
}

// figureHeads are the columns of an estimate.
var figureHeads = []string{"mean", "low", "high", "sd", "n"}

// AnswerSheets are the sheets of "how does this works run?": what is said, every
// measure, production by ware, losses and cost with their totals, casts by hours of
// cover, risk by hour of pour, the weeks, and the inputs. Intervals are those of the answer.
func AnswerSheets(a *experiment.Answer, inputs []Input) []Sheet {
	return []Sheet{
		answerSheet(a), measureSheet(a.Measures), productionSheet(a), lossSheet(a), costSheet(a),
		staircaseSheet(a), pourSheet(a), seriesSheet(a.WarmUp.Series), InputSheet(inputs),
	}
}

// answerSheet is what the answer says in sentences, with what it is of.
func answerSheet(a *experiment.Answer) Sheet {
	s := sayings(AnswerDocument(a))
	for _, fact := range []struct {
		about string
		value any
	}{
		{"scenario", a.Scenario.Name}, {"hash", a.Scenario.Hash}, {"seed", seedText(a.Seed)}, {"replications", a.Replications},
		{"weeks", a.Weeks}, {"warm-up weeks", a.WarmUp.Weeks}, {"confidence", experiment.Level}, {"partial", a.Partial},
	} {
		s.add(fact.about, fact.value)
	}
	return s
}

// measureSheet is every measure with its interval, definition and formula.
func measureSheet(figures []experiment.Figure) Sheet {
	s := Sheet{Name: "measures", Columns: append(append([]string{"name", "unit"}, figureHeads...), "definition", "formula")}
	for _, f := range figures {
		s.Rows = append(s.Rows, append(append([]any{f.Name, f.Unit}, figureCells(f.Value, f.Low, f.High, f.SD, f.N)...), f.Definition, f.Formula))
	}
	return s
}

// productionSheet is a week's output by ware. In a workbook the totals and their
// yield are live.
func productionSheet(a *experiment.Answer) Sheet {
	s := Sheet{Name: "production", Columns: []string{"ware", "cast, pieces/wk", "packed, pieces/wk", "seconds, pieces/wk", "yield, %"}}
	for _, f := range a.Group("cast.") {
		ware := strings.TrimPrefix(f.Name, "cast.")
		if f.Name == "cast.total" {
			continue
		}
		row := []any{ware}
		for _, kind := range []string{"cast.", "packed.", "seconds.", "yield."} {
			m, ok := a.Figure(kind + ware)
			if !ok {
				row = append(row, nil)
				continue
			}
			row = append(row, exactly(m.Value))
		}
		s.Rows = append(s.Rows, row)
	}
	if len(s.Rows) == 0 {
		return s
	}
	sum := s.total("total", 1, 2, 3)
	if y, ok := a.Figure("yield.total"); ok {
		if value, ok := exactly(y.Value).(float64); ok {
			at := rowAfter(&s)
			sum[4] = Formula{"100*C" + at + "/B" + at, value}
		}
	}
	s.Live = [][]any{sum}
	s.Charts = []SheetChart{{Title: "Cast and packed by ware", Label: 0, Drawn: []int{1, 2}, Rows: len(s.Rows), Unit: "pieces/wk"}}
	return s
}

// lossSheet is what is lost in a week, by stage and cause.
func lossSheet(a *experiment.Answer) Sheet {
	s := Sheet{Name: "losses", Columns: []string{"stage", "cause", "lost, pieces/wk", "low", "high"}}
	for _, f := range a.Group("lost.") {
		stage, cause, _ := strings.Cut(strings.TrimPrefix(f.Name, "lost."), ".")
		s.add(stage, cause, exactly(f.Value), exactly(f.Low), exactly(f.High))
	}
	if len(s.Rows) > 0 {
		s.Live = [][]any{s.total("total", 2)}
		s.Charts = []SheetChart{{Title: "Lost by cause", Label: 1, Drawn: []int{2}, Rows: len(s.Rows), Unit: "pieces/wk"}}
	}
	return s
}

// costSheet is the direct cost of one good piece, by line.
func costSheet(a *experiment.Answer) Sheet {
	s := Sheet{Name: "cost", Columns: append([]string{"line", "unit"}, figureHeads...)}
	for _, f := range a.CostLines {
		s.Rows = append(s.Rows, append([]any{f.Name, f.Unit}, figureCells(f.Value, f.Low, f.High, f.SD, f.N)...))
	}
	if len(s.Rows) > 0 {
		s.Live = [][]any{s.total("total", 2)}
		s.Charts = []SheetChart{{Title: "Cost of a good piece", Label: 0, Drawn: []int{2}, Rows: len(s.Rows), Unit: a.CostLines[0].Unit}}
	}
	return s
}

// staircaseSheet is casts a day over hours of cover a day, step by step, and
// where each group of benches stands.
func staircaseSheet(a *experiment.Answer) Sheet {
	s := Sheet{Name: "staircase", Columns: []string{"benches", "ware", "what", "cover, h/day", "casts a day"}}
	for _, x := range a.Pictures.Stands {
		for _, step := range x.Steps {
			s.add(x.Bench, x.Ware, "step", exactly(float64(inHours(step.Hours))), exactly(step.Casts))
		}
		s.add(x.Bench, x.Ware, "today", exactly(float64(inHours(x.Hours))), exactly(x.Casts))
	}
	return s
}

// pourSheet is the risk of the window by hour of pour.
func pourSheet(a *experiment.Answer) Sheet {
	s := Sheet{Name: "pours", Columns: []string{"ware", "hour of pour", "poured, pieces/wk", "miss their window, %", "low", "high", "n"}}
	for _, r := range a.Pictures.Pours {
		e := timesHundred(r.Missed)
		s.add(r.Ware, r.Hour, exactly(r.Poured), exactly(e.Value), exactly(e.Low), exactly(e.High), r.Runs)
	}
	return s
}

// seriesSheet is measures week by week from the empty works on, each the mean
// over replications. What is told of the works as a whole is drawn, that of all
// options in one chart.
func seriesSheet(series []experiment.Series) Sheet {
	s := Sheet{Name: "series", Columns: []string{"week"}}
	for i, x := range series {
		s.Columns = append(s.Columns, x.Name+", "+x.Unit)
		for w, v := range x.Weeks {
			if w == len(s.Rows) {
				s.add(w + 1)
			}
			for len(s.Rows[w]) <= i {
				s.Rows[w] = append(s.Rows[w], nil)
			}
			s.Rows[w] = append(s.Rows[w], exactly(v))
		}
		s.draw(i+1, x)
	}
	return s
}

// draw adds a series to the chart of its measure.
func (s *Sheet) draw(column int, x experiment.Series) {
	measure := x.Name[strings.LastIndex(x.Name, " ")+1:]
	if !strings.HasSuffix(measure, ".total") {
		return
	}
	title := measure + " by week"
	for i := range s.Charts {
		if s.Charts[i].Title == title {
			s.Charts[i].Drawn = append(s.Charts[i].Drawn, column)
			return
		}
	}
	s.Charts = append(s.Charts, SheetChart{Title: title, Line: true, Label: 0, Drawn: []int{column}, Rows: len(x.Weeks), Unit: x.Unit})
}

// InputSheet is every value of the scenario, and where it comes from.
func InputSheet(inputs []Input) Sheet {
	s := Sheet{Name: "inputs", Columns: []string{"key", "value", "from", "place", "guess"}}
	for _, in := range inputs {
		guess := ""
		if in.Guess {
			guess = "guess"
		}
		s.add(in.Path, in.Value, in.From, in.Place, guess)
	}
	return s
}
