package effort

import (
	"fmt"
	"math"
	"time"

	"potbank/internal/quantity"
)

// Study is what is asked of the machine.
type Study struct {
	Shape       string // in words, e.g. "8 options x 3 futures x 40 runs of 52 weeks"
	Least, Most int    // replications of all works together
	Ledger      bool   // each is kept in a ledger
	Known       int    // of these, there already
	Workers     int    // simulated at once
	Cores       int    // on which they really are; at most Workers
	Shared      bool   // the cores are those of whatever machines join
	Kept        int64  // bytes that stay in memory of each replication taken
}

// Estimate is what a study takes, by a rate that was measured: good to a third
// on a quiet machine, and never so good that it should decide anything else.
type Estimate struct {
	Study
	One         time.Duration // one replication on one core
	Least, Most time.Duration // from the beginning to the end
	Work        time.Duration // of all cores, at most
	Events      float64       // at most
	Memory      int64         // bytes, at most
	Grows       int64         // bytes that are added to the ledger at most
}

// Estimate reckons what the study takes.
func (s Study) Estimate(r Rate) Estimate {
	least, most := float64(max(0, s.Least-s.Known)), float64(max(0, s.Most-s.Known))
	e := Estimate{Study: s, One: r.Time, Work: times(most, r.Time), Events: most * r.Events}
	cores := float64(max(1, min(s.Cores, s.Workers)))
	e.Least, e.Most = times(min(1, least)+max(0, least-1)/cores, r.Time), times(min(1, most)+max(0, most-1)/cores, r.Time)
	// A worker may be some replications ahead of a slow one, whose results wait.
	// Twice what is alive is what the collector lets grow before it sweeps.
	alive := float64(s.Most)*float64(s.Kept) + cores*float64(r.Memory) + float64(aheadPerWorker*s.Workers)*float64(r.Result)
	e.Memory = bytes(2*alive + base)
	if s.Ledger {
		e.Grows = bytes(most * float64(r.Stored))
	}
	return e
}

// Small tells, from the number of events of a replication by hand, that the study is
// done in seconds on any machine, so that it need not be measured.
func (s Study) Small(events float64) bool {
	const perEvent, seconds = time.Microsecond, 10 * time.Second
	work := times(events*float64(s.Most), perEvent)
	return work/time.Duration(max(1, min(s.Cores, s.Workers))) < seconds && float64(s.Most)*float64(s.Kept) < base
}

// aheadPerWorker is how many results wait for a slow one at most; see
// experiment's dispatcher.
const aheadPerWorker = 4

// base is what the program takes before it has simulated anything, bytes.
const base = 40e6

// times is a duration so many times, without overflow: the longest there is
// stands for all that is longer.
func times(n float64, d time.Duration) time.Duration {
	if product := n * float64(d); product < math.MaxInt64 {
		return time.Duration(product)
	}
	return math.MaxInt64
}

// bytes is a number of bytes without overflow.
func bytes(n float64) int64 {
	if n < math.MaxInt64 {
		return int64(n)
	}
	return math.MaxInt64
}

// Runs says how often something is run: "40 runs of 52 weeks", or "40 to 80 runs".
func Runs(least, most, weeks int) string {
	text := quantity.Grouped(float64(most), 0)
	if least < most {
		text = quantity.Grouped(float64(least), 0) + " to " + text
	}
	return fmt.Sprintf("%s runs of %d weeks", text, weeks)
}

// String says what the study takes in one line.
func (e Estimate) String() string {
	text := fmt.Sprintf("about %s on %s: %s", Span(e.Least, e.Most), processors(e.Cores), e.Shape)
	if e.Shared {
		text = fmt.Sprintf("about %s of processor time, on the machines that join: %s", Duration(e.Work), e.Shape)
	}
	if e.Known > 0 {
		text += fmt.Sprintf(", less %d that the ledger has", e.Known)
	}
	if e.Grows > 0 {
		text += fmt.Sprintf("; up to %s in the ledger", Bytes(e.Grows))
	}
	return text
}

func processors(n int) string {
	if n <= 1 {
		return "1 processor"
	}
	return fmt.Sprintf("%d processors", n)
}

// Span says a time that is not known exactly, e.g. "3 to 6 min".
func Span(least, most time.Duration) string {
	low, unit := split(least)
	high, of := split(most)
	switch {
	case low == high && unit == of:
		return high + " " + of
	case unit == of:
		return low + " to " + high + " " + of
	}
	return low + " " + unit + " to " + high + " " + of
}

// Duration says a time as people do, to two digits: "3 min", "1.5 years".
func Duration(d time.Duration) string {
	n, unit := split(d)
	return n + " " + unit
}

// split gives the number and the unit of a time.
func split(d time.Duration) (number, unit string) {
	for _, u := range []struct {
		name string
		upTo float64 // of the unit
		of   time.Duration
	}{
		{"ms", 995, time.Millisecond}, {"s", 59.5, time.Second}, {"min", 99, time.Minute}, {"h", 72, time.Hour}, {"days", 700, 24 * time.Hour},
	} {
		if n := float64(d) / float64(u.of); n < u.upTo {
			return digits(n), u.name
		}
	}
	return digits(d.Hours() / 24 / 365.25), "years"
}

// digits is a number to two digits.
func digits(n float64) string {
	switch {
	case n >= 100:
		step := math.Pow(10, math.Floor(math.Log10(n))-1)
		return quantity.Grouped(math.Round(n/step)*step, 0)
	case n >= 9.95:
		return quantity.Grouped(n, 0)
	}
	return fmt.Sprintf("%.2g", n)
}

// Bytes says a size, e.g. "1.2 GB": powers of 1,000.
func Bytes(n int64) string {
	size := float64(n)
	for _, unit := range []string{"bytes", "kB", "MB", "GB", "TB"} {
		if size < 999.5 {
			return digits(size) + " " + unit
		}
		size /= 1000
	}
	return digits(size) + " PB"
}
