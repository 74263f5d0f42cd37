package main

import (
	"errors"
	"fmt"
	"io"
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
