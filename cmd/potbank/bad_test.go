package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"potbank/internal/experiment"
)

// hang is when a refusal counts as one that does not come. A file is refused in
// some milliseconds; how many is printed, since a loaded machine takes longer.
const hang = 10 * time.Second

// outputs are all that a study can be told to write, into the present folder.
var outputs = []string{"--replications", "2", "--html", "answer.html", "--csv", "tables", "--xlsx", "answer.xlsx", "--ledger", "answer.ledger"}

// carriedOut is what a command line gives, run in this process.
func carriedOut(args ...string) (code int, out, said string) {
	c := newConsole()
	env := c.environment()
	env.watch = func(experiment.Progress) {} // lines of progress come by the clock
	code = run(args, strings.NewReader(""), &c.out, &c.err, env)
	return code, c.out.String(), c.err.String()
}

// badFiles goes to a folder with the files of testdata/bad and what they name,
// and lists them.
func badFiles(t testing.TB) []string {
	dir := t.TempDir()
	sample, err := os.ReadFile("../../internal/scenario/testdata/sample.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(dir, os.DirFS("../../testdata/bad")); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "base.yaml"), sample, 0o600); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	files, err := filepath.Glob("*-*.yaml")
	if err != nil || len(files) < 100 {
		t.Fatalf("found %d files: %v", len(files), err)
	}
	return files
}

// commandFor is the command that a file is for: that of a question is the one it
// asks for.
func commandFor(t testing.TB, file string) string {
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	switch asks := regexp.MustCompile(`(?m)^ask: (\w+)$`).FindSubmatch(text); {
	case asks == nil:
		return "run"
	case slices.Contains([]string{"size", "promise", "master"}, string(asks[1])):
		return string(asks[1])
	}
	return "compare"
}

// TestBadInputs holds what is said of every file of testdata/bad, to the letter,
// and the code the command ends with. The scenarios vary the sample by one thing
// each, and so do the tables, calendars, changes and questions about it. Nothing
// is written, neither to standard output nor to any file.
func TestBadInputs(t *testing.T) {
	messages, err := filepath.Abs("../../testdata/bad/messages.txt")
	if err != nil {
		t.Fatal(err)
	}
	files := badFiles(t)
	before := listing(t)
	var got strings.Builder
	var slowest time.Duration
	for _, f := range files {
		command := append([]string{commandFor(t, f), f}, outputs...)
		began := time.Now()
		code, out, said := carriedOut(command...)
		fmt.Fprintf(&got, "exit %d\n%s\n", code, said)
		if code == 0 {
			warned(t)
			continue
		}
		slowest = max(slowest, time.Since(began))
		if out != "" {
			t.Errorf("%s: on standard output:\n%s", f, out)
		}
		if d := cmp.Diff(before, listing(t)); d != "" {
			t.Fatalf("%s: the folder changed (-before +after):\n%s", f, d)
		}
		if asJSON, _, lines := carriedOut(append(command, "--json")...); asJSON != code || plain(t, lines) != said {
			t.Errorf("%s: as JSON it ends with %d and says\n%s", f, asJSON, lines)
		}
	}
	t.Logf("%d files; the slowest refusal took %v", len(files), slowest)
	if slowest > hang {
		t.Errorf("a refusal took %v", slowest)
	}
	if *update {
		if err := os.WriteFile(messages, []byte(got.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(messages)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got.String()); d != "" {
		t.Errorf("messages changed (-want +got):\n%s", d)
	}
}

// warned looks at what a study wrote whose name a spreadsheet would run, and
// takes it away.
func warned(t *testing.T) {
	tables, err := filepath.Glob("tables/*.csv")
	if err != nil || len(tables) == 0 {
		t.Fatalf("tables %v: %v", tables, err)
	}
	for _, name := range tables {
		text, err := os.ReadFile(name)
		if err != nil || regexp.MustCompile(`(?m)(^|,)"?=`).Match(text) {
			t.Errorf("%s holds a formula: %v", name, err)
		}
	}
	for _, name := range []string{"answer.html", "tables", "answer.xlsx", "answer.ledger", "answer.ledger.lock"} {
		if err := os.RemoveAll(name); err != nil {
			t.Error(err)
		}
	}
}

// listing is what the present folder holds, with sizes.
func listing(t *testing.T) (all []string) {
	held, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range held {
		info, err := e.Info()
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, fmt.Sprintf("%s %d", e.Name(), info.Size()))
	}
	return all
}

// plain puts faults that were said as JSON, one a line, as they are said else.
func plain(t *testing.T, lines string) string {
	var b strings.Builder
	for line := range strings.Lines(lines) {
		var f struct {
			File, Kind, What, Hint string
			Line, Column           int
		}
		if err := json.Unmarshal([]byte(line), &f); err != nil {
			t.Fatalf("%v in %s", err, line)
		}
		b.WriteString(f.File)
		if f.Line > 0 {
			fmt.Fprintf(&b, ":%d:%d", f.Line, f.Column)
		}
		fmt.Fprintf(&b, ": %s: %s; hint: %s\n", f.Kind, f.What, f.Hint)
	}
	return b.String()
}

// TestMessageForm holds the form of all messages: short, with a place or for an
// empty file as a whole, and with something to do.
func TestMessageForm(t *testing.T) {
	messages, err := os.ReadFile("../../testdata/bad/messages.txt")
	if err != nil {
		t.Fatal(err)
	}
	form := regexp.MustCompile(`^([\w-]+\.yaml:[1-9]\d*:[1-9]\d*|01-empty\.yaml): (error|warning): .+; hint: .+$`)
	for line := range strings.Lines(string(messages)) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "exit ") || strings.HasPrefix(line, "ledger: ") {
			continue
		}
		if !form.MatchString(line) {
			t.Errorf("no place, kind or hint in %q", line)
		}
		if n := len([]rune(line)); n > 200 {
			t.Errorf("%d characters in %q", n, line)
		}
	}
}

// TestBombs holds that files made to exhaust the machine are refused soon and
// with the right word.
func TestBombs(t *testing.T) {
	t.Chdir(t.TempDir())
	keys := new(strings.Builder)
	for i := range 200_000 {
		fmt.Fprintf(keys, "%c%c%c%c,", 'a'+i/17576%26, 'a'+i/676%26, 'a'+i/26%26, 'a'+i%26)
	}
	tests := []struct {
		name, text string
		code       int
		want       string
	}{
		{"nested", "potbank: 1\nware: " + strings.Repeat("[", 10_000), overLimit,
			"2:39: error: nested more than 32 deep, stopped reading; hint: a scenario needs 7 levels"},
		{"nested blocks", "ware:\n" + strings.Repeat("- ", 500) + "x\n", overLimit,
			"2:65: error: nested more than 32 deep, stopped reading; hint: a scenario needs 7 levels"},
		{"keys", "potbank: 1\nware: {" + keys.String() + "}", overLimit,
			"2:50008: error: more than 10000 entries under ware, stopped reading; hint: split the study into several scenarios"},
		{"lines", strings.Repeat("a:\n", 150_000), overLimit,
			"100001:1: error: more than 100000 lines, stopped reading; hint: split the study into several scenarios"},
		{"name", "potbank: 1\nname: \"" + strings.Repeat("A", 900_000) + "\"", overLimit,
			"2:7: error: name is 900000 characters long; the limit is 200; hint: shorten it"},
		{"text", "potbank: 1\nstart: " + strings.Repeat("A", 5000), overLimit,
			"2:8: error: start is 5000 characters long; the limit is 4096; hint: shorten it"},
		{"aliases", "a: &a [x]\nb: *a\n", refused,
			"1:4: error: anchors and aliases are not accepted; hint: write the value out in full"},
		{"aliases in a question", "question: 1\noptions: &a [*b, *b, *b, *b]\n", refused,
			"2:10: error: anchors and aliases are not accepted; hint: write the value out in full"},
	}
	for _, tt := range tests {
		if err := os.WriteFile("s.yaml", []byte(tt.text), 0o600); err != nil {
			t.Fatal(err)
		}
		command := "run"
		if strings.HasPrefix(tt.text, "question") {
			command = "compare"
		}
		began := time.Now()
		code, out, said := carriedOut(append([]string{command, "s.yaml"}, outputs...)...)
		took := time.Since(began)
		t.Logf("%s: %v", tt.name, took)
		first, _, _ := strings.Cut(said, "\n")
		if code != tt.code || out != "" || first != "s.yaml:"+tt.want || took > hang {
			t.Errorf("%s: exit %d after %v, %q and\n%s\nwant exit %d and\ns.yaml:%s", tt.name, code, took, out, first, tt.code, tt.want)
		}
		if held := listing(t); len(held) != 1 {
			t.Errorf("%s: files are left behind: %v", tt.name, held)
		}
	}
}

// TestBadPaths holds what is said of paths that hold no scenario, and of
// standard input that does not end.
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
	const noFile = "not a regular file; hint: pass a .yaml file, or - to read standard input"
	const tooLarge = "larger than the 1 MiB limit, stopped reading; hint: a scenario is normally under 20 kB; put measured data in a CSV file"
	tests := []struct {
		path, want string
		code       int
	}{
		{".", noFile, misused},
		{"pipe", noFile, misused},
		{os.DevNull, noFile, misused},
		{"/dev/zero", noFile, misused},
		{"none.yaml", "there is no such file; hint: check the path; the files in scenarios are there to start from", misused},
		{"large.yaml", tooLarge, overLimit},
	}
	for _, tt := range tests {
		for _, command := range []string{"run", "promise"} { // reads scenarios and questions
			code, out, said := carriedOut(command, tt.path, "--ledger", "answer.ledger")
			if want := tt.path + ": error: " + tt.want + "\n"; code != tt.code || out != "" || said != want {
				t.Errorf("%s %s: exit %d, %q and\n%swant exit %d and\n%s", command, tt.path, code, out, said, tt.code, want)
			}
		}
	}
	if held := listing(t); len(held) != 2 {
		t.Errorf("files are left behind: %v", held)
	}
	endless, err := os.Open("/dev/zero")
	if err != nil {
		t.Fatal(err)
	}
	defer endless.Close()
	c := potbank("run", "-")
	c.Stdin = endless
	var said safeBuffer
	c.Stderr = &said
	if err := c.Run(); exitText(err) != fmt.Sprint(overLimit) || said.String() != "-: error: "+tooLarge+"\n" {
		t.Errorf("endless input: %v and %s", err, said.String())
	}
}
