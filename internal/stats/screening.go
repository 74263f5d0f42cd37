package stats

import "fmt"

// Screening returns a two-level design that tells the main effects of k factors
// apart: rows are runs, columns factors, entries -1 and +1. Every column has as
// many of either, any two columns are orthogonal, and the second half of the
// runs mirrors the first, so that no interaction of two factors can pass for
// the effect of a third.
//
// The first half is a saturated design of Plackett and Burman ("The design of
// optimum multifactorial experiments", Biometrika 33, 1946), by Paley's
// construction from quadratic residues: for a prime p = 4m - 1 above k its p+1
// runs are the rows of a Hadamard matrix. Folding over is due to Box and Wilson
// (J. R. Stat. Soc. B 13, 1951). Both from memory; their properties are tested.
func Screening(k int) [][]int {
	if k < 1 {
		panic(fmt.Sprintf("stats: a screening design for %d factors", k))
	}
	p := k
	for p%4 != 3 || !isPrime(p) {
		p++
	}
	residue := make([]bool, p)
	for i := 1; i < p; i++ {
		residue[i*i%p] = true
	}
	design := make([][]int, 2*(p+1))
	for run := range p + 1 {
		row, mirror := make([]int, k), make([]int, k)
		for f := range k {
			row[f] = -1
			if run < p && residue[(f-run+p)%p] {
				row[f] = 1
			}
			if run < p && f == run {
				row[f] = 1 // the diagonal takes the sign that balances the columns
			}
			mirror[f] = -row[f]
		}
		design[run], design[p+1+run] = row, mirror
	}
	return design
}

// isPrime is trial division: designs have a few hundred runs at most.
func isPrime(n int) bool {
	for d := 2; d*d <= n; d++ {
		if n%d == 0 {
			return false
		}
	}
	return n > 1
}
