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

// A mould is old once it has more than four fifths of its casts: of 10 the ninth
// and tenth build at half the rate.
func TestOldMouldsBuildSlowly(t *testing.T) {
	w := readWorks(t, "testdata/works.yaml")
	b := &w.Benches[1]
	b.Life, b.Old, b.Moulds = casts(t, 10), 0.5, 2
	d, _ := keep(t, build(t, w), 3)
	for n, o := range d.of("filled", "pan-bench")[:2*12] {
		// Fill 20 min, build 100, drain 20, set 60, and 2 for each piece in turn.
		want := 200*des.Minute + des.Time(n%2+1)*2*des.Minute
		if cast := n/2%10 + 1; cast > 8 {
			want += 100 * des.Minute
		}
		if got := d.piece(o.Piece).of("demoulded")[0].At - o.At; got != want {
			t.Errorf("cast %d: out of the mould after %v, by hand %v", n/2+1, got, want)
		}
	}
}

// A mould that has dried through when it is filled again builds at full rate; one
// that lacks a minute builds at the rate of damp plaster.
func TestDampMoulds(t *testing.T) {
	for lack, builds := range map[des.Time]des.Time{0: 100 * des.Minute, des.Minute: 200 * des.Minute} {
		w := readWorks(t, "testdata/works.yaml")
		b := &w.Benches[1]
		b.Damp, b.Moulds, b.DryThru = 0.5, 1, b.DryBack+lack
		d, _ := keep(t, build(t, w), 2)
		for n, o := range d.of("filled", "pan-bench")[:8] {
			want := 102*des.Minute + builds
			if n == 0 {
				want = 202 * des.Minute // after a week without work
			}
			if got := d.piece(o.Piece).of("demoulded")[0].At - o.At; got != want {
				t.Errorf("%v short of dry, cast %d: out of the mould after %v, by hand %v", lack, n+1, got, want)
			}
		}
	}
}
