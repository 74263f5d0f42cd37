package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"strings"

	"potbank/internal/scenario"
)

// Exit codes. 2 is never used: it is what a crashed Go program exits with.
const (
	failed    = 1
	inPart    = 3
	refused   = scenario.Refused
	misused   = scenario.NotFound
	overLimit = scenario.OverLimit
	ownFault  = 70
	cancelled = 130
)

// exit is an error that knows the code it ends the program with. An empty text
// has been said already.
type exit struct {
	code int
	text string
}

func (e *exit) Error() string { return e.text }

// exitf makes an exit that says something.
func exitf(code int, format string, args ...any) *exit {
	return &exit{code, fmt.Sprintf(format, args...)}
}

// finish turns the error of a command into an exit code and says what is left
// to say, on one line. An error that is no exit is cobra's own and means that
// the command line is wrong.
func finish(w io.Writer, err error) int {
	if err == nil {
		return 0
	}
	var e *exit
	if !errors.As(err, &e) {
		e = exitf(misused, "%s; hint: see potbank help", err)
	}
	if e.text != "" {
		fmt.Fprintf(w, "potbank: error: %s\n", oneLine(e.text))
	}
	return e.code
}

// oneLine keeps a message on one line.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// fault says on one line that the program itself is at fault, and where.
func fault(w io.Writer, value any, place string) int {
	fmt.Fprintf(w, "potbank: internal fault %q at %s; please report it with the scenario and the seed\n", oneLine(fmt.Sprint(value)), place)
	return ownFault
}

// faultPlace finds the file and line that panicked. It must be called from the
// deferred function that recovers.
func faultPlace() string {
	pcs := make([]uintptr, 64)
	frames := runtime.CallersFrames(pcs[:runtime.Callers(1, pcs)])
	panicked := false
	for {
		f, more := frames.Next()
		switch {
		case f.Function == "runtime.gopanic":
			panicked = true
		case panicked && !strings.HasPrefix(f.Function, "runtime."):
			return fmt.Sprintf("%s:%d", filepath.Base(f.File), f.Line)
		case !more:
			return "unknown place"
		}
	}
}

// placeIn finds the file and line that panicked in a stack taken while it was
// recovered. A frame is two lines, the function and its place; those of the
// run-time system between panic and its cause are passed over.
func placeIn(stack []byte) string {
	_, after, _ := strings.Cut(string(stack), "\npanic(")
	lines := strings.Split(after, "\n")
	for i := 2; i+1 < len(lines); i += 2 {
		if place := strings.Fields(lines[i+1]); len(place) > 0 && !strings.HasPrefix(lines[i], "runtime.") {
			return filepath.Base(place[0])
		}
	}
	return "unknown place"
}
