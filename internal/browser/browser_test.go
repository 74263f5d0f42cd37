package browser_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"potbank/internal/browser"
)

// faulty is what a test is told instead of failing.
type faulty struct {
	testing.TB
	told []string
}

func (f *faulty) Helper() {}
func (f *faulty) Errorf(format string, args ...any) {
	f.told = append(f.told, strings.TrimSpace(strings.Join(append([]string{format}, texts(args)...), " ")))
}

func texts(args []any) []string {
	var all []string
	for _, a := range args {
		if s, ok := a.(string); ok {
			all = append(all, s)
		}
	}
	return all
}

// A page with one fault of each kind: the checks find every one of them, and
// nothing in a page without.
func TestFaultsAreFound(t *testing.T) {
	b := browser.Start(t)
	open := func(text string) []string {
		path := filepath.Join(t.TempDir(), "page.html")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		f := &faulty{TB: t}
		p := b.Open(f, path, browser.Desk)
		p.Usable()
		p.Quiet()
		return f.told
	}
	sound := `<!DOCTYPE html><html lang="en"><title>x</title><main><h1>x</h1><h2>y</h2><label>n <input></label>
<svg role="img"><title>t</title><desc>d</desc></svg><table><tr><th scope="col">h</th></tr></table></main></html>`
	if told := open(sound); len(told) != 0 {
		t.Errorf("a sound page has faults: %q", told)
	}
	told := strings.Join(open(`<!DOCTYPE html><html><head></head><body style="width:2000px"><h3>skips</h3><h1>x</h1><h1>y</h1><i id="a"></i><i id="a"></i>
<p tabindex="2" style="color:#aaa">pale</p><input><button></button><svg role="img"></svg><img src="http://example.invalid/x.png">
<table><tr><th>h</th></tr></table><table><tr><td>h</td></tr></table><div style="overflow-x:auto;width:20px"><div style="width:90px">w</div></div>
<p aria-labelledby="nothing">z</p><script>console.error("heard")</script></body></html>`), "\n")
	for _, want := range []string{"no language", "no title", "not one main", "called a", "order of tabs", "field without", "control without", "names nothing",
		"skips a level", "not one first heading", "drawing without", "picture without", "without heads", "without scope", "reached by keyboard", "wide on a screen", "contrast", "heard", "example.invalid"} {
		if !strings.Contains(told, want) {
			t.Errorf("not found: %s", want)
		}
	}
}
