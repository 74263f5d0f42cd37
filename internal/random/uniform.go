package random

import (
	"fmt"
	"math"
)

// uniform is the continuous uniform law on [min, max].
type uniform struct{ min, max float64 }

// Uniform returns the law under which every value from min to max is equally
// likely. Equal bounds give a constant.
func Uniform(min, max float64) (Law, error) {
	err := finite("uniform", parameter{"min", min}, parameter{"max", max}, parameter{"range", max - min})
	if err != nil {
		return nil, err
	}
	switch {
	case min > max:
		return nil, fmt.Errorf("uniform takes min, then max: %s is above %s", plain(min), plain(max))
	case min == max:
		return constant{min}, nil
	}
	return uniform{min, max}, nil
}

// Quantile cuts off the last digit by which the rounded sum may pass max.
func (l uniform) Quantile(u float64) float64 {
	return min(l.min+float64(u*(l.max-l.min)), l.max)
}

func (l uniform) Mean() float64 { return float64(l.min/2) + float64(l.max/2) }
func (l uniform) SD() float64   { return (l.max - l.min) / math.Sqrt(12) }
func (l uniform) Min() float64  { return l.min }
func (l uniform) Max() float64  { return l.max }

func (l uniform) String() string {
	return spell("uniform", parameter{"min", l.min}, parameter{"max", l.max})
}
