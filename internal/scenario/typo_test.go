package scenario_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"potbank/internal/scenario"
)

// Of a thousand slips of the pen these shares must be answered with the right
// line, and with the word that was meant.
const (
	slips     = 1000 / slower
	lineShare = 0.95
	wordShare = 0.80
)

// TestTypos makes one-character slips in the words of an example, letters
// doubled, dropped, swapped or replaced, and holds that the first fault stands
// on the line of the slip and that its text gives back the word. Slips that
// leave a valid file, as in the name of the works, are not counted.
func TestTypos(t *testing.T) {
	path := "../../scenarios/plant-a.yaml"
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	words := wordsOf(string(text))
	r := rand.New(rand.NewPCG(1759, 0)) // a fixed sample
	dir := t.TempDir()
	var made, line, word int
	for tried := 0; made < slips && tried < 20*slips; tried++ {
		w := words[r.IntN(len(words))]
		bad := slip(r, w.text)
		file, faults := scenario.Read(write(t, dir, "s.yaml", string(text[:w.at])+bad+string(text[w.at+len(w.text):])))
		if file != nil || bad == w.text {
			continue
		}
		made++
		first := faults[0]
		if first.Line == w.line {
			line++
		} else if testing.Verbose() {
			t.Logf("line %d: %s for %s: %v", w.line, bad, w.text, first)
		}
		if strings.Contains(first.What+first.Hint, w.text) {
			word++
		} else if testing.Verbose() {
			t.Logf("line %d: %s for %s is not named: %v", w.line, bad, w.text, first)
		}
	}
	t.Logf("%d slips: right line %.1f %%, right word %.1f %%", made, 100*float64(line)/float64(made), 100*float64(word)/float64(made))
	if made < slips {
		t.Fatalf("only %d slips made a bad file", made)
	}
	if float64(line) < lineShare*slips || float64(word) < wordShare*slips {
		t.Errorf("right line in %d, right word in %d of %d", line, word, made)
	}
	if files, _ := filepath.Glob(filepath.Join(dir, "*")); len(files) != 1 {
		t.Errorf("reading left files behind: %v", files)
	}
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
