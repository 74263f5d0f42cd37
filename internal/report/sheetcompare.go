package report

import (
	"math"
	"strconv"

	"potbank/internal/experiment"
)

// ComparisonSheets are the sheets of "which option?": what is said, every
// difference, the measures of every option, what the options change, cost with
// totals, and output by week. inputs are those of the first option.
func ComparisonSheets(r *experiment.Comparison, inputs []Input) []Sheet {
	return []Sheet{
		comparedSheet(r), differenceSheet(r), optionSheet(r), changeSheet(r), optionCostSheet(r), optionSeriesSheet(r), InputSheet(inputs),
	}
}

// comparedSheet is what the comparison says in sentences, with what it is of.
func comparedSheet(r *experiment.Comparison) Sheet {
	s := sayings(ComparisonDocument(r))
	s.add("seed", seedText(r.Seed))
	s.add("weeks", r.Weeks)
	s.add("warm-up weeks", r.WarmUp.Weeks)
	for _, o := range r.Options {
		s.add("scenario of "+o.Name, o.Answer.Scenario.Name)
		s.add("hash of "+o.Name, o.Answer.Scenario.Hash)
		s.add("replications of "+o.Name, o.Answer.Replications)
	}
	return s
}

// differenceSheet is every measure compared. The first option has no difference.
// In a workbook the last column is live: the difference as a share of the first
// option's value.
func differenceSheet(r *experiment.Comparison) Sheet {
	s := Sheet{Name: "differences", Columns: []string{
		"measure", "unit", "option", "value", "low", "high", "difference", "low of difference", "high of difference", "n", "verdict", "share of the first",
	}}
	for _, m := range r.Measures {
		first := len(s.Rows) + 2
		for i, d := range m.Differences {
			v := m.Values[i]
			row := []any{m.Name, m.Unit, r.Options[i].Name, exactly(v.Value), exactly(v.Low), exactly(v.High), nil, nil, nil, v.N, nil, nil}
			if i > 0 {
				row[6], row[7], row[8], row[9], row[10] = exactly(d.Value), exactly(d.Low), exactly(d.High), d.N, string(d.Verdict)
				if share, ok := exactly(d.Value / math.Abs(m.Values[0].Value)).(float64); ok {
					row[11] = Formula{"G" + strconv.Itoa(len(s.Rows)+2) + "/ABS(D" + strconv.Itoa(first) + ")", share}
				}
			}
			s.Rows = append(s.Rows, row)
		}
	}
	if m := r.Measures; len(m) > 0 {
		s.Charts = []SheetChart{{Title: m[0].Name + " by option", Label: 2, Drawn: []int{3}, Rows: len(r.Options), Unit: m[0].Unit}}
	}
	return s
}

// optionSheet is every measure of every option, from its own replications.
func optionSheet(r *experiment.Comparison) Sheet {
	s := Sheet{Name: "measures", Columns: append([]string{"option", "name", "unit"}, figureHeads...)}
	for _, o := range r.Options {
		for _, f := range o.Answer.Measures {
			s.Rows = append(s.Rows, append([]any{o.Name, f.Name, f.Unit}, figureCells(f.Value, f.Low, f.High, f.SD, f.N)...))
		}
	}
	return s
}

// changeSheet is what the files of the options say otherwise.
func changeSheet(r *experiment.Comparison) Sheet {
	s := Sheet{Name: "changes", Columns: []string{"option", "key", "before", "after"}}
	for _, o := range r.Options {
		for _, c := range o.Changes {
			s.add(o.Name, c.Path, c.Before, c.After)
		}
	}
	return s
}

// optionCostSheet is the direct cost of one good piece by line, an option a
// row, since lines are the same for all options of one works but need not be.
func optionCostSheet(r *experiment.Comparison) Sheet {
	s := Sheet{Name: "cost", Columns: []string{"option", "line", "unit", "mean", "low", "high"}}
	for _, o := range r.Options {
		first := len(s.Rows) + 2
		sum := 0.0
		for _, f := range o.Answer.CostLines {
			s.add(o.Name, f.Name, f.Unit, exactly(f.Value), exactly(f.Low), exactly(f.High))
			if v, ok := exactly(f.Value).(float64); ok {
				sum += v
			}
		}
		if last := len(s.Rows) + 1; last >= first {
			s.Live = append(s.Live, []any{o.Name, "total", nil, Formula{"SUM(D" + strconv.Itoa(first) + ":D" + strconv.Itoa(last) + ")", sum}, nil, nil})
		}
	}
	return s
}

// optionSeriesSheet is the deciding series week by week, an option a column.
func optionSeriesSheet(r *experiment.Comparison) Sheet {
	var series []experiment.Series
	for _, o := range r.Options {
		for _, x := range o.Answer.WarmUp.Series {
			series = append(series, experiment.Series{Name: o.Name + " " + x.Name, Unit: x.Unit, Weeks: x.Weeks})
		}
	}
	return seriesSheet(series)
}

// seedText is a seed as text: a spreadsheet keeps 15 digits of a number.
func seedText(seed uint64) string { return strconv.FormatUint(seed, 10) }

// rowAfter is the number of the row below the rows of a sheet.
func rowAfter(s *Sheet) string { return strconv.Itoa(len(s.Rows) + 2) }
