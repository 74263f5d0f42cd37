package random

import "fmt"

// Overdispersed describes scrap that comes in bad batches: each kiln car or
// batch has a probability of its own, drawn from a beta law, and its pieces are
// lost independently with that probability. The number lost in a batch is then
// beta-binomial.
//
// Source: J. G. Skellam, J. R. Stat. Soc. B 10, 1948. With mean p, correlation
// rho between two pieces of a batch, and m pieces, the number lost has variance
// m p (1-p) (1 + (m-1) rho): the binomial one times an inflation.
type Overdispersed struct {
	mean, correlation float64
	share             Law
}

// NewOverdispersed returns scrap with the given mean probability, from 0 to 1,
// and intraclass correlation: 0 for independent pieces, 1 for batches lost or
// saved whole. Correlations so close to 0 or 1 that the batches' law can no
// longer be inverted are refused.
func NewOverdispersed(mean, correlation float64) (Overdispersed, error) {
	p, rho := parameter{"mean", mean}, parameter{"correlation", correlation}
	for _, v := range []parameter{p, rho} {
		if !(v.value >= 0 && v.value <= 1) {
			return Overdispersed{}, fmt.Errorf("overdispersed: %s must lie between 0 and 1, got %s", v.name, plain(v.value))
		}
	}
	o := Overdispersed{mean: mean, correlation: correlation}
	if mean == 0 || mean == 1 || correlation == 0 || correlation == 1 {
		return o, nil
	}
	// A beta law with exponents a, b has rho = 1/(a+b+1).
	weight := (1 - correlation) / correlation
	share, err := Beta(mean*weight, (1-mean)*weight, 0, 1)
	if err != nil {
		return Overdispersed{}, fmt.Errorf("overdispersed: mean %s with correlation %s: %w", plain(mean), plain(correlation), err)
	}
	o.share = share
	return o, nil
}

// Mean returns the probability that a piece is lost, all batches together.
func (o Overdispersed) Mean() float64 { return o.mean }

// Correlation returns the intraclass correlation.
func (o Overdispersed) Correlation() float64 { return o.correlation }

// Share returns a batch's own probability of losing a piece from one uniform
// drawn for the batch. A larger uniform never gives a smaller probability.
func (o Overdispersed) Share(uBatch float64) float64 {
	switch {
	case o.share != nil:
		return o.share.Quantile(uBatch)
	case o.correlation == 1 && uBatch > 1-o.mean:
		return 1
	case o.correlation == 1:
		return 0
	}
	return o.mean
}
