package plant

import (
	"testing"

	"potbank/internal/des"
)

// TestMeterOfLargeProducts: the product of a rate and an amount may take more
// than 64 bits; what comes out of it does not.
//
// source: arithmetic. A thousand heads for a week at 500,000 an hour, in
// millionths, by the millisecond: 1000 x 168 x 500000 x 1e6.
func TestMeterOfLargeProducts(t *testing.T) {
	m := meter{per: int64(des.Hour)}
	for week := range 3 {
		if got, want := m.take(500_000_000_000, 1000*int64(des.Week)), int64(84_000_000_000_000_000); got != want {
			t.Errorf("week %d: %d, want %d", week, got, want)
		}
	}
	odd := meter{per: 7}
	var sum int64
	for range 5 {
		sum += odd.take(1<<60, 3)
	}
	// 15 x 2^60 / 7, and the rest of 1 that is carried on.
	if want := whole(1<<60, 15, 7); sum != want || odd.rest != 1 {
		t.Errorf("in five parts %d and a rest of %d, in one %d", sum, odd.rest, want)
	}
}
