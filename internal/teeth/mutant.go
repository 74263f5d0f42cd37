package teeth

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"hash/fnv"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// A Mutant is a mechanical change at one place of a source file.
type Mutant struct {
	Func string // function it lies in, with its receiver's type
	Line int    // from 1
	Col  int    // from 1, in bytes
	Was  string // the line before the change, without the space around it
	Kind string // what was done, such as "< becomes <="

	Change
}

// Name identifies the mutant however the lines of its file move.
func (m *Mutant) Name() string {
	return fmt.Sprintf("%s %s: %s: %s", m.File, m.Func, m.Was, m.Kind)
}

// Mutants lists every mutant of a package, by its folder from the root: in the
// order in which a seed would draw them, first those to be tried first.
//
// The order is that of a hash of seed and name, so a change of the source moves
// only the mutants of the lines that it changes, and a sample stays the same from
// one night to the next.
func Mutants(root, pkg string, seed uint64) ([]Mutant, error) {
	files, err := filepath.Glob(filepath.Join(root, filepath.FromSlash(pkg), "*.go"))
	if err != nil {
		return nil, err
	}
	var all []Mutant
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		src, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		some, err := mutantsOf(path.Join(pkg, filepath.Base(file)), src)
		if err != nil {
			return nil, err
		}
		all = append(all, some...)
	}
	place := func(m *Mutant) uint64 {
		h := fnv.New64a()
		fmt.Fprintf(h, "%d %s", seed, m.Name())
		return mixed(h.Sum64())
	}
	slices.SortStableFunc(all, func(a, b Mutant) int {
		if place(&a) < place(&b) {
			return -1
		}
		return 1
	})
	return all, nil
}

// mixed spreads the bits of a hash: texts that end alike have like FNV hashes.
// It is the finalizer of MurmurHash3 (Appleby, public domain).
func mixed(h uint64) uint64 {
	h = (h ^ h>>33) * 0xFF51AFD7ED558CCD
	h = (h ^ h>>33) * 0xC4CEB9FE1A85EC53
	return h ^ h>>33
}

// mutator collects the mutants of a file.
type mutator struct {
	name  string
	src   []byte
	files *token.FileSet
	fn    string
	found []Mutant
	named map[string]int // mutants that would have the same name
}

// mutantsOf finds the mutants of one file, in the order of the source.
func mutantsOf(name string, src []byte) ([]Mutant, error) {
	m := &mutator{name: name, src: src, files: token.NewFileSet(), named: map[string]int{}}
	file, err := parser.ParseFile(m.files, name, src, 0)
	if err != nil {
		return nil, err
	}
	for _, d := range file.Decls {
		if f, ok := d.(*ast.FuncDecl); ok && f.Body != nil {
			m.fn = funcName(f)
			ast.Inspect(f.Body, m.look)
		}
	}
	return m.found, nil
}

// funcName is the name of a function, with the type of its receiver.
func funcName(f *ast.FuncDecl) string {
	if f.Recv == nil {
		return f.Name.Name
	}
	t := f.Recv.List[0].Type
	if p, ok := t.(*ast.StarExpr); ok {
		t = p.X
	}
	if generic, ok := t.(*ast.IndexExpr); ok {
		t = generic.X
	}
	return fmt.Sprintf("%s.%s", t.(*ast.Ident).Name, f.Name.Name)
}

// swaps lists what becomes of an operator.
var swaps = map[token.Token][]token.Token{
	token.LSS: {token.LEQ, token.GEQ}, token.LEQ: {token.LSS, token.GTR},
	token.GTR: {token.GEQ, token.LEQ}, token.GEQ: {token.GTR, token.LSS},
	token.EQL: {token.NEQ}, token.NEQ: {token.EQL},
	token.ADD: {token.SUB}, token.SUB: {token.ADD}, token.MUL: {token.QUO}, token.QUO: {token.MUL},
	token.LAND: {token.LOR}, token.LOR: {token.LAND},
	token.ADD_ASSIGN: {token.SUB_ASSIGN}, token.SUB_ASSIGN: {token.ADD_ASSIGN},
	token.INC: {token.DEC}, token.DEC: {token.INC},
}

// look notes the mutants of one node.
func (m *mutator) look(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		m.swap(n.OpPos, n.Op)
	case *ast.IncDecStmt:
		m.swap(n.TokPos, n.Tok)
	case *ast.AssignStmt:
		m.swap(n.TokPos, n.Tok)
		if n.Tok != token.DEFINE {
			m.delete(n)
		}
	case *ast.ExprStmt:
		if call, ok := n.X.(*ast.CallExpr); ok && isPanic(call) {
			return false // words for the programmer; that it comes to words is tested
		}
		m.delete(n)
	case *ast.IfStmt:
		m.replace(n.Cond.Pos(), n.Cond.End(), "!("+m.text(n.Cond)+")", "condition is negated")
	case *ast.BasicLit:
		if v, err := strconv.Atoi(n.Value); err == nil && n.Kind == token.INT {
			m.replace(n.Pos(), n.End(), strconv.Itoa(v+1), fmt.Sprintf("%d becomes %d", v, v+1))
		}
	case *ast.CallExpr:
		if f, ok := n.Fun.(*ast.Ident); ok && (f.Name == "min" || f.Name == "max") {
			other := map[string]string{"min": "max", "max": "min"}[f.Name]
			m.replace(f.Pos(), f.End(), other, f.Name+" becomes "+other)
		}
	}
	return true
}

// isPanic tells whether a call is one of panic.
func isPanic(call *ast.CallExpr) bool {
	f, ok := call.Fun.(*ast.Ident)
	return ok && f.Name == "panic"
}

// swap notes the mutants that have another operator.
func (m *mutator) swap(at token.Pos, op token.Token) {
	for _, other := range swaps[op] {
		m.replace(at, at+token.Pos(len(op.String())), other.String(), op.String()+" becomes "+other.String())
	}
}

// delete notes the mutant that lacks a statement.
func (m *mutator) delete(n ast.Node) {
	m.replace(n.Pos(), n.End(), "", "is deleted: "+strings.Join(strings.Fields(m.text(n)), " "))
}

// text is the source of a node.
func (m *mutator) text(n ast.Node) string {
	return string(m.src[m.files.Position(n.Pos()).Offset:m.files.Position(n.End()).Offset])
}

// replace notes one mutant.
func (m *mutator) replace(from, to token.Pos, text, kind string) {
	at := m.files.Position(from)
	end := m.files.Position(to).Offset
	whole := m.src[at.Offset-(at.Column-1):]
	line, _, _ := strings.Cut(string(whole), "\n")
	one := Mutant{
		Func: m.fn, Line: at.Line, Col: at.Column, Was: strings.TrimSpace(line), Kind: kind,
		Change: Change{File: m.name, From: at.Offset, To: end, Text: text},
	}
	if m.named[one.Name()]++; m.named[one.Name()] > 1 {
		one.Kind += fmt.Sprintf(" (%d)", m.named[one.Name()])
	}
	m.found = append(m.found, one)
}
