package scenario

import (
	"os"
	"strings"
	"testing"
)

// messages are further slips, each a change of one place of
// testdata/sample.yaml, and the first message about it without the name of the
// file. No message means that the file is accepted.
var messages = []struct{ old, new, want string }{
	// Forms of values.
	{"  length: 26 wk\n", "  length:\n", "5:10: error: run.length is empty; hint: write a value behind the colon, or delete the key"},
	{"  length: 26 wk\n", "  length: {wk: 26}\n", "5:11: error: run.length must be one value, got a set; hint: write one value behind the colon"},
	{"run:\n  length: 26 wk\n  warm-up: 4 wk\n  replications: 30\n  seed: 1759\n", "run:\n",
		"4:5: error: run is empty; hint: write its keys on the lines below, indented, or delete the key"},
	{"refire: {crew: hands, time: 8 min, most: 1}", "refire: yes", "60:9: error: refire must be a set of keys, got a value; hint: write crew: on the next line, indented"},
	{"roster: {day: 2}", "roster: 2", "13:21: error: crews.casters.roster must be a set by name, got a value; hint: write names and values, such as {a: 1, b: 2}"},
	{"    kind: tunnel\n", "    kind: tunnel\n    curve: {to: 1200 degC}\n", "54:12: error: kilns.tunnel.curve must be a list, got a set; hint: begin each line with a dash and a space"},
	{"    kind: tunnel\n", "    kind: tunnel\n    curve: [{to: 1200 degC, rtae: 60 degC/h}]\n", `54:29: error: unknown key "rtae" under kilns.tunnel.curve.1; hint: did you mean rate?`},
	{"    kind: chamber\n", "    kind: chamber\n    ware: {pan: yes}\n", "44:11: error: dryers.chamber.ware must be a list, got a set; hint: write one value, or several in brackets, such as [a, b]"},
	{"{after: 4 h, until: 9 h}", "{opens: 19 %, closes: 15 %, late-loss: 4 %}", "22:52: error: ware.pan.window.late-loss must be a set of points, got a value; hint: write points such as {19 %: 0 %, 20 %: 4 %}"},
	{"{after: 4 h, until: 9 h}", "{opens: 19 %, closes: 15 %, late-loss: {15: 0 %}}", "22:53: error: late-loss has no unit; hint: write 15 %"},
	// Words.
	{"    kind: tunnel\n", "    kind: tunel\n", `53:11: error: kind must be one of tunnel, shuttle, roller, got "tunel"; hint: did you mean tunnel?`},
	{"    kind: tunnel\n", "    kind: oven\n", `53:11: error: kind must be one of tunnel, shuttle, roller, got "oven"; hint: write tunnel or shuttle or roller`},
	{"punch: 3 min", "reclaim: true\n  punch: 3 min", `39:12: error: reclaim is answered by yes or no, got "true"; hint: write yes`},
	{"punch: 3 min", "reclaim: off\n  punch: 3 min", `39:12: error: reclaim is answered by yes or no, got "off"; hint: write no`},
	{"punch: 3 min", "reclaim: maybe\n  punch: 3 min", `39:12: error: reclaim is answered by yes or no, got "maybe"; hint: write yes or no`},
	{"punch: 3 min", "reclaim: no\n  punch: 3 min", ""},
	{"run:\n", "currency: euro\nrun:\n", `4:11: error: "euro" is not a currency code of three capital letters; hint: write a code such as EUR or USD`},
	{"run:\n", "currency: USD\nrun:\n", "65:21: error: price is in EUR, but this scenario counts in USD; hint: give the amount in USD"},
	{"run:\n", "time-zone: Atlantis\nrun:\n", `4:12: error: unknown time zone "Atlantis"; hint: write a zone such as Europe/Berlin or UTC`},
	{"warm-up: 4 wk", "warm-up: none", `6:12: error: warm-up is "none"; hint: write auto, or whole weeks such as 8 wk`},
	{"warm-up: 4 wk", "warm-up: 10 d", "6:12: error: the warm-up must be whole weeks, got 10 d; hint: write auto, or whole weeks such as 8 wk"},
	{"warm-up: 4 wk", "warm-up: 4", "6:12: error: warm-up has no unit; hint: write 4 h or 4 min"},
	{"warm-up: 4 wk", "warm-up: auto", ""},
	{"{weeks: Mon-Fri 06:00-14:00}", `{weeks: ["Mon-Fri 06:00-14:00", Sat 06:00-12:00]}`,
		"10:16: warning: these are 2 weeks that rotate, and no day is worked in two of them; hint: put them in one pair of quotes if they are one week"},
	{"{weeks: Mon-Fri 06:00-14:00}", "{weeks: [Mon-Fri 06:00-14:00, Wed-Mon 14:00-22:00]}", ""},
	{"{weeks: Mon-Fri 06:00-14:00}", "{weeks: [Sun 06:00-14:00, daily 14:00-22:00]}", ""},
	// Keys and names.
	{"    moulds: 60\n", "    moulds: 60\n    orders: 2\n", "29:5: error: orders does not belong under benches.bench-1; hint: move it under the outermost level"},
	{"run:\n", "kind: tunnel\nrun:\n", "4:1: error: kind does not belong at the outermost level; hint: it belongs under dryers.<name>, glazing.booths.<name> or kilns.<name>"},
	{"run:\n", "zzzz: 1\nrun:\n", `4:1: error: unknown key "zzzz"; hint: keys here: time-zone, currency, working-time, closures, casting-shop, mould-shop, presses, tests, opening-state`},
	{"  bench-1:\n", "  bench 1:\n", `27:3: error: "bench 1" has " " in its name; hint: names hold letters, digits, - and _`},
	{"    mould-life: 100 casts\n", "    mould-life: 100 casts\n    change-over: {soon: {ware: pan}}\n", `37:19: error: "soon" names no date; hint: write a date such as 2027-06-01`},
	{"    mould-life: 100 casts\n", "    mould-life: 100 casts\n    change-over: {2027-06-01: {ware: pan}}\n", ""},
	// YAML.
	{"  length: 26 wk\n", "  length 26 wk\n", "5:3: error: this line has no colon after its key; hint: write a key, a colon, a space and a value on one line"},
	{"  length: 26 wk\n", "   length: 26 wk\n", "6:3: error: this line does not fit the indentation of those above it; hint: indent the keys of one section alike, by spaces"},
	{"  length: 26 wk\n", "  length: 26: wk\n", "5:13: error: a colon is not expected here; hint: check the indentation, and put quotes round a text that holds a colon and a space"},
	{"roster: {day: 2}", "roster: {day: 2 night: 3}", "13:34: error: a comma or a closing bracket is missing before this; hint: the bracket was opened on line 13"},
	{"name: Line A, close-coupled pan", `name: "Line \A"`, "2:13: error: the character after this backslash has no meaning; hint: write the text in single quotes, or double the backslash"},
	{"name: Line A, close-coupled pan", `name: "Line \x07 A"`, "2:7: error: control character U+0007 in name; hint: remove it; a text holds letters, digits, spaces and punctuation"},
	{"name: Line A, close-coupled pan", "name: Line\tA", "2:11: error: a tab stands here; hint: write spaces instead"},
	{"name: Line A, close-coupled pan", "name: @home", "2:7: error: a text cannot begin with @; hint: put the text in quotes"},
	{"name: Line A, close-coupled pan", "name: |\n  Line A", "2:7: error: block texts are not accepted; hint: write the text on the line of its key"},
	{"name: Line A, close-coupled pan", "? [a]\n: x", "2:3: error: a key must be one word, got a list; hint: write a key as one word and a colon"},
	{"name: Line A, close-coupled pan", `"": x`, "2:1: error: the key is empty; hint: write a key before the colon"},
	{"potbank: 1\n", "%YAML 1.2\n---\npotbank: 1\n", "1:1: error: YAML directives are not accepted; hint: take the line away"},
	{"potbank: 1\n", "---\npotbank: 1\n", ""},
	{"sorting: {crew: hands, time: 2 min}", "sorting: {crew: hands, time: lognormal(mean 2 min, sd 1 min)}",
		"59:30: error: inside brackets a comma ends a value, even between ( and ); hint: put the value in quotes"},
	{"name: Line A, close-coupled pan", "name: \u202eLine A", "2:7: error: control character U+202E in name; hint: remove it; a text holds letters, digits, spaces and punctuation"},
	{"potbank: 1\n", "\ufeffpotbank: 1\n", "1:1: error: a byte-order mark (U+FEFF) comes before the text; hint: save the file as UTF-8 without byte-order mark"},
	{"\n", "\r\n", ""},
	// Data beside the file.
	{"run:\n", "closures: {holidays: none.ics}\nrun:\n", `4:22: error: there is no file "none.ics" in the folder of this scenario; hint: put it beside the scenario`},
	{"run:\n", "closures: {holidays: times.csv}\nrun:\n", "4:22: error: not an iCalendar file: ical: malformed content line: missing colon; hint: export the calendar again, as an iCalendar (.ics) file"},
	{"run:\n", "closures: {rules: FREQ=HOURLY}\nrun:\n", "4:19: error: FREQ=HOURLY repeats within a day, but the works closes for whole days; hint: use DAILY, WEEKLY, MONTHLY or YEARLY"},
}

// TestMessages holds what is said of each.
func TestMessages(t *testing.T) {
	sample, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range messages {
		if !strings.Contains(string(sample), tt.old) {
			t.Fatalf("the sample has no %q", tt.old)
		}
		times := 1
		if tt.old == "\n" {
			times = -1
		}
		_, faults := read([]byte(strings.Replace(string(sample), tt.old, tt.new, times)), "s.yaml", "testdata")
		got := ""
		if len(faults) > 0 {
			got = strings.TrimPrefix(faults[0].String(), "s.yaml:")
		}
		if got != tt.want {
			t.Errorf("%q:\ngot  %s\nwant %s", tt.new, got, tt.want)
		}
	}
}

// TestOnlyComments holds what is said of a file without content.
func TestOnlyComments(t *testing.T) {
	for text, want := range map[string]string{
		"# nothing yet\n": "s.yaml: error: the file holds only comments; hint: begin with a copy of one of the files in scenarios\n",
		"- a\n- b\n":      "s.yaml:1:1: error: a scenario is a set of keys and values, got a list; hint: begin with potbank: 1\n",
		"hello\n":         "s.yaml:1:1: error: this line has no colon after its key; hint: write a key, a colon, a space and a value on one line\n",
	} {
		if _, faults := read([]byte(text), "s.yaml", "."); Faults(faults) != want {
			t.Errorf("%q: %s", text, Faults(faults))
		}
	}
}

// TestFaultsKeepToTheirLine holds that what a stranger wrote cannot act on the
// terminal that a message is shown on.
func TestFaultsKeepToTheirLine(t *testing.T) {
	f := Fault{File: "a\nb.yaml", Line: 1, Col: 2, What: "x\x1b[2Jy\u202ez", Code: Refused}
	if got, want := f.String(), "a\uFFFDb.yaml:1:2: error: x\uFFFD[2Jy\uFFFDz"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestPlacesOfPaths holds where a fault of plant.New is put: on the value it
// names or, if the file is silent about that, on the section that lacks it.
func TestPlacesOfPaths(t *testing.T) {
	data, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	f, faults := read(data, "s.yaml", "testdata")
	if f == nil {
		t.Fatal(Faults(faults))
	}
	tests := []struct {
		path              string
		offset, line, col int
	}{
		{"kilns.tunnel.push", 0, 56, 11},
		{"kilns.tunnel.push", 3, 56, 14},
		{"kilns.tunnel", 0, 53, 5},           // the set itself
		{"kilns.tunnel.slow-push", 0, 52, 3}, // silent: the key of the kiln
		{"kilns.tunnel.wrecks.stop", 0, 52, 3},
		{"casting-shop.floor", 0, 1, 1},
		{"", 0, 0, 0},
	}
	for _, tt := range tests {
		if at := f.placeOf(tt.path, tt.offset); at.line != tt.line || at.col != tt.col {
			t.Errorf("%s+%d is at %d:%d, want %d:%d", tt.path, tt.offset, at.line, at.col, tt.line, tt.col)
		}
	}
}
