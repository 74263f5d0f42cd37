package random

import "testing"

// Sinks keep the compiler from dropping what a benchmark computes.
var (
	sinkBits  uint64
	sinkFloat float64
	sinkTime  int64
	sinkCount int
)

// BenchmarkUniform compares the generator with the cheapest mixer that takes the
// same identity, a chain of SplitMix64 steps. See philox4x64 for the choice.
func BenchmarkUniform(b *testing.B) {
	b.Run("philox", func(b *testing.B) {
		source, purpose := New(1, 2), PurposeOf("white.reject")
		for i := 0; b.Loop(); i++ {
			sinkFloat = source.Uniform(purpose, uint64(i), 0)
		}
	})
	b.Run("splitmix chain", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			sinkFloat = unit(Object(1, 2, 77, uint64(i)))
		}
	})
}

// BenchmarkQuantile measures each family apart from the uniform it is given.
func BenchmarkQuantile(b *testing.B) {
	uniforms := make([]float64, 1024)
	for i := range uniforms {
		uniforms[i] = New(1, 1).Uniform(PurposeOf("benchmark"), uint64(i), 0)
	}
	for _, f := range families {
		b.Run(f.spelling, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				sinkFloat = f.law.Quantile(uniforms[i%len(uniforms)])
			}
		})
	}
}

func BenchmarkNewGamma(b *testing.B) {
	for b.Loop() {
		sinkFloat = must(Gamma(20, 10)).Mean()
	}
}

func BenchmarkGate(b *testing.B) {
	weights := []float64{0.8, 0.12, 0.05, 0.03}
	law := Scaled(must(LogNormal(75, 8)), 60_000)
	for _, off := range []bool{false, true} {
		name := "drawing"
		if off {
			name = "off"
		}
		gate := NewDealer(New(1, 1), off).Gate("benchmark")
		b.Run("time/"+name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				sinkTime = gate.Time(law, uint64(i), 0)
			}
		})
		b.Run("trial/"+name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				if gate.Trial(0.03, uint64(i), 0) {
					sinkCount++
				}
			}
		})
		b.Run("choice/"+name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				sinkCount += gate.Choice(weights, uint64(i), 0)
			}
		})
		b.Run("object/"+name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				sinkBits = Object(uint64(i), 3, 41)
			}
		})
	}
}
