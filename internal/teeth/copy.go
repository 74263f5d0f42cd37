package teeth

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strings"
)

// bundledFile is a source file whose functions have changed copies.
type bundledFile struct {
	src    []byte
	files  *token.FileSet
	parsed *ast.File
	copies []funcCopy
	hands  map[int]string // statements put at the start of function bodies, by offset
}

// funcCopy is the changed copy of a function.
type funcCopy struct {
	n    int // change
	text string
	line int // of its first line, once written
}

// newBundledFile parses a file.
func newBundledFile(src []byte) (*bundledFile, error) {
	f := &bundledFile{src: src, files: token.NewFileSet(), hands: map[int]string{}}
	var err error
	f.parsed, err = parser.ParseFile(f.files, "", src, 0)
	return f, err
}

// add gives the function in which a change lies a copy with the change. It reports
// whether that is possible.
func (f *bundledFile) add(n int, c *Change) bool {
	fn := f.function(c)
	if fn == nil {
		return false
	}
	call, ok := f.call(fn, fmt.Sprintf("teeth%d", n))
	if !ok {
		return false
	}
	if fn.Type.Results.NumFields() > 0 {
		call = "return " + call
	} else {
		call += "; return"
	}
	body := f.offset(fn.Body.Pos())
	f.hands[body+1] += fmt.Sprintf("if teethOn == %d { %s }; ", n+1, call)

	changed := c.Apply(f.src)
	end := f.offset(fn.End()) + len(c.Text) - (c.To - c.From)
	head := string(f.src[f.offset(fn.Pos()):f.offset(fn.Name.Pos())])
	rest := string(changed[f.offset(fn.Name.End()):end])
	f.copies = append(f.copies, funcCopy{n: n, text: head + fmt.Sprintf("teeth%d_%s", n, fn.Name.Name) + rest})
	return true
}

// offset is a place as an offset in the source.
func (f *bundledFile) offset(p token.Pos) int { return f.files.Position(p).Offset }

// function finds the function whose body holds a change, if copies of it can stand
// in for it: its type has no parameters of its own, and it does not recover, which
// works in the function that was deferred alone.
func (f *bundledFile) function(c *Change) *ast.FuncDecl {
	for _, d := range f.parsed.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok || fn.Body == nil || c.From <= f.offset(fn.Body.Pos()) || c.To >= f.offset(fn.Body.End()) {
			continue
		}
		body := f.src[f.offset(fn.Body.Pos()):f.offset(fn.Body.End())]
		if fn.Type.TypeParams != nil || fn.Name.Name == "init" || bytes.Contains(body, []byte("recover()")) {
			return nil
		}
		return fn
	}
	return nil
}

// call spells the call of a copy with the arguments of its function; not where one
// of them has no name.
func (f *bundledFile) call(fn *ast.FuncDecl, prefix string) (string, bool) {
	name := prefix + "_" + fn.Name.Name
	if fn.Recv != nil {
		if len(fn.Recv.List[0].Names) == 0 {
			return "", false
		}
		name = fn.Recv.List[0].Names[0].Name + "." + name
	}
	var args []string
	for _, field := range fn.Type.Params.List {
		if len(field.Names) == 0 {
			return "", false
		}
		for _, id := range field.Names {
			arg := id.Name
			if _, variadic := field.Type.(*ast.Ellipsis); variadic {
				arg += "..."
			}
			args = append(args, arg)
		}
	}
	return name + "(" + strings.Join(args, ", ") + ")", name[0] != '_' && !slices.Contains(args, "_")
}

// text writes the file: the functions where they were, their copies behind them.
func (f *bundledFile) text() []byte {
	var b bytes.Buffer
	at := 0
	for _, d := range f.parsed.Decls {
		fn, ok := d.(*ast.FuncDecl)
		if !ok || fn.Body == nil {
			continue
		}
		if hand := f.hands[f.offset(fn.Body.Pos())+1]; hand != "" {
			body := f.offset(fn.Body.Pos()) + 1
			b.Write(f.src[at:body])
			b.WriteString(" " + hand)
			at = body
		}
	}
	b.Write(f.src[at:])
	for k := range f.copies {
		b.WriteString("\n")
		f.copies[k].line = 1 + bytes.Count(b.Bytes(), []byte("\n"))
		b.WriteString(f.copies[k].text + "\n")
	}
	return b.Bytes()
}

// at gives the change in whose copy a line lies.
func (f *bundledFile) at(line int) (n int, ok bool) {
	for _, c := range f.copies {
		if c.line <= line && line <= c.line+strings.Count(c.text, "\n") {
			return c.n, true
		}
	}
	return 0, false
}

// switchFile is the source of the variable that says which change is on.
func (f *bundledFile) switchFile() []byte {
	return fmt.Appendf(nil, `package %s

import (
	"os"
	"strconv"
)

var teethOn, _ = strconv.Atoi(os.Getenv(%q))
`, f.parsed.Name.Name, switchVariable)
}
