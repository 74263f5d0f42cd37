package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"potbank/internal/des"
	"potbank/internal/experiment"
)

// A doubt cut short by the user ends with 130 and says what was kept; one whose
// run failed ends as any failed replication does.
func TestDoubtCutShort(t *testing.T) {
	tests := []struct {
		reason string
		answer experiment.Answer
		err    error
		code   int
		want   string
	}{
		{"stopped", experiment.Answer{Doubt: &experiment.Doubt{Draws: 7}}, context.Canceled, cancelled, "stopped: 7 of 25 works drawn from the evidence kept"},
		{"stopped before the second works", experiment.Answer{}, context.Canceled, cancelled, "stopped: 0 of 25 works"},
		{"a run got stuck", experiment.Answer{}, &experiment.ReplicationError{Number: 3, Err: errors.New("dryer waits for kiln")}, inPart, "replication 3: dryer waits for kiln"},
		{"a run panicked", experiment.Answer{}, &experiment.ReplicationError{Number: 3, Err: fmt.Errorf("works: %w", &des.PanicError{Value: "lost a piece"})}, ownFault, "lost a piece"},
	}
	for _, test := range tests {
		var said bytes.Buffer
		p := &program{err: &said}
		code := finish(&said, p.doubtCut(&test.answer, 25, test.err))
		if code != test.code || !strings.Contains(said.String(), test.want) {
			t.Errorf("%s: exit %d, said %q; want %d and %q", test.reason, code, said.String(), test.code, test.want)
		}
	}
}

func TestProgressOfDrawnWorks(t *testing.T) {
	p := experiment.Progress{Doing: experiment.Drawing, Most: 25, Fewest: 25}
	if got := describe(p, time.Second); got != "works drawn from the evidence: 0 of 25 done" {
		t.Errorf("at first: %s", got)
	}
	p.Replications = 5
	if got := describe(p, 10*time.Second); got != "works drawn from the evidence: 5 of 25 done; about 40s to go" {
		t.Errorf("later: %s", got)
	}
}
