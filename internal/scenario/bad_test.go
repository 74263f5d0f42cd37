package scenario_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/scenario"
)

var update = flag.Bool("update", false, "write the expected messages and the schemas anew")

// judge reads a scenario as the program does, up to a plant that can run, and
// returns all it is told.
func judge(path string) []scenario.Fault {
	file, faults := scenario.Read(path)
	if file == nil {
		return faults
	}
	_, more := file.Plant()
	return append(faults, more...)
}

// TestBadInputs holds the message for every file of testdata/bad, to the
// letter, and the exit code it asks for. The files vary testdata/sample.yaml
// by one thing each; what needs a file too large to keep is in TestBombs.
func TestBadInputs(t *testing.T) {
	t.Chdir("testdata/bad")
	files, err := filepath.Glob("*.yaml")
	if err != nil || len(files) < 50 {
		t.Fatalf("found %d files: %v", len(files), err)
	}
	var got strings.Builder
	for _, f := range files {
		faults := judge(f)
		if len(faults) == 0 {
			t.Errorf("%s: nothing is said about it", f)
		}
		fmt.Fprintf(&got, "exit %d\n%s\n", scenario.ExitCode(faults), scenario.Faults(faults))
	}
	if *update {
		if err := os.WriteFile("messages.txt", []byte(got.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("messages.txt")
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got.String()); d != "" {
		t.Errorf("messages changed (-want +got):\n%s", d)
	}
}

// TestSample holds that the file the bad ones vary is itself in order.
func TestSample(t *testing.T) {
	if faults := judge("testdata/sample.yaml"); scenario.ExitCode(faults) != 0 {
		t.Error(scenario.Faults(faults))
	}
}

// TestMessageForm holds the form of all messages: short, with a place or for
// the file as a whole, and with something to do.
func TestMessageForm(t *testing.T) {
	messages, err := os.ReadFile("testdata/bad/messages.txt")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(messages)) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "exit ") {
			continue
		}
		if !strings.Contains(line, ": error: ") && !strings.Contains(line, ": warning: ") {
			t.Errorf("no kind of message in %q", line)
		}
		if !strings.Contains(line, "; hint: ") {
			t.Errorf("no hint in %q", line)
		}
		if n := len([]rune(line)); n > 200 {
			t.Errorf("%d characters in %q", n, line)
		}
	}
}

// TestBombs holds that files made to exhaust the machine are refused soon and
// with the right word.
func TestBombs(t *testing.T) {
	keys := new(strings.Builder)
	for i := range 200_000 {
		fmt.Fprintf(keys, "%c%c%c%c,", 'a'+i/17576%26, 'a'+i/676%26, 'a'+i/26%26, 'a'+i%26)
	}
	tests := []struct{ name, text, want string }{
		{"nested", "potbank: 1\nware: " + strings.Repeat("[", 10_000),
			"2:39: error: nested more than 32 deep, stopped reading; hint: a scenario needs 7 levels"},
		{"nested blocks", "ware:\n" + strings.Repeat("- ", 500) + "x\n",
			"2:65: error: nested more than 32 deep, stopped reading; hint: a scenario needs 7 levels"},
		{"keys", "potbank: 1\nware: {" + keys.String() + "}",
			"2:50008: error: more than 10000 entries under ware, stopped reading; hint: split the study into several scenarios"},
		{"lines", strings.Repeat("a:\n", 150_000),
			"100001:1: error: more than 100000 lines, stopped reading; hint: split the study into several scenarios"},
		{"name", "potbank: 1\nname: \"" + strings.Repeat("A", 900_000) + "\"",
			"2:7: error: name is 900000 characters long; the limit is 200; hint: shorten it"},
		{"text", "potbank: 1\nstart: " + strings.Repeat("A", 5000),
			"2:8: error: start is 5000 characters long; the limit is 4096; hint: shorten it"},
		{"aliases", "a: &a [x]\nb: *a\n",
			"1:4: error: anchors and aliases are not accepted; hint: write the value out in full"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "s.yaml")
			if err := os.WriteFile(path, []byte(tt.text), 0o600); err != nil {
				t.Fatal(err)
			}
			began := time.Now()
			_, faults := scenario.Read(path)
			if took := time.Since(began); took > 2*time.Second {
				t.Errorf("took %v", took)
			}
			if len(faults) == 0 {
				t.Fatal("accepted")
			}
			if got := strings.TrimPrefix(faults[0].String(), path+":"); got != tt.want {
				t.Errorf("got  %s\nwant %s", got, tt.want)
			}
			if want := map[bool]int{true: scenario.Refused, false: scenario.OverLimit}[tt.name == "aliases"]; scenario.ExitCode(faults) != want {
				t.Errorf("exit %d, want %d", scenario.ExitCode(faults), want)
			}
		})
	}
}

// TestBadPaths holds what is said of paths that hold no scenario.
func TestBadPaths(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := syscall.Mkfifo("pipe", 0o600); err != nil {
		t.Fatal(err)
	}
	large, err := os.Create("large.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := large.Truncate(2 << 30); err != nil { // a hole, not 2 GiB of disk
		t.Fatal(err)
	}
	large.Close()
	tests := []struct {
		path, want string
		code       int
	}{
		{".", ".: error: not a regular file; hint: pass a .yaml file, or - to read standard input", scenario.NotFound},
		{"pipe", "pipe: error: not a regular file; hint: pass a .yaml file, or - to read standard input", scenario.NotFound},
		{os.DevNull, os.DevNull + ": error: not a regular file; hint: pass a .yaml file, or - to read standard input", scenario.NotFound},
		{"none.yaml", "none.yaml: error: there is no such file; hint: check the path; the files in scenarios are there to start from", scenario.NotFound},
		{"large.yaml", "large.yaml: error: larger than the 1 MiB limit, stopped reading; hint: a scenario is normally under 20 kB; put measured data in a CSV file", scenario.OverLimit},
	}
	for _, tt := range tests {
		file, faults := scenario.Read(tt.path)
		if file != nil || len(faults) != 1 || faults[0].String() != tt.want || faults[0].Code != tt.code {
			t.Errorf("Read(%q) = %v, %v; want %q, code %d", tt.path, file, faults, tt.want, tt.code)
		}
	}
}

// TestFaultsAreCutShort holds the list at 20.
func TestFaultsAreCutShort(t *testing.T) {
	var list []scenario.Fault
	for i := range 32 {
		list = append(list, scenario.Fault{File: "s.yaml", Line: i + 1, Col: 1, What: "wrong", Hint: "mend it", Code: scenario.Refused})
	}
	text := scenario.Faults(list)
	if n := strings.Count(text, "\n"); n != 21 || !strings.HasSuffix(text, "\nand 12 more\n") {
		t.Errorf("%d lines, ending %q", n, text[len(text)-30:])
	}
}

// TestManyFaultsAtOnce holds that faults are gathered, not found one by one,
// and come in the order of the file.
func TestManyFaultsAtOnce(t *testing.T) {
	text, err := os.ReadFile("testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	bad := strings.NewReplacer("length: 26 wk", "length: 26", "17 kg", "17 kgs", "ware: pan\n", "ware: pam\n",
		"cycle: 36 h", "cylce: 36 h", "most: 1", "most: x").Replace(string(text))
	path := filepath.Join(t.TempDir(), "s.yaml")
	if err := os.WriteFile(path, []byte(bad), 0o600); err != nil {
		t.Fatal(err)
	}
	_, faults := scenario.Read(path)
	var lines []int
	for _, f := range faults {
		lines = append(lines, f.Line)
	}
	if d := cmp.Diff([]int{5, 18, 29, 45, 60}, lines); d != "" {
		t.Errorf("lines of faults (-want +got):\n%s%s", d, scenario.Faults(faults))
	}
}
