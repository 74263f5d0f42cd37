package decision

import (
	"math"
	"sort"

	"potbank/internal/stats"
)

// A Batch is an order cast at once: how many casts give so many good pieces,
// and with what probability. Pieces fail alone, or whole cars of them together,
// and the yield is known, or one of several that are as likely.
type Batch struct {
	Quantity int
	Yields   []float64 // good pieces of one cast; one: known; several: as likely each
	// Inflation is by how much the variance of the good pieces of a known yield
	// exceeds that of pieces that fail alone; 1 or 0: they do. See Clustered.
	Inflation float64
}

// Clustered is the factor on the variance of a count whose trials come in
// clusters of m with an intraclass correlation: 1 + (m-1) rho (Kish, Survey
// Sampling, section 5.4).
func Clustered(m int, rho float64) float64 { return 1 + float64(float64(m-1)*rho) }

// Enough is the probability that so many casts give the quantity. Without
// clusters it is exact; with them it is normal with a correction for
// continuity, as a beta-binomial count of many clusters is.
func (b Batch) Enough(casts int) float64 {
	sum := 0.0
	for _, y := range b.Yields {
		if b.Inflation <= 1 {
			sum += stats.BinomialAtLeast(b.Quantity, casts, y)
			continue
		}
		mean, sd := float64(float64(casts)*y), math.Sqrt(float64(casts)*y*(1-y)*b.Inflation)
		sum += stats.NormalAtMost((mean - float64(b.Quantity) + 0.5) / sd)
	}
	return sum / float64(len(b.Yields))
}

// Casts is the least number of casts that give the quantity with a probability
// of at least service.
func (b Batch) Casts(service float64) int {
	least := math.Inf(1)
	for _, y := range b.Yields {
		least = min(least, y)
	}
	if least <= 0 {
		return 0
	}
	// Twice what the worst yield needs is always enough, but for tiny orders.
	most := 64 + 2*int(math.Ceil(float64(b.Quantity)/least))
	return b.Quantity + sort.Search(most, func(k int) bool { return b.Enough(b.Quantity+k) >= service })
}

// Mean is the casts that give the quantity on average.
func (b Batch) Mean() float64 {
	sum := 0.0
	for _, y := range b.Yields {
		sum += float64(b.Quantity) / y
	}
	return sum / float64(len(b.Yields))
}

// NormalCasts is the casts in the normal form, for a pencil: with
// x = (z sqrt(1-Y) + sqrt(z^2 (1-Y) + 4Q)) / 2 they are x^2 / Y, where z is the
// normal quantile of the service times the root of the inflation.
func NormalCasts(quantity int, yield, service, inflation float64) float64 {
	z := stats.NormalQuantile(service) * math.Sqrt(inflation)
	x := (float64(z*math.Sqrt(1-yield)) + math.Sqrt(float64(z*z*(1-yield))+float64(4*quantity))) / 2
	return x * x / yield
}

// CountedCasts is the casts that a yield counted on so many pieces asks for, its
// own doubt alone: Q / (Y - z sd(Y)) with sd(Y) = sqrt(Y (1-Y) / n).
func CountedCasts(quantity int, yield float64, pieces int, service float64) float64 {
	sd := math.Sqrt(yield * (1 - yield) / float64(pieces))
	return float64(quantity) / (yield - float64(stats.NormalQuantile(service)*sd))
}
