package licence

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// platforms are those potbank is built for. What is linked differs: on Windows
// a module more is.
var platforms = []string{"linux/amd64", "linux/arm64", "darwin/arm64", "windows/amd64"}

// A module is one whose code is used, with every text about licences that
// stands in the folder of a package used or in one above it, by its path in
// the module. What lies elsewhere in the module is not used.
type module struct {
	name, version string
	texts         map[string]string
}

func (m module) String() string { return strings.TrimSpace(m.name + " " + m.version) }

// listed is what go list says about a package, as far as it matters here.
type listed struct {
	Dir      string
	Standard bool
	Module   *struct {
		Path, Version, Dir string
		Main               bool
	}
}

// linked gives the modules linked into potbank on any platform, and the
// language's own library and runtime, in the order of their names.
func linked(t *testing.T) []module {
	var all []listed
	for _, p := range platforms {
		goos, goarch, _ := strings.Cut(p, "/")
		all = append(all, list(t, []string{"GOOS=" + goos, "GOARCH=" + goarch, "CGO_ENABLED=0"}, "./cmd/potbank")...)
	}
	return collect(t, all)
}

// onlyTests gives the modules that some test needs and no program.
func onlyTests(t *testing.T, links []module) []module {
	shipped := map[string]bool{}
	for _, m := range links {
		shipped[m.name] = true
	}
	all := collect(t, list(t, nil, "-test", "./..."))
	return slices.DeleteFunc(all, func(m module) bool { return shipped[m.name] })
}

// list asks the go command for the packages that others depend on.
func list(t *testing.T, env []string, args ...string) []listed {
	t.Helper()
	c := exec.Command("go", append([]string{"list", "-deps", "-json=Dir,Standard,Module"}, args...)...)
	c.Dir = filepath.Join("..", "..")
	c.Env = append(os.Environ(), env...)
	var said bytes.Buffer
	c.Stderr = &said
	out, err := c.Output()
	if err != nil {
		t.Fatalf("go list: %v: %s", err, said.String())
	}
	var all []listed
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var l listed
		if err := d.Decode(&l); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, l)
	}
}

// collect puts packages together to modules with their texts.
func collect(t *testing.T, packages []listed) []module {
	t.Helper()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	goroot := strings.TrimSpace(string(root))
	found := map[string]module{"Go": {"Go", "", textsIn(t, goroot, goroot)}}
	for _, p := range packages {
		if p.Standard || p.Module == nil || p.Module.Main {
			continue
		}
		m, ok := found[p.Module.Path]
		if !ok {
			m = module{p.Module.Path, p.Module.Version, map[string]string{}}
			found[m.name] = m
		}
		for dir := p.Dir; strings.HasPrefix(dir, p.Module.Dir); dir = filepath.Dir(dir) {
			for name, text := range textsIn(t, p.Module.Dir, dir) {
				m.texts[name] = text
			}
		}
	}
	all := make([]module, 0, len(found))
	for _, m := range found {
		all = append(all, m)
	}
	slices.SortFunc(all, func(a, b module) int { return strings.Compare(a.name, b.name) })
	return all
}

// about is how files and folders are called that hold licences.
var about = regexp.MustCompile(`(?i)^(un)?licen[cs]e|^copying|^copyright|^notice|^patents|^third[-_]party`)

// textsIn reads the texts about licences in a folder, by their path below root.
func textsIn(t *testing.T, root, dir string) map[string]string {
	t.Helper()
	texts := map[string]string{}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !about.MatchString(e.Name()) {
			continue
		}
		err := filepath.WalkDir(filepath.Join(dir, e.Name()), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || strings.HasSuffix(path, ".go") {
				return err
			}
			text, err := os.ReadFile(path)
			name, _ := filepath.Rel(root, path)
			texts[filepath.ToSlash(name)] = string(text)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return texts
}

// judge tells what speaks against modules: texts that are not recognised,
// licences that are not allowed, and no licence at all.
func (r *recogniser) judge(modules []module, allowed string) error {
	var faults []error
	for _, m := range modules {
		if len(m.texts) == 0 {
			faults = append(faults, fmt.Errorf("%s: has no licence", m))
		}
		for _, name := range slices.Sorted(maps.Keys(m.texts)) {
			ids, err := r.recognise(m.texts[name])
			if err != nil {
				faults = append(faults, fmt.Errorf("%s: %s: %w", m, name, err))
			}
			for _, id := range ids {
				if !slices.Contains(strings.Fields(allowed), id) {
					faults = append(faults, fmt.Errorf("%s: %s: %s is not allowed", m, name, id))
				}
			}
		}
	}
	return errors.Join(faults...)
}
