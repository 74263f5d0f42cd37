package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// block is one command of a manual with what it is said to print.
type block struct {
	line    int
	command string
	want    []string
}

// blocksOf finds the commands in the ```console blocks of a Markdown text:
// lines that begin with "$ potbank", each followed by its output. An output
// line that is only "..." stands for any number of lines.
func blocksOf(text string) []block {
	var blocks []block
	inside := false
	for i, line := range strings.Split(text, "\n") {
		command, isCommand := strings.CutPrefix(line, "$ ")
		switch {
		case strings.HasPrefix(line, "```"):
			inside = line == "```console"
		case !inside:
		case isCommand:
			blocks = append(blocks, block{line: i + 1, command: command})
		case len(blocks) > 0:
			last := &blocks[len(blocks)-1]
			last.want = append(last.want, line)
		}
	}
	return blocks
}

// matches tells whether the output is as wanted, with "..." for any lines.
func matches(want, got []string) bool {
	for i, line := range want {
		if line == "..." {
			for skip := range len(got) + 1 {
				if matches(want[i+1:], got[skip:]) {
					return true
				}
			}
			return false
		}
		if len(got) == 0 || strings.TrimRight(got[0], " ") != strings.TrimRight(line, " ") {
			return false
		}
		got = got[1:]
	}
	return len(got) == 0
}

// runBlock runs one command in a folder and returns what it printed: standard
// error, as a reader of a terminal sees it first, then standard output.
func runBlock(t *testing.T, dir string, b block) []string {
	t.Helper()
	words, ok := strings.CutPrefix(b.command, "potbank ")
	if !ok {
		t.Errorf("line %d: %q is no command of potbank", b.line, b.command)
		return nil
	}
	t.Chdir(dir)
	c := newConsole()
	run(shellWords(words), strings.NewReader(""), &c.out, &c.err, c.environment())
	text := strings.TrimRight(c.err.String()+c.out.String(), "\n")
	if text == "" {
		return nil
	}
	return strings.Split(text, "\n")
}

var shellWord = regexp.MustCompile(`"[^"]*"|\S+`)

// shellWords splits a command line; words may stand in double quotes.
func shellWords(line string) []string {
	var words []string
	for _, w := range shellWord.FindAllString(line, -1) {
		words = append(words, strings.Trim(w, `"`))
	}
	return words
}

// checkBlocks runs every command of a Markdown text.
func checkBlocks(t *testing.T, dir, text string) {
	t.Helper()
	blocks := blocksOf(text)
	if len(blocks) == 0 {
		t.Fatal("no command to run: is it in a ```console block?")
	}
	for _, b := range blocks {
		for n := len(b.want); n > 0 && b.want[n-1] == ""; n-- {
			b.want = b.want[:n-1] // blank lines between commands
		}
		if got := runBlock(t, dir, b); !matches(b.want, got) {
			t.Errorf("line %d: $ %s\nprints\n%s\nand not\n%s", b.line, b.command, strings.Join(got, "\n"), strings.Join(b.want, "\n"))
		}
	}
}

func TestBlocksAreFoundRunAndCompared(t *testing.T) {
	const text = "Text.\n\n```console\n$ potbank version\n...\n\n$ potbank rnu\npotbank: error: no command \"rnu\"; hint: did you mean potbank run?\n```\n\n```yaml\n$ not a command\n```\n"
	blocks := blocksOf(text)
	want := []block{
		{4, "potbank version", []string{"...", ""}},
		{7, "potbank rnu", []string{`potbank: error: no command "rnu"; hint: did you mean potbank run?`}},
	}
	if !slices.EqualFunc(blocks, want, func(a, b block) bool {
		return a.line == b.line && a.command == b.command && slices.Equal(a.want, b.want)
	}) {
		t.Errorf("found %+v, want %+v", blocks, want)
	}
	checkBlocks(t, t.TempDir(), text)
}

func TestElisionStandsForAnyLines(t *testing.T) {
	tests := []struct {
		want, got string
		same      bool
	}{
		{"a\nb", "a\nb", true}, {"a", "a\nb", false}, {"a\nb", "a", false},
		{"...", "a\nb", true}, {"a\n...", "a", true}, {"a\n...\nd", "a\nb\nc\nd", true},
		{"a\n...\nd", "a\nb\nc", false}, {"...\nb\n...\nd", "a\nb\nb\nc\nd", true}, {"a ", "a", true},
	}
	for _, test := range tests {
		if got := matches(strings.Split(test.want, "\n"), strings.Split(test.got, "\n")); got != test.same {
			t.Errorf("%q against %q: %v", test.want, test.got, got)
		}
	}
}

// The manual at the head of main.go names every command and every flag of
// run, and no other.
func TestManualNamesEveryCommandAndFlag(t *testing.T) {
	source, err := os.ReadFile("main.go")
	if err != nil {
		t.Fatal(err)
	}
	manual, _, _ := strings.Cut(string(source), "*/")
	root := newConsole().program().command()
	var commands, flags []string
	for _, c := range root.Commands() {
		if c.Name() != "help" {
			commands = append(commands, c.Name())
		}
	}
	runCmd, _, err := root.Find([]string{"run"})
	if err != nil {
		t.Fatal(err)
	}
	runCmd.Flags().VisitAll(func(f *pflag.Flag) { flags = append(flags, f.Name) })
	compare(t, "commands", found(manual, `(?m)^\tpotbank ([a-z]+)`), commands)
	compare(t, "flags", found(manual, `(?m)^\t--([a-z]+)`), flags)
	for _, c := range root.Commands() {
		every(c, func(c *cobra.Command) {
			if c.Short == "" {
				t.Errorf("%s is not explained", c.CommandPath())
			}
		})
	}
}

// every visits a command and those under it.
func every(c *cobra.Command, visit func(*cobra.Command)) {
	visit(c)
	for _, under := range c.Commands() {
		every(under, visit)
	}
}

// found returns the first group of every match.
func found(text, pattern string) []string {
	var all []string
	for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(text, -1) {
		all = append(all, m[1])
	}
	return all
}

// compare holds two sets of words together.
func compare(t *testing.T, what string, manual, program []string) {
	t.Helper()
	slices.Sort(manual)
	slices.Sort(program)
	if !slices.Equal(manual, program) {
		t.Errorf("%s of the manual %v, of the program %v", what, manual, program)
	}
}

// Every command in the manuals of the module does what is printed under it.
func TestManualsAreTrue(t *testing.T) {
	root := filepath.Join("..", "..")
	manuals, err := filepath.Glob(filepath.Join(root, "*.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range manuals {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(text), "```console\n$ potbank") {
			continue
		}
		t.Run(filepath.Base(path), func(t *testing.T) { checkBlocks(t, root, string(text)) })
	}
}
