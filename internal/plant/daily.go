package plant

import "potbank/internal/des"

// daily counts by day what the book counts by week. It is kept only when asked
// for: a promise of a date needs days, a year of a works does not.
type daily struct {
	wares int
	days  [][]DayCount
}

// at is the count of one ware on the day of an instant; nil if none is kept.
func (d *daily) at(now des.Time, ware int32) *DayCount {
	d.upTo(int(now / des.Day))
	return &d.days[now/des.Day][ware]
}

// upTo makes room for a day.
func (d *daily) upTo(day int) {
	for len(d.days) <= day {
		d.days = append(d.days, make([]DayCount, d.wares))
	}
}

// result is the counts of all days of the run.
func (d *daily) result(end des.Time) [][]DayCount {
	if d == nil {
		return nil
	}
	d.upTo(int((end - 1) / des.Day))
	return d.days
}
