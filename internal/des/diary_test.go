package des_test

import (
	"fmt"
	"strings"
	"testing"

	"potbank/internal/des"
)

// diary is what happens in a small model, a line for each thing, to be compared with
// what ought to.
type diary struct {
	t     *testing.T
	s     *des.Sim
	lines []string
}

// newDiary makes a run and an empty diary of it. The run is closed with the test.
func newDiary(t *testing.T) *diary {
	d := &diary{t: t, s: des.New()}
	t.Cleanup(d.s.Close)
	return d
}

// note writes a line, "seconds: text".
func (d *diary) note(format string, args ...any) {
	d.lines = append(d.lines, fmt.Sprintf("%v: ", float64(d.s.Now())/1000)+fmt.Sprintf(format, args...))
}

// timer gives a timer that notes its name.
func (d *diary) timer(name string) des.Timer {
	return des.TimerFunc(func(des.Time) { d.note("%s", name) })
}

// at has something done at an instant, at rank Start.
func (d *diary) at(t des.Time, do func()) {
	d.s.At(t, des.Start, des.TimerFunc(func(des.Time) { do() }))
}

// run runs the model to an instant and fails the test if that is an error.
func (d *diary) run(until des.Time) {
	d.t.Helper()
	if err := d.s.Run(until); err != nil {
		d.t.Fatalf("Run(%v): %v", until, err)
	}
}

// wants compares the diary with the lines of want; those of want may be indented.
func (d *diary) wants(want string) {
	d.t.Helper()
	var lines []string
	for line := range strings.Lines(want) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	if got, want := strings.Join(d.lines, "\n"), strings.Join(lines, "\n"); got != want {
		d.t.Errorf("it happened\n%s\nbut should have\n%s", indent(got), indent(want))
	}
}

func indent(text string) string { return "\t" + strings.ReplaceAll(text, "\n", "\n\t") }

// mustPanic fails unless do panics with a text that contains want.
func mustPanic(t *testing.T, want string, do func()) {
	t.Helper()
	defer func() {
		t.Helper()
		if got := fmt.Sprint(recover()); !strings.Contains(got, want) {
			t.Errorf("panic %q, want one with %q", got, want)
		}
	}()
	do()
}

const sec = des.Second
