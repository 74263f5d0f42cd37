package des

// heap is a 4-ary heap of entries, least first.
//
// The root lies at index 3, so the four children of entry i start at 4(i-2), a
// multiple of 4, and share a cache line: the backing array is a power of two
// long, which the allocator aligns to 64 bytes. Everything behind the last
// entry is padding (nothing), so the least of four children is found without
// asking how many there are.
//
// Most events schedule another, so pop leaves a hole at the root for the next push to
// fill. This saves moving the last entry, which pop would need to fill the hole
// itself, to and fro.
type heap struct {
	array []entry
	n     int  // entries, the hole included; the last is array[heapRoot+n-1]
	hole  bool // the entry at the root has been popped
}

const heapRoot = 3

// newHeap makes an empty heap. The zero heap is not one: it lacks the padding.
func newHeap() heap {
	var h heap
	h.grow()
	return h
}

// len gives the number of entries.
func (h *heap) len() int {
	if h.hole {
		return h.n - 1
	}
	return h.n
}

// top gives the least entry, or nothing if the heap is empty.
func (h *heap) top() entry {
	h.fill()
	return h.array[heapRoot]
}

// allAfter reports whether every entry is later than t. It leaves the hole alone.
func (h *heap) allAfter(t Time) bool {
	if !h.hole {
		return h.array[heapRoot].at > t
	}
	child := (*[4]entry)(h.array[heapRoot+1 : heapRoot+5])
	return min(child[0].at, child[1].at, child[2].at, child[3].at) > t
}

// push adds an entry.
func (h *heap) push(e entry) {
	if h.hole {
		h.hole = false
		h.float(h.sink(heapRoot, heapRoot+h.n), e)
		return
	}
	if heapRoot+h.n >= len(h.array) {
		h.grow()
	}
	h.n++
	h.float(heapRoot+h.n-1, e)
}

// pop removes and gives the least entry. The heap must not be empty.
func (h *heap) pop() entry {
	h.fill()
	h.hole = true
	return h.array[heapRoot]
}

// fill fills the hole, if there is one, with the last entry.
//
// The hole is first sunk to a leaf and the entry floats up from there. It seldom floats
// far, having been a leaf before; sinking it from the root would compare it with
// a child at every level.
func (h *heap) fill() {
	if !h.hole {
		return
	}
	h.hole = false
	end := heapRoot + h.n - 1
	last := h.array[end]
	h.array[end] = nothing
	h.n--
	if h.n > 0 {
		h.float(h.sink(heapRoot, end), last)
	}
}

// float puts e at index i or, as long as it is before its parent, higher up.
func (h *heap) float(i int, e entry) {
	a := h.array
	for i > heapRoot {
		parent := i/4 + 2
		if before(e, a[parent]) == 0 {
			break
		}
		a[i] = a[parent]
		i = parent
	}
	a[i] = e
}

// sink moves the hole at index i down to a leaf by promoting the least child at
// each level, and returns where it came to rest. Entries end before index end.
func (h *heap) sink(i, end int) int {
	a := h.array
	for {
		first := 4 * (i - 2)
		if first >= end {
			return i
		}
		four := (*[4]entry)(a[first : first+4])
		left := before(four[1], four[0])
		right := 2 + before(four[3], four[2])
		least := left ^ (left^right)&-before(four[right&3], four[left&3])
		a[i] = four[least&3]
		i = first + int(least)
	}
}

// grow doubles the array.
func (h *heap) grow() {
	array := make([]entry, max(64, 2*len(h.array)))
	for i := copy(array, h.array); i < len(array); i++ {
		array[i] = nothing
	}
	h.array = array
}

// keep drops every entry that does not pass and makes a heap of the rest.
func (h *heap) keep(pass func(entry) bool) {
	h.fill()
	all := h.array[heapRoot : heapRoot+h.n]
	h.n = 0
	for i, e := range all {
		all[i] = nothing
		if pass(e) {
			h.push(e) // never beyond i
		}
	}
}
