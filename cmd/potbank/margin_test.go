package main

import (
	"strings"
	"testing"

	"potbank/internal/experiment"
)

func TestMargins(t *testing.T) {
	absolute := func(x float64) experiment.Margin { return experiment.Margin{Absolute: x} }
	share := func(x float64) experiment.Margin { return experiment.Margin{Share: x} }
	tests := []struct {
		text, unit string
		want       experiment.Margin
		says       string // of the error; empty: none
	}{
		{"", "pieces/wk", experiment.Margin{}, ""},
		{"25 pieces/wk", "pieces/wk", absolute(25), ""},
		{"25 pieces", "pieces/wk", absolute(25), ""},
		{"0.20 EUR", "EUR/piece", absolute(0.2), ""},
		{"0.20 EUR/piece", "EUR/piece", absolute(0.2), ""},
		{"500 EUR", "EUR/wk", absolute(500), ""},
		{"2 h", "h", absolute(2), ""},
		{"90 min", "h", absolute(1.5), ""},
		{"12 h", "d", absolute(0.5), ""},
		{"2 %", "pieces/wk", share(0.02), ""},
		{"2%", "pieces/wk", share(0.02), ""},
		{"1 %", "%", share(0.01), ""},
		{"0.5 points", "%", absolute(0.5), ""},
		{"0.5 points", "h", experiment.Margin{}, `"0.5 points" is no amount of m, which is in h`},
		{"20 USD", "EUR/piece", experiment.Margin{}, "which is in EUR/piece"},
		{"20", "pieces/wk", experiment.Margin{}, `such as "20 pieces/wk"`},
		{"0 %", "pieces/wk", experiment.Margin{}, "no amount above 0"},
		{"-3 pieces", "pieces/wk", experiment.Margin{}, "no amount above 0"},
		{"NaN pieces", "pieces/wk", experiment.Margin{}, "no amount above 0"},
		{"1e400 pieces", "pieces/wk", experiment.Margin{}, "no amount above 0"},
		{"much", "%", experiment.Margin{}, `such as "0.5 points"`},
		{"2 d", "pieces", experiment.Margin{}, "which is in pieces"},
	}
	for _, test := range tests {
		got, err := marginOf(test.text, "m", test.unit)
		switch {
		case test.says == "" && (err != nil || got != test.want):
			t.Errorf("%q in %s: %+v, error %v; want %+v", test.text, test.unit, got, err, test.want)
		case test.says != "" && (err == nil || !strings.Contains(err.Error(), test.says)):
			t.Errorf("%q in %s: %+v, error %v; want %q", test.text, test.unit, got, err, test.says)
		}
	}
}
