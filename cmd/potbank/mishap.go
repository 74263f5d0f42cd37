package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"

	"potbank/internal/scenario"
)

// mishap says on one line that the program itself is at fault and where, and puts
// what is needed to find the fault into a file that it names. when is what was
// being done, such as " in replication 4". It returns the code to end with.
func (p *program) mishap(value any, stack []byte, when string) int {
	what := fmt.Sprintf("internal fault %q at %s%s", oneLine(fmt.Sprint(value)), placeIn(stack), when)
	report := "the scenario and the seed"
	if path, err := p.writeMishap(what, stack); err == nil {
		report = path
	}
	fmt.Fprintf(p.err, "potbank: %s; please report it with %s\n", what, report)
	return ownFault
}

// writeMishap writes the details into the folder for temporary files, since the
// present one is the user's.
func (p *program) writeMishap(what string, stack []byte) (path string, err error) {
	file, err := os.CreateTemp("", "potbank-fault-*.txt")
	if err != nil {
		return "", err
	}
	fmt.Fprintf(file, "%s\npotbank %s, %s %s/%s\npotbank %s\n", what, version, runtime.Version(), runtime.GOOS, runtime.GOARCH, discreet(p.args))
	for _, f := range p.read {
		fmt.Fprintf(file, "%s: hash %s, seed %d unless --seed says another\n", f.Path, f.Hash, f.Works.Run.Seed)
	}
	fmt.Fprintf(file, "\n%s", stack)
	return file.Name(), file.Close()
}

// mostRead is how many of the works of a question are listed.
const mostRead = 20

// noteRead notes a works for the report of a mishap.
func (p *program) noteRead(file *scenario.File) {
	known := func(f *scenario.File) bool { return f.Hash == file.Hash }
	if len(p.read) < mostRead && !slices.ContainsFunc(p.read, known) {
		p.read = append(p.read, file)
	}
}

// secret are the parts of a command line that are not for a report: where the
// token lies and what is in a URL before its host.
var secret = regexp.MustCompile(`(--token[= ])\S+|(://)[^/@ ]+@`)

// discreet is a command line without its secrets.
func discreet(args []string) string {
	return secret.ReplaceAllString(strings.Join(args, " "), "${1}${2}...")
}

// placeIn finds the file and line that panicked in a stack taken while it was
// recovered. A frame is two lines, the function and its place; those of the
// run-time system between panic and its cause are passed over.
func placeIn(stack []byte) string {
	// One that was passed on by a panic of its own stands below that.
	text := string(stack)
	at := strings.LastIndex(text, "\npanic(")
	if at < 0 {
		return "unknown place"
	}
	lines := strings.Split(text[at+1:], "\n")
	for i := 2; i+1 < len(lines); i += 2 {
		if place := strings.Fields(lines[i+1]); len(place) > 0 && !strings.HasPrefix(lines[i], "runtime.") {
			return filepath.Base(place[0])
		}
	}
	return "unknown place"
}
