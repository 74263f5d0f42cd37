package quantity

import "fmt"

// A Fault is one thing wrong with the text of a value.
type Fault struct {
	// Offset is where the fault begins, in characters (not bytes) from the
	// start of the text, so that a caller who knows the line and column of
	// the text can point at it.
	Offset int
	// What says what is wrong, in the words of the scenario's author.
	What string
	// Hint says what to write instead; it may be empty.
	Hint string
	// Limit marks a value that is well formed but larger than the program
	// is willing to handle.
	Limit bool
}

// Error returns the fault and its hint on one line, without the offset.
func (f *Fault) Error() string {
	if f.Hint == "" {
		return f.What
	}
	return f.What + "; hint: " + f.Hint
}

// faultAt builds a Fault whose What is formatted.
func faultAt(offset int, hint, format string, args ...any) *Fault {
	return &Fault{Offset: offset, What: fmt.Sprintf(format, args...), Hint: hint}
}
