package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Every example of the help is typed as it stands there: the quick ones are
// carried out, one after the other in one folder, and must end with 0; of the
// others the command, its flags and its arguments must be right and its files be
// there.
func TestExamples(t *testing.T) {
	t.Chdir(copyOfScenarios(t))
	for _, g := range guidedCommands() {
		if len(g.examples) == 0 {
			t.Errorf("%s has no example", g.name)
		}
		for _, e := range g.examples {
			args := shellWords(e.line)
			if args[0] != "potbank" {
				continue // a line of a shell about completion
			}
			checkParsed(t, e.line, args[1:])
			if e.how != soon {
				continue
			}
			c := newConsole()
			if code := run(args[1:], strings.NewReader(""), &c.out, &c.err, c.environment()); code != 0 {
				t.Errorf("%s\nends with %d: %s", e.line, code, c.err.String())
			}
			if strings.HasPrefix(e.line, "potbank log") || strings.HasPrefix(e.line, "potbank new") || c.out.Len() > 0 {
				continue
			}
			t.Errorf("%s\nprints nothing", e.line)
		}
	}
}

// checkParsed holds the flags, arguments and files of a line.
func checkParsed(t *testing.T, line string, args []string) {
	t.Helper()
	args = slices.DeleteFunc(slices.Clone(args), func(a string) bool { return a == ">" })
	c, rest, err := newConsole().program().command().Find(args)
	if err != nil {
		t.Errorf("%s: %v", line, err)
		return
	}
	if err := c.ParseFlags(rest); err != nil {
		t.Errorf("%s: %v", line, err)
		return
	}
	if err := c.ValidateArgs(c.Flags().Args()); err != nil && c.Name() != "completion" {
		t.Errorf("%s: %v", line, err)
	}
	for _, a := range c.Flags().Args() {
		if !strings.HasPrefix(a, "scenarios") {
			continue
		}
		if _, err := os.Stat(a); err != nil {
			t.Errorf("%s: %v", line, err)
		}
	}
}

// The help of every command leads to a line that can be typed, and the start page
// to every command.
func TestGuide(t *testing.T) {
	root := newConsole().program().command()
	var known []string
	for _, g := range guidedCommands() {
		known = append(known, g.name)
	}
	for _, c := range root.Commands() {
		if !slices.Contains(known, c.Name()) && c.Name() != "help" {
			t.Errorf("no guide leads to %s", c.Name())
		}
	}
	c := newConsole()
	if code := run([]string{"help"}, strings.NewReader(""), &c.out, &c.err, c.environment()); code != 0 {
		t.Fatal(c.err.String())
	}
	at := 0
	for _, title := range []string{"To decide:", "To look at a works:", "To write a works down:", "To keep and share runs:"} {
		i := strings.Index(c.out.String(), title)
		if i < at {
			t.Errorf("%q is not in its place on the start page:\n%s", title, c.out.String())
		}
		at = i
	}
}

// A shell is offered files, words, measures, sections and wares.
func TestCompletion(t *testing.T) {
	t.Chdir(copyOfScenarios(t))
	for _, c := range []struct{ line, want string }{
		{"run ", "yaml"},
		{"compare scenarios/plant-a.yaml ", "yaml"},
		{"runs ", "ledger"},
		{"runs verify ", "ledger"},
		{"run scenarios/plant-a.yaml --prec", "--precision"},
		{"compare scenarios/plant-a.yaml --method r", "rinott"},
		{"tornado scenarios/plant-a.yaml --by lead_time.p", "lead_time.p95"},
		{"promise scenarios/plant-a.yaml --ware c", "cistern"},
		{"master --kind wa", "warp"},
		{"log works.yaml --format x", "xes"},
		{"keys ki", "kilns"},
		{"help si", "size"},
		{"comp", "compare"},
	} {
		words := strings.Split(c.line, " ")
		s := newConsole()
		if code := run(append([]string{"__complete"}, words...), strings.NewReader(""), &s.out, &s.err, s.environment()); code != 0 {
			t.Errorf("%q ends with %d", c.line, code)
		}
		offered := strings.Split(s.out.String(), "\n")
		if !slices.ContainsFunc(offered, func(o string) bool { return o == c.want || strings.HasPrefix(o, c.want+"\t") }) {
			t.Errorf("%q is offered %q, want %q", c.line, offered, c.want)
		}
	}
}

// guidedCommands are all that have examples, in the order of the guides.
func guidedCommands() []guided {
	var all []guided
	for _, g := range guides {
		all = append(all, g.commands...)
	}
	return append(all, others...)
}

// copyOfScenarios is a folder with the folder scenarios in it.
func copyOfScenarios(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "scenarios"), os.DirFS(filepath.Join("..", "..", "scenarios"))); err != nil {
		t.Fatal(err)
	}
	return dir
}
