package plant_test

import (
	"bytes"
	"testing"

	"potbank/internal/des"
	"potbank/internal/plant"
)

// area adds up the pieces of each section over time, from nothing but moves.
type area struct {
	n    []int64
	sum  []int64
	last des.Time
}

func (a *area) moved(at des.Time, from, to int) {
	a.settle(at)
	if from != plant.Outside {
		a.n[from]--
	}
	if to != plant.Outside {
		a.n[to]++
	}
}

func (a *area) settle(at des.Time) {
	for s := range a.n {
		a.sum[s] += a.n[s] * int64(at-a.last)
	}
	a.last = at
}

// Watching changes nothing, and what is told agrees with the book: the stock
// added up over time is that of the measures, and the pushes and loads are those
// counted.
func TestLookoutChangesNothingAndAgreesWithTheBook(t *testing.T) {
	for name, p := range sameWorks(t) {
		plain, err := p.Simulate(options(5, 1))
		if err != nil {
			t.Fatal(err)
		}
		sections := plant.SectionNames()
		seen := area{n: make([]int64, len(sections)), sum: make([]int64, len(sections))}
		full, part, empty := map[string]int{}, map[string]int{}, map[string]int{}
		o := options(5, 1)
		o.Lookout = &plant.Lookout{Moved: seen.moved, Kiln: func(e plant.KilnEvent) {
			switch {
			case e.Pieces == nil && e.Full:
				t.Errorf("%s: full of nothing", name)
			case e.State != plant.Pushed && e.State != "firing":
			case e.Pieces == nil:
				empty[e.Kiln]++
			case e.Full:
				full[e.Kiln]++
			default:
				part[e.Kiln]++
			}
			if e.Share > 1.0001 {
				t.Errorf("%s: a load of %g", name, e.Share)
			}
		}}
		watched, err := p.Simulate(o)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(bytesOf(t, plain), bytesOf(t, watched)) {
			t.Errorf("%s: watching changes the run", name)
		}
		seen.settle(des.Time(o.Weeks) * des.Week)
		for _, m := range p.Measures() {
			for s, section := range sections {
				if num, den := m.Of(plain, 0, o.Weeks); m.Name == "wip."+section && num/den != float64(seen.sum[s])/float64(des.Time(o.Weeks)*des.Week) {
					t.Errorf("%s: %s by moves %g, by the book %g", name, m.Name, float64(seen.sum[s])/float64(des.Time(o.Weeks)*des.Week), num/den)
				}
			}
		}
		for _, k := range p.Works().Kilns {
			all := full[k.Name] + part[k.Name] + empty[k.Name]
			for _, m := range p.Measures() {
				num, den := m.Of(plain, 0, o.Weeks)
				want := map[string]int{"full": full[k.Name], "part": part[k.Name], "empty": empty[k.Name]}
				for kind, n := range want {
					if m.Name == "kiln."+k.Name+"."+kind && (den != float64(all) || num != 100*float64(n)) {
						t.Errorf("%s: %s is %g of %g, told were %d of %d", name, m.Name, num/100, den, n, all)
					}
				}
			}
		}
	}
}
