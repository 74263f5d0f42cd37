package scenario

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// refSections tells in which section the things live that a value may name.
var refSections = map[string]string{"hours": "hours", "crew": "crews", "ware": "ware"}

// wareOrOthers is the reference of a set by ware, where "others" stands for
// the wares not named.
const (
	wareOrOthers = "ware or others"
	others       = "others"
)

// A use is a place that names a thing defined elsewhere in the file, as the
// crew of a bench does.
type use struct {
	ref  string // "hours", "crew", "ware"
	name string
	at   place
}

// use records that a name is used, to be checked when all names are known.
func (d *decoder) use(ref, name string, at place, path string) {
	if ref == wareOrOthers {
		if name == others {
			return
		}
		ref = "ware"
	}
	d.uses = append(d.uses, use{ref, name, at})
}

// checkUses refuses names that nothing bears. If a name is used in several
// places, is not defined, and differs by a slip from a definition that is used
// nowhere, the slip is in the definition, and is reported there once.
func (d *decoder) checkUses() {
	times := make(map[use]int)
	for _, u := range d.uses {
		u.at = place{}
		times[u]++
	}
	reported := make(map[use]bool)
	for _, u := range d.uses {
		defined := d.names[u.ref]
		key := use{ref: u.ref, name: u.name}
		if len(defined) == 0 {
			continue // the section itself is missing or empty, and reported
		}
		if reported[key] || slices.ContainsFunc(defined, func(e entry) bool { return e.key == u.name }) {
			continue
		}
		var known []string
		for _, e := range defined {
			known = append(known, e.key)
		}
		near, ok := nearest(u.name, known)
		if ok && times[use{ref: u.ref, name: near}] == 0 && times[key] > 1 {
			i := slices.IndexFunc(defined, func(e entry) bool { return e.key == near })
			d.fault(defined[i].at, fmt.Sprintf("did you mean %s?", u.name),
				"%s is used nowhere, but %d places name %s", quote(near), times[key], quote(u.name))
			reported[key] = true
			continue
		}
		hint := d.listOf(u.ref, known)
		if ok {
			i := slices.IndexFunc(defined, func(e entry) bool { return e.key == near })
			hint = fmt.Sprintf("did you mean %s? (defined at line %d)", near, defined[i].at.line)
		}
		d.fault(u.at, hint, "no %s called %s", u.ref, quote(u.name))
	}
}

// listOf lists the names there are.
func (d *decoder) listOf(ref string, known []string) string {
	section := refSections[ref]
	if len(known) > 12 {
		known = append(slices.Clone(known[:12]), "...")
	}
	return fmt.Sprintf("%s: %s", section, strings.Join(known, ", "))
}

// checkName wants names that can stand in the name of a measure and in a
// path: letters, digits, - and _. The names of faults may hold spaces.
func (d *decoder) checkName(e entry, path string) {
	_, section, _ := cutLast(path)
	spaces := strings.HasSuffix(section, "-faults")
	bad := strings.IndexFunc(e.key, func(r rune) bool {
		return !(unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '_' || r == ' ' && spaces)
	})
	switch {
	case bad >= 0:
		r, _ := utf8.DecodeRuneInString(e.key[bad:])
		d.fault(e.at, "names hold letters, digits, - and _", "%s has %q in its name", quote(e.key), string(r))
	case path == "ware" && e.key == others:
		d.fault(e.at, "give the ware another name", "others stands for the wares not named, and cannot name one")
	}
}

// unknown reports a key that its section does not have, and returns the key
// that was probably meant, so that its absence is not reported as well. A key
// of another section is told where it belongs, unless it is a single slip away
// from one of this section.
func (d *decoder) unknown(e entry, section *value, path string, fields []field) (meant string) {
	var free []string // keys not yet taken are likelier meant
	for _, f := range fields {
		if _, taken := section.find(f.key); !taken {
			free = append(free, f.key)
		}
	}
	if path == "" && !d.asks {
		free = append(free, baseKey) // of a change, which is then read as a works
	}
	near, ok := nearest(e.key, free)
	if !ok {
		near, ok = nearest(e.key, keysOf(fields))
	}
	at := homes()[e.key]
	if d.asks {
		at = nil // a question has no such sections to move it to
	}
	switch {
	case ok && (len(at) == 0 || distance(near, e.key) == 1):
		d.fault(e.at, fmt.Sprintf("did you mean %s?", near), "unknown key %s%s", quote(e.key), underPath(path))
		return near
	case len(at) > 0:
		d.fault(e.at, moveTo(at), "%s does not belong %s", e.key, strings.TrimSpace(orTop(underPath(path))))
		return ""
	case len(free) == 0:
		free = keysOf(fields)
	}
	free = slices.DeleteFunc(free, func(key string) bool { return key == baseKey })
	if len(free) > 10 {
		free = append(free[:10], "...")
	}
	d.fault(e.at, "keys here: "+strings.Join(free, ", "), "unknown key %s%s", quote(e.key), underPath(path))
	return ""
}

// underPath says in which section, or nothing for the outermost.
func underPath(path string) string {
	if path == "" {
		return ""
	}
	return " under " + path
}

// orTop names the outermost level.
func orTop(under string) string {
	if under == "" {
		return "at the outermost level"
	}
	return under
}

// moveTo says where a key belongs.
func moveTo(homes []string) string {
	var places []string
	for _, h := range homes {
		if h == "" {
			h = "the outermost level"
		}
		places = append(places, h)
	}
	if len(places) > 3 {
		places = append(places[:3], "others")
	}
	if len(places) == 1 {
		return "move it under " + places[0]
	}
	return "it belongs under " + strings.Join(places[:len(places)-1], ", ") + " or " + places[len(places)-1]
}

// suggest is the hint of a word that is not among those allowed.
func suggest(word string, allowed []string) string {
	if near, ok := nearest(word, allowed); ok {
		return fmt.Sprintf("did you mean %s?", near)
	}
	return "write " + strings.Join(allowed, " or ")
}

// nearest returns the candidate that a misspelt word is nearest to, if one is
// near: up to one slip in three letters, and never all letters of a word. Of
// equals the first wins. Case does not count: it is the commonest slip.
func nearest(word string, candidates []string) (string, bool) {
	best, closest := max(1, len(word)/3)+1, ""
	for _, c := range candidates {
		if gap := distance(strings.ToLower(word), strings.ToLower(c)); gap < best && gap < len(c) {
			best, closest = gap, c
		}
	}
	return closest, closest != ""
}

// distance returns how many slips lie between two words: letters left out, put
// in, replaced, or swapped with their neighbour (optimal string alignment).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, row := make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		next := make([]int, len(y)+1)
		next[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			next[j+1] = min(row[j]+cost, row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row = row, next
	}
	return row[len(y)]
}

// sortedKeys returns the keys of a map in order.
func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
