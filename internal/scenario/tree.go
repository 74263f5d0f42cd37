package scenario

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Limits on the text of one file. They stand far above any works and far
// below what would tire the machine.
const (
	mostBytes   = 1 << 20
	mostDepth   = 32
	mostNodes   = 100_000
	mostKeys    = 10_000
	longestText = 4096 // characters
	longestName = 200  // characters
)

// kind tells what stands under a key.
type kind int

const (
	nothing kind = iota // an empty value
	text                // one value, not yet understood
	set                 // keys with values
	list                // values in order
)

func (k kind) String() string {
	return [...]string{"nothing", "a value", "a set", "a list"}[k]
}

// A source is a file that values stand in.
type source struct {
	path string
	from string // what Origin.From says of its values: "file" or "overlay"
}

// A place is where something stands in a file.
type place struct {
	file      *source
	line, col int // both from 1; col counts characters
}

// A value is one node of the file: what YAML has to say, and where.
type value struct {
	place
	kind    kind
	text    string
	quoted  bool
	entries []entry  // of a set, in file order
	items   []*value // of a list
}

// An entry is one key of a set and its value.
type entry struct {
	key string
	at  place // of the key
	*value
}

// find returns the entry of a key.
func (v *value) find(key string) (entry, bool) {
	for _, e := range v.entries {
		if e.key == key {
			return e, true
		}
	}
	return entry{}, false
}

// is reports whether the value is that plain word.
func (v *value) is(word string) bool { return v.kind == text && !v.quoted && v.text == word }

// within returns the place of a character inside the value's text. It is exact
// unless quotes hold escapes, which take more room in the file than in the
// text.
func (v *value) within(offset int) place {
	p := v.place
	if strings.ContainsAny(v.text, "\n") || v.kind != text {
		return p
	}
	if v.quoted {
		offset++
	}
	p.col += offset
	return p
}

// A builder turns YAML nodes into values and refuses what a scenario does not
// need of YAML. It also counts: the parser itself would accept a hundred times
// what any scenario holds, and checks for duplicate keys pair by pair.
type builder struct {
	file   *source
	nodes  int
	faults []Fault
}

// fault records a fault at a node.
func (b *builder) fault(n *yaml.Node, code int, hint, format string, args ...any) {
	b.faults = append(b.faults, Fault{File: b.file.path, Line: n.Line, Col: n.Column,
		What: fmt.Sprintf(format, args...), Hint: hint, Code: code})
}

// build returns the value of a node under a key, or nil when there is no use
// in going on with it.
func (b *builder) build(n *yaml.Node, key string, depth int) *value {
	b.nodes++
	if b.nodes > mostNodes {
		if b.nodes == mostNodes+1 {
			b.fault(n, OverLimit, "split the study into several scenarios", "more than %d values, stopped reading", mostNodes)
		}
		return nil
	}
	if depth > mostDepth {
		b.fault(n, OverLimit, "a scenario needs 7 levels", "nested more than %d deep, stopped reading", mostDepth)
		return nil
	}
	if !b.plain(n, key) {
		return nil
	}
	v := &value{place: place{b.file, n.Line, n.Column}}
	switch n.Kind {
	case yaml.MappingNode:
		v.kind = set
		b.entries(v, n, key, depth)
	case yaml.SequenceNode:
		v.kind = list
		for _, item := range n.Content {
			if built := b.build(item, key, depth+1); built != nil {
				v.items = append(v.items, built)
			}
		}
	case yaml.ScalarNode:
		b.scalar(v, n, key)
	}
	return v
}

// plain refuses anchors, aliases and tags: a scenario says each thing where it
// belongs, and none of them may change what a value means.
func (b *builder) plain(n *yaml.Node, key string) bool {
	switch {
	case n.Anchor != "" || n.Kind == yaml.AliasNode:
		b.fault(n, Refused, "write the value out in full", "anchors and aliases are not accepted")
	case n.Style&yaml.TaggedStyle != 0:
		hint := "take the tag away"
		if key != "" && n.Kind == yaml.ScalarNode {
			hint = "write " + key + ": and the value alone"
		}
		b.fault(n, Refused, hint, "tags are not accepted")
	default:
		return true
	}
	return false
}

// entries builds the entries of a set.
func (b *builder) entries(v *value, n *yaml.Node, name string, depth int) {
	first := make(map[string]int, len(n.Content)/2) // key to its line
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, content := n.Content[i], n.Content[i+1]
		if i/2 == mostKeys {
			b.fault(k, OverLimit, "split the study into several scenarios", "more than %d entries under %s, stopped reading", mostKeys, orFile(name))
			return
		}
		if !b.key(k) {
			continue
		}
		if line, twice := first[k.Value]; twice {
			b.fault(k, Refused, "delete one of them", "%s is given twice (first at line %d)", k.Value, line)
			continue
		}
		first[k.Value] = k.Line
		if built := b.build(content, k.Value, depth+1); built != nil {
			v.entries = append(v.entries, entry{k.Value, place{b.file, k.Line, k.Column}, built})
		}
	}
}

// orFile names the section of a key, or the file for the outermost.
func orFile(key string) string {
	if key == "" {
		return "the file"
	}
	return key
}

// key checks a key before its value is looked at, and reports whether there is
// any use in the entry.
func (b *builder) key(k *yaml.Node) bool {
	switch {
	case k.Kind == yaml.ScalarNode && k.Tag == "!!merge":
		b.fault(k, Refused, "write the keys out in full", "merge keys are not accepted")
		return false
	case k.Kind != yaml.ScalarNode && k.Kind != yaml.AliasNode:
		b.fault(k, Refused, "write a key as one word and a colon", "a key must be one word, got %s", map[yaml.Kind]string{
			yaml.MappingNode: "a set", yaml.SequenceNode: "a list"}[k.Kind])
		return false
	case !b.plain(k, ""):
		return false
	case utf8.RuneCountInString(k.Value) > longestName:
		b.fault(k, OverLimit, "shorten it", "this key is %d characters long; the limit is %d", utf8.RuneCountInString(k.Value), longestName)
		return false
	case k.Value == "":
		b.fault(k, Refused, "write a key before the colon", "the key is empty")
		return false
	}
	b.nodes++
	return true
}

// scalar takes over the text of one value.
func (b *builder) scalar(v *value, n *yaml.Node, key string) {
	v.text, v.kind = n.Value, text
	v.quoted = n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0
	limit := longestText
	if key == "name" {
		limit = longestName
	}
	if length := utf8.RuneCountInString(v.text); length > limit {
		b.fault(n, OverLimit, "shorten it", "%s is %d characters long; the limit is %d", orValue(key), length, limit)
		v.text = ""
	}
	if i := strings.IndexFunc(v.text, func(r rune) bool { return r != '\n' && (unicode.IsControl(r) || hidden(r)) }); i >= 0 {
		r, _ := utf8.DecodeRuneInString(v.text[i:])
		b.fault(n, Refused, "remove it; a text holds letters, digits, spaces and punctuation", "control character U+%04X in %s", r, orValue(key))
		v.text = ""
	}
	if !v.quoted && (v.text == "" || v.text == "~" || v.text == "null") {
		v.kind = nothing
	}
	// A block of lines is folded to one: no value of a scenario has two.
	v.text = strings.TrimRight(v.text, "\n")
}

// orValue names what a text belongs to.
func orValue(key string) string {
	if key == "" {
		return "the value"
	}
	return key
}

// quote shows a user's text in a message, shortened if it is long.
func quote(s string) string {
	if runes := []rune(s); len(runes) > 40 {
		s = string(runes[:37]) + "..."
	}
	return strconv.Quote(s)
}
