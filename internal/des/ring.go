package des

// ring is a queue in a circular buffer. It grows by doubling and never shrinks,
// so in steady running it allocates nothing; unlike q = q[1:] on a slice, it
// does not creep through memory.
type ring[T any] struct {
	buf  []T // the length is zero or a power of two
	head int
	n    int
}

// at gives the i-th item from the front.
func (r *ring[T]) at(i int) *T { return &r.buf[(r.head+i)&(len(r.buf)-1)] }

// push adds x at the back.
func (r *ring[T]) push(x T) {
	if r.n == len(r.buf) {
		r.grow()
	}
	r.n++
	*r.at(r.n - 1) = x
}

// pop removes and gives the front item. It clears the place, so the collector
// may have what the item pointed at.
func (r *ring[T]) pop() T {
	var none T
	front := r.at(0)
	x := *front
	*front = none
	r.head = (r.head + 1) & (len(r.buf) - 1)
	r.n--
	return x
}

// remove takes out the i-th item; those in front of it move up by one.
func (r *ring[T]) remove(i int) T {
	x := *r.at(i)
	for ; i > 0; i-- {
		*r.at(i) = *r.at(i - 1)
	}
	*r.at(0) = x
	return r.pop()
}

// grow doubles the buffer.
func (r *ring[T]) grow() {
	buf := make([]T, max(8, 2*len(r.buf)))
	for i := range r.n {
		buf[i] = *r.at(i)
	}
	r.buf, r.head = buf, 0
}
