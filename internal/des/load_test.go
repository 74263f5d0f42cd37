package des_test

import (
	"testing"

	"potbank/internal/des"
)

// fill adds pieces 0, 1, 2, ... at the given instants.
func (d *diary) fill(load *des.Load[int], at ...des.Time) {
	for i, t := range at {
		d.at(t, func() { load.Add(i) })
	}
}

func TestLoadByNumber(t *testing.T) {
	d := newDiary(t)
	car := des.NewLoad[int](d.s, "car", 3, des.Never)
	d.fill(car, 1*sec, 2*sec, 3*sec, 4*sec, 4*sec, 4*sec, 4*sec)
	d.s.Go("kiln", func(p *des.Process) {
		for range 2 {
			d.note("fires %v, %d left", car.Take(p), car.Len())
			p.Pass(10 * sec)
		}
	})
	d.run(des.Never)
	d.wants(`
		3: fires [0 1 2], 0 left
		13: fires [3 4 5], 1 left
	`)
}

func TestLoadByTime(t *testing.T) {
	d := newDiary(t)
	car := des.NewLoad[int](d.s, "car", 3, 5*sec)
	d.fill(car, 1*sec, 2*sec, 6*sec, 7*sec, 8*sec, 20*sec, 21*sec, 30*sec)
	d.s.Go("kiln", func(p *des.Process) {
		buf := make([]int, 0, 3)
		for range 4 {
			d.note("fires %v", car.TakeInto(p, buf))
			p.Pass(6 * sec)
		}
	})
	d.run(des.Never)
	// At 6 s the piece that comes just as the first has waited long enough still goes
	// along. Piece 3 then has waited long enough at 12 s, piece 5 at 25 s.
	d.wants(`
		6: fires [0 1 2]
		12: fires [3 4]
		25: fires [5 6]
		35: fires [7]
	`)
}

func TestLoadOfOneInstant(t *testing.T) {
	d := newDiary(t)
	car := des.NewLoad[int](d.s, "car", 3, 0)
	d.fill(car, 1*sec, 1*sec, 2*sec, 2*sec, 2*sec, 2*sec)
	d.s.Go("kiln", func(p *des.Process) {
		for range 3 {
			d.note("fires %v", car.Take(p))
		}
	})
	d.run(des.Never)
	d.wants(`
		1: fires [0 1]
		2: fires [2 3 4]
		2: fires [5]
	`)
}

// While nobody takes it, an overdue load may fill up. What then is first waits its own
// time.
func TestLoadOverdue(t *testing.T) {
	d := newDiary(t)
	car := des.NewLoad[int](d.s, "car", 2, 5*sec)
	d.fill(car, 1*sec, 7*sec, 8*sec, 9*sec)
	d.at(5*sec, func() { d.note("complete: %v, %v", car.Complete(), car.TryTake()) })
	d.s.At(6*sec, des.Close, des.TimerFunc(func(des.Time) { d.note("complete: %v, %d in", car.Complete(), car.Len()) }))
	d.at(8*sec, func() { d.note("takes %v, complete: %v", car.TryTake(), car.Complete()) })
	d.s.Go("kiln", func(p *des.Process) {
		p.PassUntil(8*sec + 1)
		d.note("took %v", car.Take(p))
		car.Add(4)
		p.Pass(6 * sec)
		d.note("%d", des.WaitAny(p, sec, car))
		d.note("took %v", car.Take(p))
		d.note("%d", des.WaitAny(p, sec, car))
		car.Add(5)
		d.note("%d", des.WaitAny(p, 5*sec, car))
	})
	d.run(des.Never)
	d.wants(`
		5: complete: false, []
		6: complete: true, 1 in
		8: takes [0 1], complete: false
		9: took [2 3]
		15: 0
		15: took [4]
		16: -1
		21: 0
	`)
}

func TestLoadWithMost(t *testing.T) {
	d := newDiary(t)
	car := des.NewLoad[int](d.s, "car", 2, des.Never)
	car.SetMost(4)
	d.fill(car, sec, sec, sec, 2*sec, 2*sec, 2*sec, 2*sec)
	d.s.Go("kiln", func(p *des.Process) {
		for range 2 {
			d.note("fires %v", car.Take(p))
			p.Pass(10 * sec)
		}
	})
	d.run(des.Never)
	d.wants(`
		1: fires [0 1]
		11: fires [2 3 4 5]
	`)
	if car.Name() != "car" || car.Len() != 1 {
		t.Errorf("%d left of %s, want 1 of car", car.Len(), car.Name())
	}
	car.SetMost(2) // as many as complete one
	mustPanic(t, "at most 1 things, but 2 make one", func() { car.SetMost(1) })
	mustPanic(t, "load x of 0 things", func() { des.NewLoad[int](d.s, "x", 0, 0) })
	mustPanic(t, "load x of 1 things within -0d", func() { des.NewLoad[int](d.s, "x", 1, -1) })
}
