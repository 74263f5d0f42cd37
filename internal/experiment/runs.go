package experiment

// Runs is how many replications a question takes, known before any is made: at
// least, and at most where the data say when there is enough.
type Runs struct{ Least, Most int }

// Times is so many questions of that kind.
func (r Runs) Times(n int) Runs { return Runs{n * r.Least, n * r.Most} }

// Plus is both questions.
func (r Runs) Plus(q Runs) Runs { return Runs{r.Least + q.Least, r.Most + q.Most} }

// Runs is what [Replicate] takes, without the works that [AddDoubt] draws.
func (s Settings) Runs() Runs {
	switch {
	case s.Fixed || s.OneLongRun:
		return Runs{1, 1}
	case s.Precision == 0:
		return Runs{s.Replications, s.Replications}
	}
	return Runs{s.Replications, max(s.Replications, s.Most)}
}

// DrawnRuns is what [AddDoubt] takes.
func (s Settings) DrawnRuns() Runs {
	n := runsPerDraw * s.Draws
	return Runs{n, n}
}

// CompareRuns is what [Compare] takes of so many options, the certificate of its
// choice included.
func CompareRuns(options int, c Criterion, s Settings) Runs {
	each := s.Runs()
	all := each.Times(options)
	if c.Method == OCBA {
		all.Most = max(all.Least, c.Budget)
	}
	if !s.Fixed && each.Least >= 2 {
		all.Most += 2 * each.Least
	}
	return all
}

// KeptBytes is about how much memory a study keeps of each replication of a
// works: two sums a measure, every week's pieces, and the orders.
func KeptBytes(p Runner, weeks int) int64 {
	const order = 200
	return int64(16*len(p.Measures()) + 8*weeks + order*len(p.Works().Orders))
}
