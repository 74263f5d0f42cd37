package calendar_test

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"potbank/internal/calendar"
	"potbank/internal/des"
)

// nextMorning is 09:20 on the next day, in tens of minutes after midnight.
const nextMorning = 200

// drawPattern draws the text of a week: for each day up to three shifts on a
// grid of ten minutes, the last of which may run into the next day, to latest.
func drawPattern(t *rapid.T, latest int) calendar.Pattern {
	var groups []string
	for _, day := range []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"} {
		ends := rapid.SliceOfNDistinct(rapid.IntRange(0, latest), 0, 6, rapid.ID[int]).Draw(t, day)
		slices.Sort(ends)
		group := day
		for i := 0; i+1 < len(ends); i += 2 {
			from, to := ends[i], ends[i+1]
			if from >= 144 || to-from >= 144 { // starts on the next day, or is not less than a day long
				continue
			}
			group += fmt.Sprintf(" %s-%s", clock(from), clock(to))
		}
		if group != day {
			groups = append(groups, group)
		}
	}
	text := strings.Join(groups, ", ")
	if text == "" {
		text = "never"
	}
	p, err := calendar.ParsePattern(text)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return p
}

// clock prints a number of ten minutes after midnight.
func clock(tens int) string {
	if tens > 144 {
		tens -= 144
	}
	return fmt.Sprintf("%02d:%d0", tens/6, tens%6)
}

// drawClock draws a start in 2026 to 2028 in a zone with summer time, one with
// a half-hour change, one south of the equator, or none.
func drawClock(t *rapid.T) calendar.Clock {
	zone := rapid.SampledFrom([]string{"UTC", "Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Kolkata"}).Draw(t, "zone")
	location, err := calendar.LoadZone(zone)
	if err != nil {
		t.Fatal(err)
	}
	minutes := rapid.IntRange(0, 2*365*24*60).Draw(t, "start")
	return calendar.NewClock(time.Date(2026, 1, 1, 0, minutes, 0, 0, location))
}

// drawPlan draws patterns, closures and extra shifts.
func drawPlan(t *rapid.T) calendar.Plan {
	day := rapid.Custom(func(t *rapid.T) calendar.Dates {
		first := calendar.NewDate(2026, 1, 1) + calendar.Date(rapid.IntRange(0, 3*365).Draw(t, "first"))
		return calendar.Dates{First: first, Last: first + calendar.Date(rapid.IntRange(0, 20).Draw(t, "more"))}
	})
	plan := calendar.Plan{
		Closed:   rapid.SliceOfN(day, 0, 4).Draw(t, "closed"),
		Holidays: rapid.SliceOfN(day, 0, 4).Draw(t, "holidays"),
		From:     calendar.Date(rapid.IntRange(0, 30_000).Draw(t, "from")),
	}
	for range rapid.IntRange(0, 3).Draw(t, "weeks") {
		plan.Weeks = append(plan.Weeks, drawPattern(t, nextMorning))
	}
	for _, d := range rapid.SliceOfN(day, 0, 3).Draw(t, "extra") {
		extra, err := calendar.ParseExtra(d.First.String() + " 22:00-06:00")
		if err != nil {
			t.Fatal(err)
		}
		plan.Extra = append(plan.Extra, extra)
	}
	return plan
}

// open lays a plan over a clock.
func open(t *rapid.T, p calendar.Plan, c calendar.Clock, length des.Time) *des.Hours {
	h, err := p.Hours(c, length)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// Intervals are in order, not empty, apart from one another, and within the
// length.
func TestHoursAreInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := des.Time(rapid.Int64Range(0, int64(400*des.Day)).Draw(t, "length"))
		end := des.Time(-1)
		for _, i := range open(t, drawPlan(t), drawClock(t), length).Intervals() {
			if i.Open <= end || i.Close <= i.Open || i.Close > length {
				t.Fatalf("interval %v follows %v in a length of %v", i, end, length)
			}
			end = i.Close
		}
	})
}

// Working out when a job ends, and from that when it began, gives the instant
// at which it began.
func TestAddThenSubtractWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := open(t, drawPlan(t), drawClock(t), 100*des.Day)
		intervals := h.Intervals()
		if len(intervals) == 0 {
			return
		}
		i := rapid.SampledFrom(intervals).Draw(t, "interval")
		at := i.Open + des.Time(rapid.Int64Range(0, int64(i.Len()-1)).Draw(t, "at"))
		work := des.Time(rapid.Int64Range(0, int64(h.OpenBetween(at, des.Never))).Draw(t, "work"))
		end := h.AddWork(at, work)
		if got := h.OpenBetween(at, end); got != work {
			t.Fatalf("%v of work from %v ends at %v, which is %v later", work, at, end, got)
		}
		if got, ok := calendar.SubtractWork(h, end, work); !ok || got != at {
			t.Fatalf("%v of work from %v ends at %v; back from there it begins at %v, %v", work, at, end, got, ok)
		}
		if got, ok := calendar.SubtractWork(h, end, h.OpenBetween(0, end)+1); ok {
			t.Fatalf("more work than there is before %v begins at %v", end, got)
		}
	})
}

// A rotation of identical weeks is that week.
func TestRotationOfIdenticalWeeks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		week, c := drawPattern(t, nextMorning), drawClock(t)
		once := calendar.Plan{Weeks: []calendar.Pattern{week}}
		often := calendar.Plan{Weeks: slices.Repeat([]calendar.Pattern{week}, rapid.IntRange(2, 5).Draw(t, "weeks"))}
		a, b := open(t, once, c, 60*des.Day), open(t, often, c, 60*des.Day)
		if !slices.Equal(a.Intervals(), b.Intervals()) {
			t.Fatalf("%v once gives %v, in rotation %v", week, a.Intervals(), b.Intervals())
		}
	})
}

// Without clock changes and dated exceptions, a start one week later sees the
// same hours.
func TestStartOneWeekLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plan := calendar.Plan{Weeks: []calendar.Pattern{drawPattern(t, nextMorning)}}
		start := time.Date(2026, 1, 1, 0, rapid.IntRange(0, 365*24*60).Draw(t, "start"), 0, 0, time.UTC)
		a := open(t, plan, calendar.NewClock(start), 60*des.Day)
		b := open(t, plan, calendar.NewClock(start.AddDate(0, 0, 7)), 60*des.Day)
		if !slices.Equal(a.Intervals(), b.Intervals()) {
			t.Fatalf("%v from %v gives %v, a week later %v", plan.Weeks, start, a.Intervals(), b.Intervals())
		}
	})
}

// A week without clock change and without night shifts, which could overlap the
// next day's, is open for as long as its pattern says.
func TestPatternMinutes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		week := drawPattern(t, 144)
		c := calendar.NewClock(time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC))
		h := open(t, calendar.Plan{Weeks: []calendar.Pattern{week}}, c, 3*des.Week)
		if got, want := h.OpenBetween(des.Week, 2*des.Week), des.Time(week.Minutes())*des.Minute; got != want {
			t.Fatalf("%v is open %v a week, want %v", week, got, want)
		}
	})
}

// Printing a pattern and reading it back gives the same pattern.
func TestPatternRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		week := drawPattern(t, nextMorning)
		again, err := calendar.ParsePattern(week.String())
		if err != nil || !reflect.DeepEqual(again, week) {
			t.Fatalf("%v reads back as %v, %v", week, again, err)
		}
	})
}

// Union, Intersect and Minus agree with asking at every instant at which
// anything changes.
func TestAlgebra(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawClock(t)
		a, b := open(t, drawPlan(t), c, 30*des.Day), open(t, drawPlan(t), c, 30*des.Day)
		union, both, left := calendar.Union(a, b), calendar.Intersect(a, b), calendar.Minus(a, b)
		for _, h := range []*des.Hours{a, b, union, both, left} {
			for _, i := range h.Intervals() {
				for _, at := range []des.Time{i.Open, i.Open - 1, i.Close, i.Close - 1} {
					inA, inB := a.IsOpen(at), b.IsOpen(at)
					if union.IsOpen(at) != (inA || inB) || both.IsOpen(at) != (inA && inB) || left.IsOpen(at) != (inA && !inB) {
						t.Fatalf("at %v a is open: %v, b: %v, union: %v, intersection: %v, difference: %v",
							at, inA, inB, union.IsOpen(at), both.IsOpen(at), left.IsOpen(at))
					}
				}
			}
		}
	})
}

// WorkingDays agrees with looking at every date by itself.
func TestWorkingDaysByDate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawClock(t)
		h := open(t, drawPlan(t), c, 40*des.Day)
		a := des.Time(rapid.Int64Range(0, int64(20*des.Day)).Draw(t, "a"))
		b := a + des.Time(rapid.Int64Range(0, int64(20*des.Day)).Draw(t, "more"))
		want := 0
		for from := a; from < b; {
			// The next date begins at the first midnight of the wall clock.
			civil := c.Civil(from)
			to := min(b, c.Tick(time.Date(civil.Year(), civil.Month(), civil.Day()+1, 0, 0, 0, 0, civil.Location())))
			if h.OpenBetween(from, to) > 0 {
				want++
			}
			from = to
		}
		if got := calendar.WorkingDays(h, c, a, b); got != want {
			t.Fatalf("%v to %v has %d working days, want %d", a, b, got, want)
		}
	})
}

// Simulated time to civil time and back is the identity, and civil time moves
// on at the pace of simulated time.
func TestClockRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawClock(t)
		at := des.Time(rapid.Int64Range(0, int64(50*365*des.Day)).Draw(t, "at"))
		if got := c.Tick(c.Civil(at)); got != at {
			t.Fatalf("%v comes back as %v", at, got)
		}
		if got := c.Civil(at).Sub(c.Civil(0)).Milliseconds(); got != int64(at) {
			t.Fatalf("%v is %d ms by the wall clock", at, got)
		}
	})
}

// BenchmarkHours lays a plan of three shifts a day over ten years.
func BenchmarkHours(b *testing.B) {
	p, err := calendar.ParsePattern("Mon-Fri 06:00-13:30 14:00-21:30 22:00-05:30")
	if err != nil {
		b.Fatal(err)
	}
	plan, c := calendar.Plan{Weeks: []calendar.Pattern{p}}, clockAt(b, "2027-01-04", "Europe/Berlin")
	for b.Loop() {
		if _, err := plan.Hours(c, 3652*des.Day); err != nil {
			b.Fatal(err)
		}
	}
}
