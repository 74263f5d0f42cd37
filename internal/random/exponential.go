package random

// exponential is the law of memoryless waiting: time to the next breakdown of a
// machine that does not age.
type exponential struct{ mean float64 }

// Exponential returns the law with the given mean, above zero. Its standard
// deviation equals the mean.
func Exponential(mean float64) (Law, error) {
	if err := positive("exponential", parameter{"mean", mean}); err != nil {
		return nil, err
	}
	return exponential{mean}, nil
}

// Quantile is written from the mean; distuv keeps a rate and would round twice.
func (l exponential) Quantile(u float64) float64 { return float64(-l.mean * ln(1-u)) }

func (l exponential) Mean() float64 { return l.mean }
func (l exponential) SD() float64   { return l.mean }
func (l exponential) Min() float64  { return 0 }
func (l exponential) Max() float64  { return unbounded }

func (l exponential) String() string { return spell("exponential", parameter{"mean", l.mean}) }
