package plant_test

import (
	"testing"

	"potbank/internal/des"
)

// Edges: what holds at the very minute, and one minute off it. Each case is a
// mistake that the larger tests let pass, since it moves next to nothing.

// A fill that ends as the casters leave is begun; a fill that would end a minute
// later is left for when they are back.
func TestFillUpToTheClose(t *testing.T) {
	for cover, want := range map[string]des.Time{
		"daily 06:00-06:20 08:00-14:00": 6 * des.Hour,
		"daily 06:00-06:19 08:00-14:00": 8 * des.Hour,
	} {
		w := readWorks(t, "testdata/works.yaml")
		setHours(w, "day", cover)
		d, _ := keep(t, build(t, w), 1)
		if got := d.of("filled", "pan-bench")[0].At; got != want {
			t.Errorf("casters there %s: first filled at %v, by hand %v", cover, got, want)
		}
	}
}
