package plant

import (
	"math"

	"potbank/internal/des"
)

// Touches are the times for which a bench needs its casters, at the pace of
// their crew: those of the file divided by its effective time, rounded once,
// halves to even. Build, set and dry-back pass by themselves and have no pace.
type Touches struct {
	Fill, Drain, Clean des.Time
	turn               float64 // ms from one piece opened to the next
	pace               float64
}

// Touches returns the touches of a bench.
func (p *Plant) Touches(b *Bench) Touches {
	t := Touches{pace: 1}
	if c := p.crewNamed(b.Crew); c != nil && c.Effective > 0 {
		t.pace = 1 / float64(c.Effective)
	}
	t.Fill, t.Drain, t.Clean = t.of(b.Fill), t.of(b.Drain), t.of(b.Clean)
	t.turn = float64(b.Open) / float64(max(1, b.Casters)) * t.pace
	return t
}

// of is any other touch.
func (t *Touches) of(span des.Time) des.Time { return stretched(float64(span), t.pace) }

// Open is the time from the beginning of the opening until so many pieces are out.
func (t *Touches) Open(pieces int) des.Time {
	return des.Time(math.RoundToEven(float64(t.turn * float64(pieces))))
}
