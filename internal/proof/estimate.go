package proof

import (
	"math"

	"potbank/internal/stats"
)

// A sample is what one replication of a random model yields.
type sample struct {
	values []float64 // in the order of the figures asked for
	// controls are sums that the model knows to have mean 0: by how much the
	// draws deviated from what was to be expected. They may be weighted by what
	// the draw could not know, such as the queue that stood when a customer drew
	// the service he was going to need.
	controls []float64
}

// replications is how often a random model is run.
const replications = 40

// sureness is the confidence of the intervals. With some 200 figures in a proof
// that is run with fresh seeds one in five would miss by chance; with the seeds
// fixed a proof that holds keeps holding.
const sureness = 0.999

// estimate returns mean and interval of the i-th value over the samples.
//
// The values are regressed on the controls: where customers happened to come
// faster than on average, the queue was longer for that reason, and this part
// of the chance is taken out. Source: S. S. Lavenberg, P. D. Welch, Management
// Science 27, 1981, 322-335, from memory.
func estimate(samples []sample, i int) stats.Estimate {
	n, k := len(samples), 1+len(samples[0].controls)
	x, y := make([][]float64, n), make([]float64, n)
	for r, s := range samples {
		x[r] = append([]float64{1}, s.controls...)
		y[r] = s.values[i]
	}
	scales := normalize(x)
	square, right := make([][]float64, k), make([]float64, k)
	for a := range k {
		square[a] = make([]float64, k)
		for r := range n {
			right[a] += x[r][a] * y[r]
			for b := range k {
				square[a][b] += x[r][a] * x[r][b]
			}
		}
	}
	slopes := solve(square, right)
	first := make([]float64, k)
	first[0] = 1
	column := solve(square, first) // of the inverse; its head is the variance of the constant
	var residuals float64
	for r := range n {
		fit := y[r]
		for a := range k {
			fit -= slopes[a] * x[r][a]
		}
		residuals += fit * fit
	}
	df := float64(n - k)
	variance := residuals / df * column[0]
	half := stats.StudentQuantile(1-(1-sureness)/2, df) * math.Sqrt(variance)
	mean := slopes[0] * scales[0]
	return stats.Estimate{Value: mean, Low: mean - half, High: mean + half, SD: math.Sqrt(variance * float64(n)), N: n, Level: sureness}
}

// normalize gives every column the same size, so that controls of unlike size
// do not spoil the digits of the solution. The first column is left as it is.
func normalize(x [][]float64) (scales []float64) {
	scales = make([]float64, len(x[0]))
	for a := range scales {
		for r := range x {
			scales[a] = max(scales[a], math.Abs(x[r][a]))
		}
		if scales[a] == 0 {
			scales[a] = 1
		}
		for r := range x {
			x[r][a] /= scales[a]
		}
	}
	return scales
}

// solve solves a small symmetric system by elimination with pivots. A control
// that is a combination of others gets no slope.
func solve(square [][]float64, right []float64) []float64 {
	n := len(right)
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = append(append([]float64{}, square[i]...), right[i])
	}
	for c := range n {
		pivot := c
		for r := c + 1; r < n; r++ {
			if math.Abs(rows[r][c]) > math.Abs(rows[pivot][c]) {
				pivot = r
			}
		}
		rows[c], rows[pivot] = rows[pivot], rows[c]
		if math.Abs(rows[c][c]) < 1e-12*math.Abs(square[0][0]) {
			rows[c] = make([]float64, n+1)
			rows[c][c] = 1
		}
		for r := range n {
			if f := rows[r][c] / rows[c][c]; r != c && f != 0 {
				for j := c; j <= n; j++ {
					rows[r][j] -= f * rows[c][j]
				}
			}
		}
	}
	solution := make([]float64, n)
	for i := range n {
		solution[i] = rows[i][n] / rows[i][i]
	}
	return solution
}
