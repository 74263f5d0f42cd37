package scenario

import (
	"fmt"
	"strings"
)

// leftOut is the value by which a changing file takes an entry away.
const leftOut = "left out"

// baseKey is the key under which a change, or a question, names the scenario that
// it is about.
const baseKey = "base"

// A merger lays a changing file over its base. It works on the trees before
// they are read, so that it needs to know nothing of keys, and the merged tree
// is checked as if it were one file.
type merger struct{ faults []Fault }

// merge returns the base with the entries of over put in: sets are merged key
// by key, anything else is replaced. What comes from over keeps its own place,
// so that faults point at the file that has them.
func (m *merger) merge(base, over *value, path string) *value {
	merged := &value{place: base.place, kind: set}
	changed := make(map[string]bool)
	for _, e := range base.entries {
		o, found := over.find(e.key)
		changed[e.key] = found
		switch {
		case !found:
			merged.entries = append(merged.entries, e)
		case o.is(leftOut):
		case e.kind == set && o.kind == set:
			merged.entries = append(merged.entries, entry{e.key, e.at, m.merge(e.value, o.value, join(path, e.key))})
		default:
			merged.entries = append(merged.entries, o)
		}
	}
	for _, o := range over.entries {
		if changed[o.key] {
			continue
		}
		if o.is(leftOut) {
			hint := "take the line away"
			if near, ok := nearest(o.key, entryKeys(base)); ok {
				hint = fmt.Sprintf("did you mean %s?", near)
			}
			m.fault(o.at, hint, "the base has no %s%s to leave out", quote(o.key), underPath(path))
			continue
		}
		merged.entries = append(merged.entries, m.added(o, join(path, o.key)))
	}
	return merged
}

// added takes over an entry that the base lacks; nothing in it can be left
// out. Whether the file may have such an entry is for the decoder to say.
func (m *merger) added(o entry, path string) entry {
	for _, e := range o.entries {
		if e.is(leftOut) {
			m.fault(e.at, "take the line away", "the base has no %s to leave out", quote(path))
		}
	}
	return o
}

func (m *merger) fault(at place, hint, format string, args ...any) {
	m.faults = append(m.faults, Fault{File: at.file.path, Line: at.line, Col: at.col,
		What: fmt.Sprintf(format, args...), Hint: hint, Code: Refused})
}

// entryKeys returns the keys of a set.
func entryKeys(v *value) []string {
	var keys []string
	for _, e := range v.entries {
		keys = append(keys, e.key)
	}
	return keys
}

// withoutBase returns a changing file's tree without its base key.
func withoutBase(root *value) *value {
	rest := *root
	rest.entries = nil
	for _, e := range root.entries {
		if e.key != baseKey {
			rest.entries = append(rest.entries, e)
		}
	}
	return &rest
}

// baseOf returns the name of the base in a changing file.
func baseOf(root *value) (entry, bool) {
	e, ok := root.find(baseKey)
	return e, ok && e.kind == text && strings.TrimSpace(e.text) != ""
}
