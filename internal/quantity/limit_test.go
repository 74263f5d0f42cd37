package quantity_test

import (
	"errors"
	"strings"
	"testing"

	"potbank/internal/quantity"
)

// Numbers may be so long and so steep, and no more.
func TestLimitsOfNumbers(t *testing.T) {
	tests := []struct {
		what string
		most int
		text func(n int) string
	}{
		{"characters", 400, func(n int) string { return strings.Repeat("0", n-4) + "6 kg" }},
		{"power of ten", 400, func(n int) string { return "0e" + itoa(n) + " kg" }},
		{"negative power of ten", 400, func(n int) string { return "0e-" + itoa(n) + " kg" }},
	}
	for _, test := range tests {
		for _, n := range []int{test.most - 1, test.most, test.most + 1} {
			_, err := quantity.ParseMass("mass", test.text(n))
			var fault *quantity.Fault
			if over := errors.As(err, &fault) && fault.Limit; over != (n > test.most) {
				t.Errorf("%s: %d gives %v", test.what, n, err)
			}
		}
	}
}

func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + string(rune('0'+n%10))
}
