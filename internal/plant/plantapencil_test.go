package plant_test

import (
	"math"
	"slices"
	"testing"

	"potbank/internal/des"
)

// A pencil line of punching: pans leave their moulds at given times, each is
// open 3 h later and closed 6.5 h later, and some places take them in turn, 5
// minutes each.
type pencil struct {
	out  []des.Time       // demouldings, in order
	free []des.Time       // when each place begins
	shut [2][2]des.Time   // spans in which no punching begins
	late int              // ended after the window
	over int              // begun after the window
	by   map[des.Time]int // ended by a time of the day
	last des.Time         // end of the last
}

const punchTime = 5 * des.Minute

// work goes through the day piece by piece.
func (l *pencil) work(by ...des.Time) {
	l.by = map[des.Time]int{}
	free := slices.Clone(l.free)
	for _, out := range l.out {
		slices.Sort(free)
		begin := max(free[0], out+windowOpens)
		for _, s := range l.shut {
			if begin >= s[0] && begin < s[1] {
				begin = s[1]
			}
		}
		end := begin + punchTime
		free[0] = end
		if begin > out+windowCloses {
			l.over++
		}
		if end > out+windowCloses {
			l.late++
		}
		for _, t := range by {
			if end <= t {
				l.by[t]++
			}
		}
		l.last = max(l.last, end)
	}
}

func clock(h, m int) des.Time { return des.Time(h)*des.Hour + des.Time(m)*des.Minute }

// TestWindowByPencil repeats the hand calculation's piece-by-piece count: 617 pans
// demoulded evenly from 09:50 to 12:00, places that begin at 12:50 and never
// pause.
func TestWindowByPencil(t *testing.T) {
	for _, tt := range []struct {
		places, late, over int
		last               des.Time
	}{
		// source: Plant A hand calculation, line 19.4-people
		{8, 121, 105, clock(19, 20)},
		{9, 14, 5, clock(18, 36)},
		{10, 0, 0, clock(18, 1)},
	} {
		l := pencil{}
		for k := range 617 {
			l.out = append(l.out, clock(9, 50)+des.Time(k)*130*des.Minute/617)
		}
		for range tt.places {
			l.free = append(l.free, clock(12, 50))
		}
		l.work()
		if l.late != tt.late || l.over != tt.over || (l.last+30*des.Second)/des.Minute != tt.last/des.Minute {
			t.Errorf("%d places: %d end late, %d begin late, last at %v; by hand %d, %d and %v", tt.places, l.late, l.over, l.last, tt.late, tt.over, tt.last)
		}
	}
}

// realDay is the same count with what that one leaves out and the model
// has: 16 benches that each give a pan every 3.25 minutes, the first at
// 09:53:15; 38.5 pans on a bench; places that begin when hands come free of the
// job they have in hand; no punching begun that would not be half done when the
// day shift ends or the break of 18:30 to 19:36 begins.
func realDay(starts []des.Time) *pencil {
	l := &pencil{free: starts, shut: [2][2]des.Time{
		{clock(14, 0) - punchTime/2 + 1, clock(14, 0)}, {clock(18, 30) - punchTime/2 + 1, clock(19, 36)},
	}}
	for k := range 617 {
		l.out = append(l.out, clock(9, 50)+des.Time(k/16+1)*195*des.Second)
	}
	half := clock(18, 30)
	l.work(half)
	return l
}

// TestWindowCountsExplained holds the simulated counts to the pencil count of
// the real day, so that what differs from the hand calculation is accounted for.
func TestWindowCountsExplained(t *testing.T) {
	for _, places := range []int{8, 9, 10} {
		if places < 10 && !everyVariant {
			continue
		}
		a := plantAVariant(t, map[int]string{8: "8 places", 9: "9 places", 10: ""}[places])
		p := &a.w.punching
		l := realDay(p.placesBegin(places))
		n := float64(len(p.days))
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"end late", float64(p.late) / n, float64(l.late)},
			{"begin late", float64(p.startLate) / n, float64(l.over)},
			{"done by 18:30", float64(p.by1830) / n, float64(l.by[clock(18, 30)])},
		} {
			if math.Abs(c.got-c.want) > 6 { // pans a day
				t.Errorf("%d places: %.1f pans a day %s, by pencil %.0f", places, c.got, c.what, c.want)
			}
		}
		if d := p.last - l.last; max(d, -d) > 10*des.Minute {
			t.Errorf("%d places: last punched at %v, by pencil %v", places, p.last, l.last)
		}
		told := a.measure("window.late.pan") / 100 * a.w.perDay("punched", "pan", "")
		if want := float64(p.late) / n; math.Abs(told-want) > 0.01 {
			t.Errorf("%d places: window.late.pan tells %.2f pans a day, %.2f were seen", places, told, want)
		}
		if p.outside > 0 {
			t.Errorf("%d places: %d pans punched before their window", places, p.outside)
		}
	}
}
