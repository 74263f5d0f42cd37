package scenario_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"potbank/internal/scenario"
)

// Of a thousand slips of the pen that are refused these shares must be answered
// with the right line, and with the word that was meant.
const (
	slips     = 1000 / slower
	lineShare = 0.95
	wordShare = 0.80
)

// TestTypos makes one-character slips in the words of all examples, works,
// changes and questions: letters doubled, dropped, swapped or replaced. One that
// is refused is told a place and what to do, nearly always on the line of the
// slip and with the word that was meant. One that is not has made a works that
// says what is written: nothing is passed over.
func TestTypos(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../scenarios")); err != nil {
		t.Fatal(err)
	}
	var texts []example
	for _, pattern := range []string{"*.yaml", "questions/*.yaml"} {
		paths, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil || len(paths) < 5 {
			t.Fatalf("found %v: %v", paths, err)
		}
		for _, path := range paths {
			texts = append(texts, exampleAt(t, path))
		}
	}
	r := rand.New(rand.NewPCG(1759, 0)) // a fixed sample
	refused, accepted := map[string]int{}, map[string]int{}
	var line, word int
	for made := 0; made < slips; {
		e := texts[r.IntN(len(texts))]
		w := e.words[r.IntN(len(e.words))]
		bad := slip(r, w.text)
		if bad == w.text {
			continue
		}
		made++
		write(t, "", e.path, e.text[:w.at]+bad+e.text[w.at+len(w.text):])
		said, faults := told(e.path)
		write(t, "", e.path, e.text)
		where := fmt.Sprintf("%s:%d: %s for %s", filepath.Base(e.path), w.line, bad, w.text)
		if !refusing(faults) {
			accepted[e.kind]++
			if said == e.said || !strings.Contains(said, bad) {
				t.Errorf("%s is passed over", where)
			}
			continue
		}
		refused[e.kind]++
		first := faults[slices.IndexFunc(faults, func(f scenario.Fault) bool { return !f.Warning })]
		if first.Line == 0 || first.Hint == "" {
			t.Errorf("%s: no place or nothing to do: %v", where, first)
		}
		if first.Line == w.line && first.File == e.path {
			line++
		} else if testing.Verbose() {
			t.Logf("%s: %v", where, first)
		}
		if strings.Contains(first.What+first.Hint, w.text) {
			word++
		} else if testing.Verbose() {
			t.Logf("%s is not named: %v", where, first)
		}
	}
	all := sum(refused)
	t.Logf("%d slips: refused %v, accepted as written %v; right line %.1f %%, right word %.1f %%", slips, refused, accepted, 100*float64(line)/float64(all), 100*float64(word)/float64(all))
	if all < slips/2 {
		t.Fatalf("only %d slips made a bad file", all)
	}
	if float64(line) < lineShare*float64(all) || float64(word) < wordShare*float64(all) {
		t.Errorf("right line in %d, right word in %d of %d", line, word, all)
	}
}

// An example is a file that comes with the program.
type example struct {
	path, text, kind string
	words            []spelt
	said             string // all that the program has understood of it
}

func exampleAt(t *testing.T, path string) example {
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	e := example{path: path, text: string(text), kind: "works", words: wordsOf(string(text))}
	if strings.HasPrefix(e.text, "base:") || strings.Contains(e.text, "\nbase:") {
		e.kind = "change"
	}
	if scenario.IsQuestion(path) {
		e.kind = "question"
	}
	var faults []scenario.Fault
	if e.said, faults = told(path); refusing(faults) {
		t.Fatalf("%s is refused:\n%s", path, scenario.Faults(faults))
	}
	return e
}

// told reads a file as the program does, with every works of a question, and
// returns all that it understood and said.
func told(path string) (string, []scenario.Fault) {
	var said bytes.Buffer
	if !scenario.IsQuestion(path) {
		file, faults := scenario.Read(path)
		if file == nil {
			return "", faults
		}
		said.Write(file.Print())
		_, more := file.Plant()
		return said.String(), append(faults, more...)
	}
	asked, faults := scenario.ReadQuestion(path)
	if asked == nil {
		return "", faults
	}
	question, err := json.Marshal(asked.Question)
	fmt.Fprintln(&said, string(question), err)
	for option := range asked.Options {
		fmt.Fprintln(&said, asked.Options[option].Name)
		for future := range asked.Futures {
			file := asked.Works(option, future)
			said.Write(file.Print())
			_, more := file.Plant()
			faults = append(faults, more...)
		}
	}
	return said.String(), faults
}

func refusing(faults []scenario.Fault) bool { return scenario.ExitCode(faults) != 0 }

func sum(counts map[string]int) (n int) {
	for c := range maps.Values(counts) {
		n += c
	}
	return n
}

// A spelt word is one of at least three letters outside comments.
type spelt struct {
	text string
	at   int // in bytes
	line int
}

func wordsOf(text string) []spelt {
	var words []spelt
	at := 0
	for i, line := range strings.SplitAfter(text, "\n") {
		code, _, _ := strings.Cut(line, "#")
		start := -1
		for j, r := range code + " " {
			inside := unicode.IsLetter(r) || start >= 0 && r == '-'
			switch {
			case inside && start < 0:
				start = j
			case !inside && start >= 0:
				if j-start >= 3 {
					words = append(words, spelt{code[start:j], at + start, i + 1})
				}
				start = -1
			}
		}
		at += len(line)
	}
	return words
}

// slip misspells a word by one character.
func slip(r *rand.Rand, word string) string {
	i := r.IntN(len(word))
	letter := string(rune('a' + r.IntN(26)))
	switch r.IntN(4) {
	case 0:
		return word[:i] + word[i+1:]
	case 1:
		return word[:i] + letter + word[i:]
	case 2:
		return word[:i] + letter + word[i+1:]
	}
	if i == 0 {
		i = 1
	}
	return word[:i-1] + word[i:i+1] + word[i-1:i] + word[i+1:]
}
