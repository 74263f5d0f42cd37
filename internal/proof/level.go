package proof

import "potbank/internal/des"

// A level is a number that changes in time, such as that of customers in a
// system, with the time it spent at each value.
type level struct {
	s     *des.Sim
	value int
	since des.Time
	from  des.Time // when counting began
	spent [64]des.Time
	area  float64 // value times time
}

// add changes the number.
func (l *level) add(d int) {
	l.settle()
	l.value += d
}

// settle counts the time up to now.
func (l *level) settle() {
	span := l.s.Now() - l.since
	l.since = l.s.Now()
	l.spent[min(l.value, len(l.spent)-1)] += span
	l.area += float64(l.value) * float64(span)
}

// restart forgets what was counted, at the end of the warm-up.
func (l *level) restart() {
	l.settle()
	l.from, l.spent, l.area = l.s.Now(), [64]des.Time{}, 0
}

// mean is the time average.
func (l *level) mean() float64 {
	l.settle()
	return l.area / float64(l.s.Now()-l.from)
}

// share is the share of time spent at a value below 63.
func (l *level) share(value int) float64 {
	l.settle()
	return float64(l.spent[value]) / float64(l.s.Now()-l.from)
}

// pass runs a simulation for a time. An error is a fault of the model; it ends
// the check and is shown in its place.
func pass(s *des.Sim, d des.Time) {
	if err := s.Run(s.Now() + d); err != nil {
		panic(err)
	}
}
