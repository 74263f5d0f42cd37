package des

import (
	"math/rand/v2"
	"slices"
	"testing"
)

func TestRingAgainstSlice(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 0))
	var r ring[int]
	var want []int
	for i := range 20_000 {
		switch n := len(want); {
		case n == 0 || rng.IntN(5) < 2+2*(i/5_000%2): // grows, shrinks, grows, shrinks
			r.push(i)
			want = append(want, i)
		case rng.IntN(2) == 0:
			if got := r.pop(); got != want[0] {
				t.Fatalf("step %d: pop = %d, want %d", i, got, want[0])
			}
			want = want[1:]
		default:
			k := rng.IntN(n)
			if got := r.remove(k); got != want[k] {
				t.Fatalf("step %d: remove(%d) = %d, want %d", i, k, got, want[k])
			}
			want = slices.Delete(slices.Clone(want), k, k+1)
		}
		if r.n != len(want) {
			t.Fatalf("step %d: %d items, want %d", i, r.n, len(want))
		}
	}
	for i, x := range want {
		if got := *r.at(i); got != x {
			t.Errorf("item %d = %d, want %d", i, got, x)
		}
	}
}

// What has been popped must not be kept from the collector.
func TestRingForgets(t *testing.T) {
	var r ring[*int]
	for range 5 {
		r.push(new(int))
	}
	for range 5 {
		r.pop()
	}
	for i, p := range r.buf {
		if p != nil {
			t.Errorf("place %d still points at a popped item", i)
		}
	}
}
