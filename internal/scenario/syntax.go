package scenario

import (
	"errors"
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"
)

// parse returns the value tree of one file's bytes. Faults of encoding and
// layout end the reading, since what follows them would be nonsense; those
// found while building the tree are all gathered.
func parse(data []byte, file *source) (*value, []Fault) {
	if faults := checkEncoding(data, file); faults != nil {
		return nil, faults
	}
	if faults := checkLayout(string(data), file); faults != nil {
		return nil, faults
	}
	document, err := load(data)
	if err != nil {
		return nil, []Fault{syntaxFault(err, file)}
	}
	if len(document.Content) == 0 {
		return nil, []Fault{onlyComments(file)}
	}
	b := &builder{file: file}
	root := b.build(document.Content[0], "", 1)
	if root != nil && root.kind != set {
		b.fault(document.Content[0], Refused, "begin with potbank: 1", "a scenario is a set of keys and values, got %s", root.kind)
	}
	if len(b.faults) > 0 {
		return root, b.faults
	}
	return root, nil
}

// onlyComments is the fault of a file without a single key.
func onlyComments(file *source) Fault {
	return Fault{File: file.path, What: "the file holds only comments", Hint: "begin with a copy of one of the files in scenarios", Code: Refused}
}

// load calls the YAML parser, and takes a panic of it for an error: it is
// given whatever a stranger wrote. Its own limit of depth guards the kinds of
// nesting that checkLayout does not follow.
func load(data []byte) (document *yaml.Node, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the YAML parser gave up: %v", r)
		}
	}()
	document = new(yaml.Node)
	err = yaml.Load(data, document, yaml.WithPlugin(loaderlimits.New(loaderlimits.DepthValue(mostDepth))))
	return document, err
}

// syntaxFault puts an error of the YAML parser in the words of this package.
// The parser tells where it noticed the error and, as context, where the thing
// began in which it did; which of the two helps depends on the error. Its
// messages are matched in part, so that an unknown one still comes through.
func syntaxFault(err error, file *source) Fault {
	var e *yaml.LoadError
	if !errors.As(err, &e) {
		return Fault{File: file.path, What: "not readable as YAML: " + err.Error(), Hint: "check indentation, colons and quotes", Code: Refused}
	}
	f := Fault{File: file.path, Line: e.Mark.Line, Col: e.Mark.Column, Code: Refused}
	fromContext := func() { f.Line, f.Col = e.ContextMark.Line, e.ContextMark.Column }
	switch {
	case strings.Contains(e.Message, "max depth"):
		f.What, f.Hint, f.Code = fmt.Sprintf("nested more than %d deep, stopped reading", mostDepth), "a scenario needs 7 levels", OverLimit
	case strings.Contains(e.Message, "could not find expected ':'"):
		fromContext()
		f.What, f.Hint = "this line has no colon after its key", "write a key, a colon, a space and a value"
	case strings.Contains(e.Message, "mapping values are not allowed"):
		f.What, f.Hint = "a colon is not expected here", "check the indentation, and put quotes round a text that holds a colon and a space"
	case strings.Contains(e.Message, "did not find expected key"):
		f.What, f.Hint = "this line does not fit the indentation of those above it", "indent the keys of one section alike, by spaces"
	case strings.Contains(e.Message, "did not find expected ',' or"):
		f.What, f.Hint = "a comma or a closing bracket is missing before this", fmt.Sprintf("the bracket was opened on line %d", e.ContextMark.Line)
	case strings.Contains(e.Message, "escape"):
		f.What, f.Hint = "the character after this backslash has no meaning", "write the text in single quotes, or double the backslash"
	default:
		f.What, f.Hint = "not readable as YAML: "+e.Message, "check indentation, colons and quotes"
	}
	if f.Line == 0 {
		f.Line, f.Col = 1, 1
	}
	return f
}
