package random

import (
	"fmt"
	"math"
)

// triangular is the triangular law with its three corners.
type triangular struct {
	least, likely, greatest float64
	// turn is the probability of a value below the most likely one, where the
	// quantile changes branch.
	turn float64
	// rise and fall scale the square roots of the two branches.
	rise, fall float64
}

// Triangular returns the law of a guess in three numbers: the least, the most
// likely and the greatest value. Three equal numbers give a constant.
func Triangular(least, likely, greatest float64) (Law, error) {
	if err := threePoints("triangular", least, likely, greatest); err != nil {
		return nil, err
	}
	if least == greatest {
		return constant{likely}, nil
	}
	width := greatest - least
	return triangular{
		least: least, likely: likely, greatest: greatest,
		turn: (likely - least) / width,
		// Two roots, not the root of a product, which could overflow.
		rise: math.Sqrt(width) * math.Sqrt(likely-least),
		fall: math.Sqrt(width) * math.Sqrt(greatest-likely),
	}, nil
}

// threePoints checks a guess in three numbers.
func threePoints(law string, least, likely, greatest float64) error {
	err := finite(law, parameter{"least", least}, parameter{"most likely", likely},
		parameter{"greatest", greatest}, parameter{"range", greatest - least})
	if err != nil {
		return err
	}
	if least > likely || likely > greatest {
		return fmt.Errorf("%s takes least, most likely, greatest in that order, got %s, %s, %s",
			law, plain(least), plain(likely), plain(greatest))
	}
	return nil
}

// Quantile inverts the two parabolas of the distribution function, each from
// its own corner so that neither loses digits there.
func (l triangular) Quantile(u float64) float64 {
	if u < l.turn {
		return l.least + float64(l.rise*math.Sqrt(u))
	}
	return l.greatest - float64(l.fall*math.Sqrt(1-u))
}

func (l triangular) Mean() float64 { return (l.least + l.likely + l.greatest) / 3 }

// SD uses the two sides measured from the most likely value, which unlike the
// textbook sum of squares cannot cancel.
func (l triangular) SD() float64 {
	left, right := l.likely-l.least, l.greatest-l.likely
	return math.Sqrt((float64(left*left) + float64(left*right) + float64(right*right)) / 18)
}

func (l triangular) Min() float64 { return l.least }
func (l triangular) Max() float64 { return l.greatest }

func (l triangular) String() string {
	return spell("triangular", parameter{"least", l.least}, parameter{"likely", l.likely},
		parameter{"greatest", l.greatest})
}
