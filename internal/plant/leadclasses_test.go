package plant_test

import (
	"slices"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// Lead times of 5 h, 5 h 10 min, 7 h 59 min and 26 h, counted apart and put
// together, fall into classes by the sum in one's head.
func TestLeadTimesInClasses(t *testing.T) {
	var first, second plant.LeadTimes
	first.Add(26 * des.Hour)
	first.Add(5 * des.Hour)
	second.Add(5*des.Hour + 10*des.Minute)
	second.Add(7*des.Hour + 59*des.Minute)
	var all plant.LeadTimes
	all.Merge([]*plant.LeadTimes{&first, {}, &second})
	if all.N() != 4 {
		t.Fatalf("%d lead times, want 4", all.N())
	}
	tests := []struct {
		width, from, each des.Time
		counts            []int64
	}{
		{24 * des.Hour, 0, 24 * des.Hour, []int64{3, 1}},
		{4 * des.Hour, 4 * des.Hour, 4 * des.Hour, []int64{3, 0, 0, 0, 0, 1}},
		{59 * des.Minute, 5 * des.Hour, des.Hour, append(append([]int64{2, 0, 1}, make([]int64, 18)...), 1)},
	}
	for _, test := range tests {
		from, each, counts := all.Classes(test.width)
		if from != test.from || each != test.each || !slices.Equal(counts, test.counts) {
			t.Errorf("classes of %v: from %v, each %v, %v; want %v, %v, %v", test.width, from, each, counts, test.from, test.each, test.counts)
		}
	}
	if _, _, counts := new(plant.LeadTimes).Classes(des.Hour); counts != nil {
		t.Errorf("classes of no lead times: %v", counts)
	}
}
