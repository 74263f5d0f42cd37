package report

import "strings"

// Key is one key of a scenario file.
type Key struct {
	Path     string // from the top of the file, e.g. kilns.<name>.push
	Doc      string // one line
	Default  string // the text taken when the file is silent; empty: none
	Optional bool   // may be left out though it has no default
	Section  bool   // a set of keys that all may be left out
	Words    string // the words allowed, with commas between; empty: any
}

// KeysDocument lays out keys in the order in which a file is written.
func KeysDocument(keys []Key) Document {
	t := &Table{Columns: []Column{
		{Head: "Key", Text: true}, {Head: "Default", Text: true, Wide: 14}, {Head: "Explanation", Text: true, Wide: 70},
	}}
	for _, k := range keys {
		doc := k.Doc
		if k.Words != "" {
			doc += " (" + strings.ReplaceAll(k.Words, ",", ", ") + ")"
		}
		t.add(k.Path, k.standard(), doc)
	}
	return Document{Title: "Keys of a scenario file", Parts: []Part{{Table: t}}}
}

// Required tells whether a file must have the key.
func (k Key) Required() bool { return k.Default == "" && !k.Optional && !k.Section }

// standard says what a file that is silent about the key gets.
func (k Key) standard() string {
	switch {
	case k.Required():
		return "required"
	case k.Section:
		return ""
	case k.Default == "":
		return "left out"
	}
	return k.Default
}
