package cell_test

import (
	"testing"

	"potbank/internal/cell"
)

// source: OWASP, CSV injection: the characters that begin a formula (from memory).
func TestTextCannotBeAFormula(t *testing.T) {
	for in, want := range map[string]string{
		"": "", "pan": "pan", "a=b": "a=b", "=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@SUM(A1)": "'@SUM(A1)",
		"\t=1": "'\t=1", "\r=1": "'\r=1", "\n=1": "'\n=1", "'=1": "'=1", " =1": " =1",
	} {
		if got := cell.Text(in); got != want {
			t.Errorf("Text(%q) = %q, want %q", in, got, want)
		}
	}
}
