package random

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
)

// empiricalMax is the largest number of recorded values one law may hold.
const empiricalMax = 1_000_000

// empirical deals recorded values again, each as often as its weight says. It
// gives no value that was not recorded: it neither smooths nor extends them.
type empirical struct {
	values []float64 // ascending
	upTo   []float64 // share of weight at or below each value; the last is 1
	mean   float64
	sd     float64
}

// Empirical returns the law that gives each value with a chance in proportion to
// its weight. Weights may be nil for equal ones; a weight of zero leaves its
// value out. Both slices are copied.
func Empirical(values, weights []float64) (Law, error) {
	if err := checkRecorded(values, weights); err != nil {
		return nil, err
	}
	order := make([]int, 0, len(values))
	for i := range values {
		if weights == nil || weights[i] > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(values[i], values[j]) })
	l := empirical{values: make([]float64, len(order)), upTo: make([]float64, len(order))}
	total := 0.0
	for k, i := range order {
		weight := 1.0
		if weights != nil {
			weight = weights[i]
		}
		total += weight
		l.values[k], l.upTo[k] = values[i], total
	}
	if total == 0 || math.IsInf(total, 1) {
		return nil, fmt.Errorf("empirical: the weights must add up to a finite number above 0, got %v", total)
	}
	l.settle(total)
	if err := finite("empirical", parameter{"mean", l.mean}, parameter{"sd", l.sd}); err != nil {
		return nil, err
	}
	return l, nil
}

// checkRecorded checks values and weights one by one.
func checkRecorded(values, weights []float64) error {
	switch {
	case len(values) == 0:
		return errors.New("empirical: needs at least one value")
	case len(values) > empiricalMax:
		return fmt.Errorf("empirical: at most %d values, got %d", empiricalMax, len(values))
	case weights != nil && len(weights) != len(values):
		return fmt.Errorf("empirical: needs one weight a value, got %d values and %d weights", len(values), len(weights))
	}
	for i, value := range values {
		if err := finite("empirical", parameter{fmt.Sprintf("value %d", i+1), value}); err != nil {
			return err
		}
		if weights == nil {
			continue
		}
		name := fmt.Sprintf("weight %d", i+1)
		if err := finite("empirical", parameter{name, weights[i]}); err != nil {
			return err
		}
		if weights[i] < 0 {
			return fmt.Errorf("empirical: %s cannot be negative, got %s", name, plain(weights[i]))
		}
	}
	return nil
}

// settle turns running weights into shares and takes the moments of the law,
// which is the whole population: the variance divides by the total weight.
func (l *empirical) settle(total float64) {
	last := len(l.upTo) - 1
	for k := range l.upTo {
		l.upTo[k] /= total
	}
	l.upTo[last] = 1
	l.mean = l.weigh(func(x float64) float64 { return x })
	variance := l.weigh(func(x float64) float64 { return (x - l.mean) * (x - l.mean) })
	l.sd = math.Sqrt(variance)
}

// weigh returns the weighted mean of f over the values.
func (l *empirical) weigh(f func(x float64) float64) float64 {
	sum, before := 0.0, 0.0
	for k, x := range l.values {
		sum += float64(f(x) * (l.upTo[k] - before))
		before = l.upTo[k]
	}
	return sum
}

// Quantile returns the least value with at least the share u at or below it.
func (l empirical) Quantile(u float64) float64 {
	return l.values[sort.SearchFloat64s(l.upTo, u)]
}

func (l empirical) Mean() float64 { return l.mean }
func (l empirical) SD() float64   { return l.sd }
func (l empirical) Min() float64  { return l.values[0] }
func (l empirical) Max() float64  { return l.values[len(l.values)-1] }

// String spells the law by its size, mean and ends; the values are in their file.
func (l empirical) String() string {
	return spell("empirical", parameter{"values", float64(len(l.values))},
		parameter{"mean", l.mean}, parameter{"min", l.Min()}, parameter{"max", l.Max()})
}

// EmpiricalCSV reads one column of a table, as ColumnCSV does, and returns the
// empirical law of its numbers, equally weighted.
func EmpiricalCSV(r io.Reader, column string) (Law, error) {
	values, err := ColumnCSV(r, column)
	if err != nil {
		return nil, err
	}
	return Empirical(values, nil)
}

// ColumnCSV reads the numbers of one named column of a comma-separated table
// with a heading line, in the order of the rows. Every row must hold a number
// in that column: a gap in a record should be seen, not skipped. Faults name
// the line.
func ColumnCSV(r io.Reader, column string) ([]float64, error) {
	table := csv.NewReader(r)
	table.ReuseRecord = true
	table.TrimLeadingSpace = true
	heading, err := table.Read()
	if errors.Is(err, io.EOF) {
		return nil, errors.New("empirical: the table is empty, expected a heading line")
	}
	if err != nil {
		return nil, fmt.Errorf("empirical: %w", err)
	}
	at := columnIndex(heading, column)
	if at < 0 {
		return nil, fmt.Errorf("empirical: no column %q in the heading, which has %q", column, heading)
	}
	return readColumn(table, at, column)
}

// columnIndex finds a column by its heading, or gives -1. Spreadsheets put a
// byte order mark before the first heading.
func columnIndex(heading []string, column string) int {
	return slices.IndexFunc(heading, func(name string) bool {
		return strings.TrimSpace(strings.TrimPrefix(name, "\ufeff")) == column
	})
}

// readColumn reads the numbers of one column to the end of the table.
func readColumn(table *csv.Reader, at int, column string) ([]float64, error) {
	var values []float64
	for {
		row, err := table.Read()
		if errors.Is(err, io.EOF) {
			return values, nil
		}
		if err != nil {
			return nil, fmt.Errorf("empirical: %w", err)
		}
		value, err := strconv.ParseFloat(strings.TrimSpace(row[at]), 64)
		if err != nil || math.IsNaN(value) || math.IsInf(value, 0) {
			line, _ := table.FieldPos(at)
			return nil, fmt.Errorf("empirical: line %d, column %q: %q is not a number", line, column, row[at])
		}
		if values = append(values, value); len(values) > empiricalMax {
			return nil, fmt.Errorf("empirical: at most %d rows", empiricalMax)
		}
	}
}
