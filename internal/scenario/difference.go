package scenario

import "strings"

// A Difference is one value that two scenarios do not have alike, as written;
// a default is written out.
type Difference struct {
	Path          string // its keys, such as "kilns.tunnel.push"
	Before, After string // empty where the scenario has no such value
}

// Differences lists how b differs from a: first the values of a,
// changed or gone, then those that only b has. Names of
// the works are no difference. Values are compared as written: 60 min and 1 h
// differ, which shows more than it should but hides nothing.
func Differences(a, b *File) []Difference {
	before, after := a.texts(), b.texts()
	var all []Difference
	seen := map[string]bool{"name": true}
	for _, o := range append(append([]Origin{}, a.origins...), b.origins...) {
		if seen[o.Path] {
			continue
		}
		seen[o.Path] = true
		if x, y := before[o.Path], after[o.Path]; x != y {
			all = append(all, Difference{o.Path, x, y})
		}
	}
	return all
}

// texts gives what is written at each path; several rows at one path are
// joined.
func (f *File) texts() map[string]string {
	rows := map[string][]string{}
	for _, o := range f.origins {
		rows[o.Path] = append(rows[o.Path], o.Text)
	}
	texts := map[string]string{}
	for path, r := range rows {
		texts[path] = strings.Join(r, ", ")
	}
	return texts
}
