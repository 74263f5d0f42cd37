package plant

import (
	"math"

	"potbank/internal/des"
)

// air is the drying clock of the casting shop. Uncovered ware loses moisture
// at a rate set by temperature and humidity, covered ware at a fraction of it;
// the clock counts time at the open rate, so that a moisture becomes an
// instant by looking one number up.
type air struct {
	rate    float64 // points of moisture per hour, uncovered
	covered *des.Hours
	factor  int64 // of covered ware, in millionths
}

// newAir scales the drying rate by the vapour-pressure deficit of the shop
// against that of the reference air, 30 degC and 60 % (common practice: the
// constant-rate period follows the deficit).
func newAir(s *CastingShop, covered *des.Hours) *air {
	reference := deficit(30, 0.60)
	return &air{
		rate:    float64(s.Rate) * deficit(float64(s.Temperature), float64(s.Humidity)) / reference,
		covered: covered,
		factor:  int64(math.RoundToEven(float64(s.CoverFactor) * perMS)),
	}
}

// deficit is the vapour-pressure deficit of air in Pa.
func deficit(celsius, humidity float64) float64 { return saturation(celsius) * (1 - humidity) }

// saturation is the pressure of saturated water vapour over liquid water in
// Pa, from 0 to 200 degC.
// Source: Hyland and Wexler 1983, as in ASHRAE Handbook - Fundamentals 2017,
// chapter 1, equation 6.
func saturation(celsius float64) float64 {
	t := celsius + 273.15
	return math.Exp(-5.8002206e3/t + 1.3914993 - float64(4.8640239e-2*t) + float64(4.1764768e-5*t*t) - float64(1.4452093e-8*t*t*t) + float64(6.5459673*math.Log(t)))
}

// perMS is the fineness of the drying clock: a millionth of a millisecond, so
// that its own rounding shows in no instant.
const perMS = 1_000_000

// clock is the drying clock at t, in millionths of a millisecond at the open rate.
func (a *air) clock(t des.Time) int64 {
	if a.covered == nil {
		return perMS * int64(t)
	}
	shut := int64(a.covered.OpenBetween(0, t))
	return perMS*(int64(t)-shut) + a.factor*shut
}

// after returns the instant at which ware that stands from t has dried for so
// many ms at the open rate, rounded once.
func (a *air) after(t des.Time, ms float64) des.Time {
	left := int64(math.RoundToEven(perMS * ms))
	for left > 0 {
		rate, end := int64(perMS), des.Never
		if a.covered != nil {
			if a.covered.IsOpen(t) {
				rate, end = a.factor, a.covered.NextClose(t)
			} else {
				end = a.covered.NextOpen(t)
			}
		}
		if rate > 0 && (end == des.Never || left <= rate*int64(end-t)) {
			return t + des.Time(nearest(left, rate))
		}
		if end == des.Never {
			return des.Never
		}
		left -= rate * int64(end-t)
		t = end
	}
	return t
}

// nearest divides positive whole numbers and rounds, halves to even.
func nearest(a, b int64) int64 {
	q, rest := a/b, a%b
	if 2*rest > b || 2*rest == b && q%2 == 1 {
		q++
	}
	return q
}

// drying is the time in ms at the open rate in which ware dries from one
// moisture to another, at a rate in points per hour.
func drying(from, to, rate float64) float64 {
	if from <= to {
		return 0
	}
	return min(float64((from-to)/rate)*float64(des.Hour), longest)
}

// longest is a time that outlasts any run: sixty years, in ms.
const longest = 60 * 366 * float64(des.Day)

// moisture of a piece at t, if it has stood on the floor since it left the
// mould, or since it came leather-hard from the dryer.
func (r *run) moisture(p *piece, t des.Time) float64 {
	return p.wet - float64(r.air.rate*float64(r.air.clock(t)-r.air.clock(p.out))/float64(perMS*des.Hour))
}

// span is when the window of a piece opens and closes that leaves its mould at
// a time and a moisture.
func (w *Window) span(a *air, out des.Time, wet float64) (opens, closes des.Time) {
	if w.Until > 0 {
		return out + w.After, out + w.Until
	}
	return a.after(out, drying(wet, float64(w.Opens), a.rate)), a.after(out, drying(wet, float64(w.Closes), a.rate))
}

// setWindow works out when the piece's window opens and closes.
func (r *run) setWindow(p *piece) {
	p.opens, p.closes = p.out, des.Never
	if w := r.wares[p.ware].in.Window; w != nil {
		p.opens, p.closes = w.span(r.air, p.out, p.wet)
	}
}

// tooDry tells whether a piece can no longer be punched.
func (r *run) tooDry(p *piece, t des.Time) bool {
	w := r.wares[p.ware].in.Window
	return w != nil && w.Until == 0 && w.TooDry == "scrap" && r.moisture(p, t) < float64(w.Refuse)
}

// judgeWindow books a punching that began and ended, early, late or in time,
// and adds the fault rate that bad timing costs. A piece is late when the
// punching ends below the closing; it tells whether it was.
func (r *run) judgeWindow(p *piece, began, ended des.Time) (late bool) {
	ware := &r.wares[p.ware]
	w := ware.in.Window
	if w == nil {
		return false
	}
	r.led.add(ware.punched, 1)
	switch {
	case began < p.opens:
		r.led.add(ware.early, 1)
		p.extra += w.Early.loss(r.moisture(p, began))
	case ended > p.closes:
		r.led.add(ware.late, 1)
		if w.Until > 0 {
			p.extra += w.LateBy.loss(ended - p.closes)
		} else {
			p.extra += w.Late.loss(r.moisture(p, ended))
		}
		return true
	}
	return false
}

// loss reads the curve at a moisture; beyond its ends it stays level.
func (c Curve) loss(at float64) float64 {
	return interpolate(len(c), at, func(k int) (float64, float64) { return float64(c[k].At), float64(c[k].Loss) })
}

// loss reads the curve at a time.
func (c TimeCurve) loss(at des.Time) float64 {
	return interpolate(len(c), float64(at), func(k int) (float64, float64) { return float64(c[k].At), float64(c[k].Loss) })
}

// interpolate reads a curve of n points, in order along the axis either way.
func interpolate(n int, at float64, point func(k int) (x, y float64)) float64 {
	if n == 0 {
		return 0
	}
	x0, y0 := point(0)
	last, _ := point(n - 1)
	up := last >= x0
	for k := 0; k < n; k++ {
		x, y := point(k)
		if up && at <= x || !up && at >= x {
			if x == x0 {
				return y
			}
			return y0 + (y-y0)*(at-x0)/(x-x0)
		}
		x0, y0 = x, y
	}
	return y0
}
