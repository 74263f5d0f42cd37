package random

import (
	"strings"
	"testing"
)

// A column of records may be so long, and no longer.
func TestLimitOfRecords(t *testing.T) {
	for _, n := range []int{empiricalMax - 1, empiricalMax, empiricalMax + 1} {
		values, err := ColumnCSV(strings.NewReader("min\n"+strings.Repeat("6\n", n)), "min")
		if (err != nil) != (n > empiricalMax) || err == nil && len(values) != n {
			t.Errorf("%d records give %d values, %v", n, len(values), err)
		}
	}
}
