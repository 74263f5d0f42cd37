package report

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"testing"

	"potbank/internal/experiment"
)

func TestAnswerAsJSON(t *testing.T) {
	var b bytes.Buffer
	if err := JSON(&b, sample(), "0.0.0"); err != nil {
		t.Fatal(err)
	}
	golden(t, "answer.json", b.Bytes())
}

// Other programs rely on these keys, and on lists that are never null.
func TestJSONKeysAndLists(t *testing.T) {
	var b bytes.Buffer
	if err := JSON(&b, &experiment.Answer{}, "0.0.0"); err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	dec := json.NewDecoder(&b)
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	if _, err := dec.Token(); err != io.EOF {
		t.Errorf("more than one document: %v", err)
	}
	for _, key := range []string{"version", "scenario", "seed", "replications", "weeks", "warm_up_weeks"} {
		if doc[key] == nil {
			t.Errorf("no %q", key)
		}
	}
	for _, key := range []string{"measures", "hand", "warnings", "audit", "orders", "departments", "unmeasured", "cost_lines"} {
		if list, ok := doc[key].([]any); !ok || len(list) != 0 {
			t.Errorf("%q of an empty answer is %v, want []", key, doc[key])
		}
	}
}

func TestJSONNumbers(t *testing.T) {
	tests := []struct {
		value  float64
		want   string
		reason string
	}{
		{6012.123456789, "6012.123457", "ten digits"},
		{1.0 / 3, "0.3333333333", "ten digits"},
		{0.1 + 0.2, "0.3", "the last bit does not show"},
		{1e21, "1e+21", "JSON allows exponents"},
		{math.Copysign(0, -1), "0", "no negative zero"},
		{math.NaN(), "null", "nothing to measure"},
		{math.Inf(1), "null", "no bound"},
		{42, "42", "whole"},
	}
	for _, test := range tests {
		got, err := json.Marshal(number(test.value))
		if err != nil || string(got) != test.want {
			t.Errorf("%s: %g is printed %s (%v), want %s", test.reason, test.value, got, err, test.want)
		}
	}
}
