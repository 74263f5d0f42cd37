package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/draft"
	"potbank/internal/scenario"
)

// newFlags are the flags of the command: the kind of works, and each of the
// dozen answers.
type newFlags struct {
	kind    string
	answers map[string]*string
	ask     bool
	force   bool
}

func (p *program) newCommand() *cobra.Command {
	f := newFlags{answers: map[string]*string{}}
	c := &cobra.Command{
		Use:   "new FILE",
		Short: "Write a first scenario from a dozen answers",
		Long: `Write a first scenario from a dozen answers.

With --ask the questions are put one by one; an empty answer leaves a guess. Without
it the flags are the answers. What is not answered is taken from trade practice and
marked in the file as a guess; the file runs as it is.`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) == 1 && args[0] != "-" {
				return nil
			}
			return exitf(misused, "new wants the name of one file to write, got %d; hint: potbank new works.yaml --ask", len(args))
		},
		RunE: func(c *cobra.Command, args []string) error { return p.newWorks(c, args[0], &f) },
	}
	c.Flags().StringVar(&f.kind, "kind", draft.BenchTunnel, "kind of works: "+strings.Join(draft.Kinds, ", "))
	c.Flags().BoolVar(&f.ask, "ask", false, "put the questions one by one")
	c.Flags().BoolVar(&f.force, "force", false, "write over a file that is there")
	sheet, err := draft.NewSheet(draft.BenchTunnel)
	if err != nil {
		panic(err) // it is one of the kinds
	}
	for _, q := range sheet.Questions() {
		f.answers[q.Key] = c.Flags().String(q.Key, "", strings.TrimSpace(plainQuestion(q)))
	}
	return c
}

// plainQuestion is a question as the help of a flag.
func plainQuestion(q draft.Question) string {
	text := strings.TrimSuffix(q.Asks, "?")
	return strings.ToLower(text[:1]) + text[1:]
}

// newWorks writes the scenario of the answers.
func (p *program) newWorks(c *cobra.Command, path string, f *newFlags) error {
	if _, err := os.Lstat(path); err == nil && !f.force {
		return exitf(misused, "%s is there already; hint: choose another name, or add --force", path)
	}
	sheet, err := p.sheet(c, f)
	if err != nil {
		return err
	}
	text, err := sheet.Scenario(filepath.Base(path), p.now())
	if err != nil {
		return exitf(refused, "%s", err)
	}
	if err := writeWhole(path, text); err != nil {
		return exitf(failed, "writing %s: %s", path, reasonOf(err))
	}
	file, faults := scenario.Read(path)
	if file == nil {
		return exitf(ownFault, "the draft cannot be read: %s", faults[0])
	}
	fmt.Fprintf(p.out, "%s: a works that runs, with %d guesses marked as such.\nNext: potbank check %s\n", path, len(file.Unmeasured()), path)
	return nil
}

// sheet gathers the answers, from flags and then, if asked to, one by one.
func (p *program) sheet(c *cobra.Command, f *newFlags) (*draft.Sheet, error) {
	lines := bufio.NewScanner(p.in)
	if f.ask && !c.Flags().Changed("kind") {
		for i, k := range draft.Kinds {
			fmt.Fprintf(p.out, "  %d  %s\n", i+1, k)
		}
		fmt.Fprintf(p.out, "Which kind of works is it? [%s] ", f.kind)
		if text := answer(lines); text != "" {
			f.kind = kindOf(text)
		}
	}
	sheet, err := draft.NewSheet(f.kind)
	if err != nil {
		return nil, exitf(misused, "--kind %s; hint: %s", f.kind, strings.Join(draft.Kinds, ", "))
	}
	for _, q := range sheet.Questions() {
		if err := sheet.Answer(q.Key, *f.answers[q.Key]); err != nil {
			return nil, exitf(misused, "--%s: %s", q.Key, err)
		}
		for f.ask && *f.answers[q.Key] == "" {
			fmt.Fprintf(p.out, "%s [%s] ", q.Asks, strings.TrimSpace(q.Usual+" "+q.Unit))
			err := sheet.Answer(q.Key, answer(lines))
			if err == nil {
				break
			}
			fmt.Fprintf(p.out, "  %s\n", err)
			if lines.Err() != nil {
				return nil, exitf(failed, "reading the answers: %s", lines.Err())
			}
		}
	}
	return sheet, nil
}

// kindOf is a kind by its number in the list, or by its name.
func kindOf(text string) string {
	if i := strings.Index("1234", text); len(text) == 1 && i >= 0 {
		return draft.Kinds[i]
	}
	if i := slices.IndexFunc(draft.Kinds, func(k string) bool { return strings.EqualFold(k, text) }); i >= 0 {
		return draft.Kinds[i]
	}
	return text
}

// answer reads one line; at the end of input all further answers are empty.
func answer(lines *bufio.Scanner) string {
	if !lines.Scan() {
		return ""
	}
	return strings.TrimSpace(lines.Text())
}

// writeWhole writes a file so that it is there as a whole or not at all.
func writeWhole(path string, text []byte) error {
	temporary, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer os.Remove(temporary.Name()) // after the rename there is nothing to remove
	if _, err = io.Copy(temporary, strings.NewReader(string(text))); err == nil {
		err = temporary.Sync()
	}
	if e := temporary.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Chmod(temporary.Name(), 0o644)
	}
	if err != nil {
		return err
	}
	return os.Rename(temporary.Name(), path)
}

// reasonOf drops the path that the system puts before a reason.
func reasonOf(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
