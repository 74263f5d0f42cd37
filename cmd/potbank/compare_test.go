package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"potbank/internal/des"
	"potbank/internal/experiment"
)

func TestNamesOfOptions(t *testing.T) {
	tests := []struct{ paths, want []string }{
		{[]string{"works.yaml", "sub/longer.yml", "-"}, []string{"works", "longer", "standard input"}},
		{[]string{"a/works.yaml", "b/works.yaml", "c.yaml"}, []string{"a/works.yaml", "b/works.yaml", "c"}},
	}
	for _, test := range tests {
		if got := namesOf(test.paths); !slices.Equal(got, test.want) {
			t.Errorf("%v are named %v, want %v", test.paths, got, test.want)
		}
	}
}

func TestHowAComparisonEnds(t *testing.T) {
	t.Setenv("TMPDIR", "/nowhere") // where no details can be written
	fail := func(err error) *experiment.OptionError {
		return &experiment.OptionError{Option: "longer", ReplicationError: &experiment.ReplicationError{Number: 4, Err: err}}
	}
	r := &experiment.Comparison{Options: []experiment.Compared{
		{Name: "works", Answer: &experiment.Answer{Replications: 12}},
		{Name: "longer", Answer: &experiment.Answer{Replications: 11}},
	}}
	tests := []struct {
		reason string
		result *experiment.Comparison
		err    error
		code   int
		says   string
	}{
		{"whole", r, nil, 0, ""},
		{"cancelled", r, context.Canceled, 130, "stopped: replications kept: works 1-12, longer 1-11; run the same command again for all\n"},
		{"cancelled before the first", nil, context.Canceled, 130, "potbank: error: stopped before the first replication of every option ended: there is nothing to show\n"},
		{"stuck", r, fail(errors.New("dryer waits for kiln")), 3, "potbank: error: longer: replication 4: dryer waits for kiln\n"},
		{"stuck at once", nil, fail(errors.New("dryer waits for kiln")), 3, "potbank: error: longer: replication 4: dryer waits for kiln\n"},
		{"the program's own fault", r, fail(&des.PanicError{Value: "index out of range"}), 70, "potbank: internal fault \"index out of range\" at unknown place in replication 4; please report it with the scenario and the seed\n"},
		{"settings", nil, errors.New("experiment: a budget of 3 replications"), 5, "potbank: error: a budget of 3 replications\n"},
	}
	for _, test := range tests {
		c := newConsole()
		p := c.program()
		var err error
		if test.result == nil {
			err = p.uncompared(test.err)
		} else {
			err = p.cutShort(test.result, test.err)
		}
		if code := finish(p.err, err); code != test.code || c.err.String() != test.says {
			t.Errorf("%s: code %d, said %q; want %d, %q", test.reason, code, c.err.String(), test.code, test.says)
		}
	}
}

// Ctrl-C ends a comparison with what it has, labelled.
func TestInterruptedComparisonIsLabelled(t *testing.T) {
	c := newConsole()
	time.AfterFunc(time.Second, func() { c.interrupts <- os.Interrupt })
	dir := t.TempDir() + "/"
	small, err := os.ReadFile("../../scenarios/small-works.yaml")
	if err != nil {
		t.Fatal(err)
	}
	holidays, err := os.ReadFile("../../scenarios/holidays.ics")
	if err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string][]byte{
		"works.yaml": small, "holidays.ics": holidays, "faster.yaml": []byte("base: works.yaml\nname: Faster\nsorting: {time: 1 min}\n"),
	} {
		if err := os.WriteFile(dir+name, content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	args := []string{"compare", dir + "works.yaml", dir + "faster.yaml", "--replications", "100000", "--longest", "0", "--weeks", "8"}
	if code := run(args, strings.NewReader(""), &c.out, &c.err, c.environment()); code != 130 {
		t.Fatalf("code %d, want 130; said %s", code, c.err.String())
	}
	if c.out.String() == "" {
		return // not one replication of each in a second
	}
	if !strings.Contains(c.out.String(), "(partial) of 8 weeks") || !strings.Contains(c.err.String(), "replications kept: works 1-") {
		t.Errorf("not labelled partial; said %q", c.err.String())
	}
}

func TestLinesAreSaidOnce(t *testing.T) {
	var b bytes.Buffer
	o := &once{w: &b, said: map[string]bool{}}
	for _, text := range []string{"base: warning\nown: warning\n", "base: warning\n", "other: warning\nbase: warning\n"} {
		if n, err := o.Write([]byte(text)); n != len(text) || err != nil {
			t.Errorf("wrote %d, error %v", n, err)
		}
	}
	if want := "base: warning\nown: warning\nother: warning\n"; b.String() != want {
		t.Errorf("said %q, want %q", b.String(), want)
	}
}
