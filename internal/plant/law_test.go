package plant

import "testing"

// TestLaw: a law counts what it was asked and what was broken, and keeps the first
// breach in words.
func TestLaw(t *testing.T) {
	l := &law{name: "sums"}
	for n, holds := range []bool{true, false, true, false} {
		l.check(holds, func() string { return []string{"none", "first", "none", "second"}[n] })
	}
	if l.checked != 4 || l.broken != 2 || l.first != "first" {
		t.Errorf("%d checked, %d broken, first %q", l.checked, l.broken, l.first)
	}
}
