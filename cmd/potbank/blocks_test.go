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

// block is one command of a manual with what it is said to print; nothing said
// means that it may print anything, but must succeed.
type block struct {
	line    int
	command string
	want    []string
}

// blocksOf finds the commands in the ```console blocks of a Markdown text:
// lines that begin with "$ ", each followed by its output. An output line that
// is only "..." stands for any number of lines.
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
	for i := range blocks {
		b := &blocks[i]
		for n := len(b.want); n > 0 && b.want[n-1] == ""; n-- {
			b.want = b.want[:n-1] // blank lines between commands
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

// runBlock runs one command in a folder and returns its code and what it
// printed: standard error, then standard output. A run of which only the
// success matters is shortened.
func runBlock(t *testing.T, dir string, b block) (code int, printed []string) {
	t.Helper()
	words, ok := strings.CutPrefix(strings.TrimPrefix(b.command, "go run ./cmd/"), "potbank ")
	if !ok {
		t.Errorf("line %d: %q is no command of potbank", b.line, b.command)
		return 0, nil
	}
	args := shellWords(words)
	if (args[0] == "run" || args[0] == "compare") && b.want == nil {
		args = append(args, "--replications", "2", "--weeks", "10")
	}
	t.Chdir(dir)
	c := newConsole()
	if args[0] == "serve" {
		go c.interruptAt("Ctrl-C") // the page is open, and would stay so
	}
	code = run(args, strings.NewReader(""), &c.out, &c.err, c.environment())
	return code, strings.Split(strings.TrimRight(c.err.String()+c.out.String(), "\n"), "\n")
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

// checkBlocks runs commands of a Markdown text. A script that a block starts is
// not run, as the test may be part of it, but it must be there.
func checkBlocks(t *testing.T, dir string, blocks []block) {
	t.Helper()
	if len(blocks) == 0 {
		t.Fatal("no command to run: is it in a ```console block?")
	}
	for _, b := range blocks {
		if script, ok := strings.CutPrefix(b.command, "bash "); ok {
			if _, err := os.Stat(filepath.Join(dir, script)); err != nil {
				t.Errorf("line %d: %v", b.line, err)
			}
			continue
		}
		code, got := runBlock(t, dir, b)
		switch {
		case b.want == nil && code != 0:
			t.Errorf("line %d: $ %s\nends with %d:\n%s", b.line, b.command, code, strings.Join(got, "\n"))
		case b.want != nil && !matches(b.want, got):
			t.Errorf("line %d: $ %s\nprints\n%s\nand not\n%s", b.line, b.command, strings.Join(got, "\n"), strings.Join(b.want, "\n"))
		}
	}
}

func TestBlocksAreFoundRunAndCompared(t *testing.T) {
	const text = "Text.\n\n```console\n$ potbank version\n...\n\n$ potbank rnu\npotbank: error: no command \"rnu\"; hint: did you mean potbank run?\n```\n\n```yaml\n$ not a command\n```\n"
	blocks := blocksOf(text)
	want := []block{
		{4, "potbank version", []string{"..."}},
		{7, "potbank rnu", []string{`potbank: error: no command "rnu"; hint: did you mean potbank run?`}},
	}
	if !slices.EqualFunc(blocks, want, func(a, b block) bool {
		return a.line == b.line && a.command == b.command && slices.Equal(a.want, b.want)
	}) {
		t.Errorf("found %+v, want %+v", blocks, want)
	}
	checkBlocks(t, t.TempDir(), blocks)
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

// The manual at the head of main.go names every command, every flag of run and,
// under their own heads, the flags that other commands have besides, and no
// other.
func TestManualNamesEveryCommandAndFlag(t *testing.T) {
	source, err := os.ReadFile("main.go")
	if err != nil {
		t.Fatal(err)
	}
	manual, _, _ := strings.Cut(string(source), "*/")
	root := newConsole().program().command()
	var commands []string
	for _, c := range root.Commands() {
		if c.Name() != "help" {
			commands = append(commands, c.Name())
		}
	}
	compare(t, "commands", found(manual, `(?m)^\tpotbank ([a-z]+)`), commands)
	ofRun := flagsOf(t, root, "run")
	compare(t, "flags of run", found(section(manual, "Flags of run"), `(?m)^\t--([a-z-]+)`), ofRun)
	for _, name := range []string{"compare", "tornado", "size", "master", "promise", "log", "diff", "bench"} {
		own := slices.DeleteFunc(flagsOf(t, root, name), func(flag string) bool { return slices.Contains(ofRun, flag) })
		compare(t, "flags of "+name, found(section(manual, "Flags of "+name), `(?m)^\t--([a-z-]+)`), own)
	}
	for _, c := range root.Commands() {
		every(c, func(c *cobra.Command) {
			if c.Short == "" {
				t.Errorf("%s is not explained", c.CommandPath())
			}
		})
	}
}

// flagsOf lists the flags of a command.
func flagsOf(t *testing.T, root *cobra.Command, name string) []string {
	t.Helper()
	c, _, err := root.Find([]string{name})
	if err != nil {
		t.Fatal(err)
	}
	var flags []string
	c.Flags().VisitAll(func(f *pflag.Flag) { flags = append(flags, f.Name) })
	return flags
}

// section is the text of a manual under a head.
func section(manual, head string) string {
	_, text, _ := strings.Cut(manual, "\n# "+head+"\n")
	text, _, _ = strings.Cut(text, "\n# ")
	return text
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

// readme gives the folder of the project and the commands in its README: those
// that answer a question in full, which takes minutes, and the others.
func readme(t *testing.T) (root string, answers, others []block) {
	t.Helper()
	root, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range blocksOf(string(text)) {
		if question.MatchString(b.command) {
			answers = append(answers, b)
		} else {
			others = append(others, b)
		}
	}
	return root, answers, others
}

// question finds a demo question in a command line.
var question = regexp.MustCompile(`scenarios/questions/\S+\.yaml`)

// Every command in the README does what is printed under it.
func TestReadmeIsTrue(t *testing.T) {
	root, _, others := readme(t)
	checkBlocks(t, root, others)
}

// The README shows what each decision command answers. That a user gets the same
// to the last digit takes whole studies, five minutes of two cores, so that only
// .ci/readme asks for it.
func TestReadmeAnswersTheQuestions(t *testing.T) {
	root, answers, _ := readme(t)
	var commands []string
	for _, b := range answers {
		commands = append(commands, found(b.command, `potbank ([a-z]+)`)...)
		if len(slices.DeleteFunc(slices.Clone(b.want), func(line string) bool { return line == "..." })) < 3 {
			t.Errorf("line %d: nothing to speak of is shown of the answer", b.line)
		}
	}
	compare(t, "answers", commands, []string{"compare", "size", "promise", "master"})
	if os.Getenv("POTBANK_README") != "" {
		checkBlocks(t, root, answers)
	}
}
