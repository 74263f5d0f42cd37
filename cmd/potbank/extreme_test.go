package main

import (
	"os"
	"strings"
	"testing"
)

// instant are changes of the sample after which all work takes no time, nothing
// is good and everything is fired again, as often as may be.
var instant = []string{
	"fill: 25 min", "fill: 0 min", "drain: 20 min", "drain: 0 min", "set: 75 min", "set: 0 min", "demould: 2 min", "demould: 0 min",
	"punch: 3 min", "punch: 0 min", "lognormal(mean 6 min, sd 1 min)", "0 min", "time: 6 min}", "time: 0 min}",
	"white-inspection: {crew: hands, time: 2 min}", "white-inspection: {crew: hands, time: 0 min}",
	"sorting: {crew: hands, time: 2 min}", "sorting: {crew: hands, time: 0 min}", "time: 8 min, most: 1", "time: 0 min, most: 5",
	"packing: {crew: hands, time: 2 min}", "packing: {crew: hands, time: 0 min}",
	"{a: 83 %, refire: 8 %}", "{a: 0 %, refire: 100 %}\n      refire: {a: 0 %, refire: 100 %}",
	"loading: 1 h, firing: 10 h, cooling: 8 h, drawing: 1 h", "loading: 0 h, firing: 1 ms, cooling: 0 h, drawing: 0 h", "shuttle, fires: refire, load: 20", "shuttle, fires: refire, load: 1",
}

// extremes are works that can be read, each the sample with some texts replaced,
// and what must be said of them, by standard error and the answer. The longest
// run that they ask for ends in seconds.
var extremes = []struct {
	name    string
	changes []string
	args    []string
	code    int
	says    []string
}{
	{"all at once and nothing good", instant, nil, 0, []string{
		"24:7: warning: no cast of pan can become a good piece; these orders can never be finished: first; hint: check the yields",
		"0 good pieces of ", "no further refire"}},
	{"a circle that takes no time", append([]string{"firing: 10 h", "firing: 0 h"}, instant[:len(instant)-4]...), nil, 4, []string{
		"59:75: error: firing must be above zero; hint: give the time from light-up to the end of the soak"}},
	{"a kiln that waits for a load that never comes", []string{
		"kind: tunnel\n    inside: 12\n    load: 20\n    push: 75 min\n    energy-base: 1.6 GJ/h", "kind: shuttle\n    fires: first\n    load: 1000\n    start: full\n    loading: 1 h\n    firing: 10 h\n    cooling: 8 h\n    drawing: 1 h",
		"length: 26 wk", "length: 4 wk", "warm-up: 4 wk", "warm-up: 1 wk"}, nil, 0, []string{
		"nothing was packed in the last week although ", "tunnel 1 waits for bell tunnel load"}},
	{"a spread that cannot be meant", []string{"lognormal(mean 6 min, sd 1 min)", "lognormal(mean 1 min, sd 25000000 min)"}, nil, 0, []string{
		"40:11: warning: the sd is 2.5e+07 times the mean: most draws lie near zero and the mean is hardly ever met; hint: check the sd and its unit"}},
	{"a spread beyond all time", []string{"lognormal(mean 6 min, sd 1 min)", "lognormal(mean 1 min, sd 1000000000 min)"}, nil, 6, []string{
		"40:36: error: sd is above the limit of 50 yr; hint: shorten it"}},
	{"a window that most ware misses", []string{"{after: 4 h, until: 9 h}", "{after: 4 h, until: 5 h}"}, nil, 0, []string{
		"22:13: warning: 50 % of pan leave their window with no finisher on shift, e.g. what is demoulded on Fri 11:40; hint: move the fills or the finishers, or cover the ware"}},
	{"all green ware scrapped", []string{"casting: 94 %", "casting: 0 %"}, nil, 0, []string{
		"24:7: warning: no cast of pan can become a good piece; these orders can never be finished: first; hint: check the yields",
		"Order first was not finished within the run of 26 weeks in 3 of 3 replications.", "95 of 100 cases not within the run -"}},
	{"an order beyond the run", []string{"length: 26 wk", "length: 8 wk"}, nil, 0, []string{
		"Order first was not finished within the run of 8 weeks in 3 of 3 replications.", "95 of 100 cases not within the run -"}},
	{"one replication", nil, []string{"--replications", "1"}, 0, []string{
		"No interval: one replication. It says nothing about the spread"}},
	{"more than the dryer takes", []string{"cycle: 36 h", "cycle: 360 h"}, nil, 0, []string{
		"warning: chamber cannot do what is asked: 235 trolleys/wk needed of 37 (629 %); hint: add capacity or plan less",
		"Ware piles up in finishing by about ", "Averages of stock and lead time describe the length of the run, not the works."}},
	{"joules", []string{"9.5 MJ", "9.5 J"}, nil, 4, []string{
		"46:23: error: the energy rounds to zero; the smallest step is 1 kJ; hint: write 0 MWh if you mean no energy"}},
	{"kilojoules", []string{"9.5 MJ", "9.5 kJ"}, nil, 0, []string{
		"43:5: warning: chamber burns 0.000519 MJ a kg of ware; drying takes between 0.01 and 100; hint: check the unit of its energy"}},
	{"gigajoules", []string{"9.5 MJ", "9.5 GJ"}, nil, 0, []string{
		"43:5: warning: chamber burns 493 MJ a kg of ware; drying takes between 0.01 and 100; hint: check the unit of its energy"}},
	{"megajoules an hour", []string{"1.6 GJ/h", "1.6 MJ/h"}, nil, 0, []string{
		"53:5: warning: tunnel burns 0.0594 MJ a kg of ware; firing takes between 0.1 and 500; hint: check the unit of its energy"}},
	{"the smallest time there is", []string{"packing: {crew: hands, time: 2 min}", "packing: {crew: hands, time: 1 ms}"}, nil, 0, nil},
	{"less than the smallest", []string{"packing: {crew: hands, time: 2 min}", "packing: {crew: hands, time: 0.4 ms}"}, nil, 4, []string{
		"61:30: error: the time rounds to zero; the smallest step is 1 ms; hint: write 0 min if you mean no time"}},
}

// TestExtremes holds that works at the edge of sense end, and are stopped or
// explained.
func TestExtremes(t *testing.T) {
	text, err := os.ReadFile("../../internal/scenario/testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	for _, tt := range extremes {
		works := string(text)
		for i := 0; i < len(tt.changes); i += 2 {
			if !strings.Contains(works, tt.changes[i]) {
				t.Fatalf("%s: the sample has no %q", tt.name, tt.changes[i])
			}
			works = strings.Replace(works, tt.changes[i], tt.changes[i+1], 1)
		}
		if err := os.WriteFile("s.yaml", []byte(works), 0o600); err != nil {
			t.Fatal(err)
		}
		code, out, said := carriedOut(append([]string{"run", "s.yaml", "--doubt", "0", "--replications", "3"}, tt.args...)...)
		if code != tt.code || code != 0 && out != "" {
			t.Errorf("%s: exit %d, want %d; said %s", tt.name, code, tt.code, said)
		}
		all := oneLine(said + " " + out)
		for _, s := range tt.says {
			if !strings.Contains(all, s) {
				t.Errorf("%s: nothing is said of %q in\n%s", tt.name, s, all[:min(len(all), 3000)])
			}
		}
	}
}
