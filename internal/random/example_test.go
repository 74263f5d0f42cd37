package random_test

import (
	"fmt"

	"potbank/internal/random"
)

// A piece keeps its luck whatever else the plant draws.
func ExampleSource() {
	source := random.New(2026, 1)
	reject := random.PurposeOf("white.reject")
	bench, position, cast := uint64(3), uint64(17), uint64(41)
	piece := random.Object(bench, position, cast)
	fmt.Printf("%.6f\n", source.Uniform(reject, piece, 0))
	_ = source.Uniform(random.PurposeOf("spray.time"), piece, 0)
	fmt.Printf("%.6f\n", source.Uniform(reject, piece, 0))
	// Output:
	// 0.136810
	// 0.136810
}

// With randomness off, one piece in five is rejected, in step.
func ExampleGate() {
	drying, err := random.LogNormal(75, 8)
	if err != nil {
		fmt.Println(err)
		return
	}
	gate := random.NewDealer(random.New(2026, 1), true).Gate("white.reject")
	for piece := range uint64(10) {
		if gate.Trial(0.2, piece, 0) {
			fmt.Println("piece", piece, "rejected")
		}
	}
	fmt.Println(drying, "dealt as", gate.Value(drying, 1, 0))
	// Output:
	// piece 2 rejected
	// piece 7 rejected
	// lognormal(mean 75, sd 8) dealt as 75
}
