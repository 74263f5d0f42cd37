package licence

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write licences.txt anew")

const (
	// shipped are the licences of what may be linked: they ask for their text
	// and nothing else. What copies itself onto its surroundings is not here.
	shipped = "MIT BSD-2-Clause BSD-3-Clause Apache-2.0 ISC BSL-1.0 public-domain notice Go-patent-grant"
	// tested may be used by tests besides, which nobody gets with the program.
	// It binds the files under it only, and those are not changed.
	tested = shipped + " MPL-2.0"
)

// One test, since asking the go command what is used takes seconds.
func TestModules(t *testing.T) {
	r, links := newRecogniser(t), linked(t)
	if err := r.judge(links, shipped); err != nil {
		t.Errorf("linked into potbank: %v", err)
	}
	tests := onlyTests(t, links)
	if err := r.judge(tests, tested); err != nil {
		t.Errorf("used by tests: %v", err)
	}
	// Were nothing found, nothing would be refused.
	for _, must := range []struct {
		name string
		in   []module
	}{{"modernc.org/sqlite", links}, {"github.com/inconshreveable/mousetrap", links}, {"pgregory.net/rapid", tests}} {
		if !slices.ContainsFunc(must.in, func(m module) bool { return m.name == must.name }) {
			t.Errorf("%s is used and was not found in %v", must.name, must.in)
		}
	}
	want := notice(r, links)
	if *update {
		if err := os.WriteFile("licences.txt", []byte(want), 0o666); err != nil {
			t.Fatal(err)
		}
	} else if Texts() != want {
		t.Errorf("licences.txt is not what is linked; hint: go test ./internal/licence -update")
	}
}

// A licence that nobody allowed must be refused, whatever it looks like.
func TestRefused(t *testing.T) {
	mit := read(t, "testdata/known/MIT.txt")
	for _, c := range []struct{ name, text, want string }{
		{"another licence", "You may use this on Sundays.", "not known"},
		{"a clause more", mit + "\nThe Software shall not be sold.", "not known"},
		{"a clause before", "Not for makers of baths.\n\n" + mit, "not known"},
		{"a clause behind a name", "Copyright (c) 2027 The Authors, not for makers of baths.\n\n" + mit, "not known"},
		{"a word more", strings.Replace(mit, "without restriction", "without much restriction", 1), "not known"},
		{"a word less", strings.Replace(mit, "free of charge", "", 1), "not known"},
		{"known and not allowed", read(t, "testdata/known/MPL-2.0.txt"), "MPL-2.0 is not allowed"},
		{"two, one of them not allowed", mit + "\n" + read(t, "testdata/known/MPL-2.0.txt"), "MPL-2.0 is not allowed"},
		{"nothing but a name", "Copyright (c) 2027 The Authors", "holds no licence"},
		{"empty", "", "holds no licence"},
	} {
		planted := module{"example.com/planted", "v1.0.0", map[string]string{"LICENSE": c.text}}
		err := newRecogniser(t).judge([]module{planted}, shipped)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.want)
		}
	}
	if err := newRecogniser(t).judge([]module{{"example.com/planted", "v1.0.0", nil}}, shipped); err == nil {
		t.Error("a module without a licence is allowed")
	}
	plain := module{"example.com/plain", "v1.0.0", map[string]string{"LICENSE": "The MIT License\n\nCopyright (c) 2027 A. Potter\n\n" + mit}}
	if err := newRecogniser(t).judge([]module{plain}, shipped); err != nil {
		t.Errorf("refused without need: %v", err)
	}
}

// notice is what licences.txt must hold: who is under what, then every text
// once, with the names of all that it belongs to.
func notice(r *recogniser, links []module) string {
	var head, body strings.Builder
	head.WriteString("potbank has the work of others in it, under the licences that follow.\n\n")
	owners := map[string][]string{}
	var order []string
	for _, m := range links {
		var ids []string
		for _, name := range slices.Sorted(maps.Keys(m.texts)) {
			text := m.texts[name]
			found, _ := r.recognise(text)
			ids = append(ids, found...)
			if owners[text] == nil {
				order = append(order, text)
			}
			owners[text] = append(owners[text], fmt.Sprintf("%s: %s", m, name))
		}
		slices.Sort(ids)
		fmt.Fprintf(&head, "%-70s %s\n", m, strings.Join(slices.Compact(ids), ", "))
	}
	for _, text := range order {
		fmt.Fprintf(&body, "\n%s\n%s\n\n%s\n", strings.Repeat("=", 76), strings.Join(owners[text], "\n"), strings.TrimSpace(plain(text)))
	}
	return head.String() + body.String()
}

// plain ends every line with a line feed alone and without blanks before it.
func plain(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		b.WriteString(strings.TrimRight(line, " \t\r\n") + "\n")
	}
	return b.String()
}

func read(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
