package des

import (
	"iter"
	"runtime/debug"
)

// coroutine is a stack on which the bodies of processes run, one after another.
// Making one costs more than a run of a short body, so those that fall idle are
// kept for the next process.
//
// Only the kernel calls resume and stop, from the goroutine of Run or Close, as
// iter.Pull demands. No goroutine is ever locked to a thread: the runtime does not
// allow that to change between resumptions.
type coroutine struct {
	p      *Process // whose body it runs
	resume func() (struct{}, bool)
	stop   func()
	yield  func(struct{}) bool
}

// unwinding is what suspend panics with when the run closes.
type unwinding struct{}

// newCoroutine makes a coroutine that plays bodies until it is stopped.
func newCoroutine(s *Sim) *coroutine {
	c := new(coroutine)
	c.resume, c.stop = iter.Pull(func(yield func(struct{}) bool) {
		c.yield = yield
		for {
			c.play()
			if s.closed {
				return
			}
			s.idle = append(s.idle, c)
			if !yield(struct{}{}) {
				return
			}
		}
	})
	return c
}

// play runs the body of a process. A panic must not leave the coroutine, where its
// stack would be lost: it is recorded here, with all that tells where it was.
func (c *coroutine) play() {
	p := c.p
	defer func() {
		value := recover()
		if _, ok := value.(unwinding); !ok && value != nil {
			p.sim.fail(&PanicError{Process: p.name, At: p.sim.now, Value: value, Stack: debug.Stack()})
		}
		p.leave()
		c.p = nil
	}()
	p.body(p)
}

// resumption is a Process as the timer of its own going on.
type resumption Process

// Fire resumes the process.
func (r *resumption) Fire(Time) { (*Process)(r).resume() }

// resume runs the body of p up to its next wait or its end.
func (p *Process) resume() {
	s := p.sim
	if p.co == nil {
		p.co = s.takeCoroutine()
		p.co.p = p
	}
	p.state = running
	s.current = p
	p.co.resume()
	s.current = nil
}

// takeCoroutine finds an idle coroutine or makes one.
func (s *Sim) takeCoroutine() *coroutine {
	n := len(s.idle)
	if n == 0 {
		return newCoroutine(s)
	}
	c := s.idle[n-1]
	s.idle = s.idle[:n-1]
	return c
}

// suspend hands control back to the kernel until p is resumed. If the run closes
// meanwhile it panics. A body that recovers this panic meets it again at its next
// wait, in begin.
func (p *Process) suspend() {
	if !p.co.yield(struct{}{}) {
		panic(unwinding{})
	}
}

// unwind ends p for good, running its deferred calls.
func (p *Process) unwind() {
	p.withdraw()
	if p.co == nil {
		p.leave()
		return
	}
	p.sim.current = p
	p.co.stop()
}
