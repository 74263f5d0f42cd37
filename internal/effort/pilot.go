package effort

import (
	"runtime"
	"time"

	"potbank/internal/ledger"
	"potbank/internal/plant"
)

// Rate is what one replication of a works takes.
type Rate struct {
	Events float64
	Time   time.Duration // of one core
	Memory int64         // bytes held while it runs
	Result int64         // bytes of its result in memory
	Stored int64         // bytes of its result in a ledger
}

// Of a pilot: weeks of its first run, and how long its second may take about.
const (
	pilotWeeks = 2
	pilotTime  = 250 * time.Millisecond
)

// Pilot runs the works for some weeks, twice, and reckons from the two what a
// whole replication takes. A works starts empty, so that its first weeks are
// quick: what the later ones take is the difference of the two runs.
//
// The ledger is not asked, and nothing of the pilot is kept. An error is that of
// the works, which whatever is asked of it will meet as well.
func Pilot(p *plant.Plant, o plant.Options, now func() time.Time) (Rate, error) {
	whole := o.Weeks
	if whole == 0 {
		whole = p.Weeks()
	}
	p = p.Recalling(nil)
	weeks := min(pilotWeeks, whole)
	short, done, err := Time(p, o, weeks, now)
	if err != nil || weeks == whole || done < weeks {
		return short, err
	}
	more := whole
	if short.Time > 0 {
		more = int(min(float64(whole), float64(weeks)*float64(pilotTime)/float64(short.Time)))
	}
	if more < 2*weeks && more < whole {
		return short.grown(float64(whole) / float64(weeks)), nil
	}
	long, done, err := Time(p, o, more, now)
	if err != nil || done < more {
		return long, err
	}
	return between(short, long, float64(whole-weeks)/float64(more-weeks)), nil
}

// Time runs so many weeks once and says what that took. A run until orders are done
// may be done in fewer.
func Time(p *plant.Plant, o plant.Options, weeks int, now func() time.Time) (rate Rate, done int, err error) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	o.Weeks = weeks
	stopped, held := o.Stopped, uint64(0)
	o.Stopped = func() bool {
		runtime.ReadMemStats(&after) // the works is still laid out
		held = max(held, after.HeapAlloc)
		return stopped != nil && stopped()
	}
	start := now()
	r, err := p.Simulate(o)
	if err != nil {
		return Rate{}, 0, err
	}
	rate = Rate{Time: now().Sub(start), Events: float64(r.Events), Stored: ledger.Stored(r)}
	if held > before.HeapAlloc {
		rate.Memory = int64(held - before.HeapAlloc)
	}
	for _, week := range r.Week {
		rate.Result += int64(8 * len(week))
	}
	return rate, len(r.Week), nil
}

// grown is a rate so many times as large; what runs does not grow once it is
// full, and is full soon.
func (r Rate) grown(by float64) Rate {
	return Rate{
		Events: r.Events * by, Time: times(by, r.Time), Memory: r.Memory,
		Result: int64(float64(r.Result) * by), Stored: int64(float64(r.Stored) * by),
	}
}

// between draws a line through two rates, and follows it to so many times their
// distance. It never falls: a machine that was busy during the first run says
// nothing else of the second.
func between(short, long Rate, by float64) Rate {
	on := func(a, b float64) float64 { return max(b, a+(b-a)*by) }
	return Rate{
		Events: on(short.Events, long.Events),
		Time:   time.Duration(on(float64(short.Time), float64(long.Time))),
		Memory: max(short.Memory, long.Memory),
		Result: int64(on(float64(short.Result), float64(long.Result))),
		Stored: int64(on(float64(short.Stored), float64(long.Stored))),
	}
}
