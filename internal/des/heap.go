package des

// heap is a 4-ary heap of entries, least first.
//
// The root lies at index 3, so the four children of entry i start at 4(i-2), a
// multiple of 4, and share a cache line: the backing array is a power of two
// long, which the allocator aligns to 64 bytes. Everything behind the last
// entry is padding (nothing), so the least of four children is found without
// asking how many there are.
type heap struct {
	array []entry
	n     int // entries; the last one is array[heapRoot+n-1]
}

const heapRoot = 3

// newHeap makes an empty heap. The zero heap is not one: it lacks the padding.
func newHeap() heap {
	var h heap
	h.grow()
	return h
}

// top gives the least entry, or nothing if the heap is empty.
func (h *heap) top() entry { return h.array[heapRoot] }

// push adds an entry.
func (h *heap) push(e entry) {
	if heapRoot+h.n >= len(h.array) {
		h.grow()
	}
	h.n++
	h.float(heapRoot+h.n-1, e)
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

// pop removes the least entry. The heap must not be empty.
//
// The hole at the root is first sunk to a leaf, then filled with the last entry,
// which floats up from there. It seldom floats far, having been a leaf before;
// sinking it from the root would compare it with a child at every level.
func (h *heap) pop() {
	end := heapRoot + h.n - 1
	last := h.array[end]
	h.array[end] = nothing
	h.n--
	if h.n > 0 {
		h.float(h.sink(heapRoot, end), last)
	}
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
		child := (*[4]entry)(a[first : first+4])
		left := before(child[1], child[0])
		right := 2 + before(child[3], child[2])
		least := left + (right-left)*before(child[right&3], child[left&3])
		a[i] = child[least&3]
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

// keep drops every entry that does not pass and restores the heap.
func (h *heap) keep(pass func(entry) bool) {
	kept := h.array[:heapRoot]
	for _, e := range h.array[heapRoot : heapRoot+h.n] {
		if pass(e) {
			kept = append(kept, e)
		}
	}
	for i := len(kept); i < heapRoot+h.n; i++ {
		h.array[i] = nothing
	}
	h.n = len(kept) - heapRoot
	h.order()
}

// order makes a heap of entries in any order: each entry that has children, the
// last first, becomes a hole that sinks and is filled again.
func (h *heap) order() {
	end := heapRoot + h.n
	for top := (end-1)/4 + 2; top >= heapRoot && h.n > 1; top-- {
		e := h.array[top]
		i := h.sink(top, end)
		for i > top && before(e, h.array[i/4+2]) == 1 {
			h.array[i] = h.array[i/4+2]
			i = i/4 + 2
		}
		h.array[i] = e
	}
}
