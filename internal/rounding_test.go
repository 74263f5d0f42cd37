package internal

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// rounded lists the packages whose floating-point arithmetic ends up in an
// answer. In them a product that feeds a sum is written float64(a*b) + c.
//
// The language lets a compiler compute a*b + c in one step with one rounding
// (Go specification, "Floating-point operators"). It does so on arm64, riscv64,
// ppc64 and s390x, and on amd64 if told to with GOAMD64=v3, but not on plain
// amd64: the same scenario would have two answers. A conversion forbids it.
//
// The rule sees one expression at a time. What reaches a sum by way of a
// variable or of a function that is inlined, .ci/samebits finds in the machine
// code; it holds the compiled packages of this list to no fused instruction.
// Package page is left out: it draws what the others worked out.
var rounded = []string{"calendar", "decision", "des", "draft", "experiment", "ledger", "plant", "quantity", "random", "report", "scenario", "stats", "web"}

func TestProductsAreRoundedBeforeTheyAreAdded(t *testing.T) {
	set := token.NewFileSet()
	for _, p := range listed(t) {
		files := parsed(t, set, p)
		info := types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
		config := types.Config{Importer: p.importer(set)}
		if _, err := config.Check(p.ImportPath, set, files, &info); err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			for _, product := range unroundedProducts(file, &info) {
				t.Errorf("%s: a product is added without being rounded; hint: write float64(%s)",
					set.Position(product.Pos()), types.ExprString(product))
			}
		}
	}
}

// The rule itself, on lines that break it and lines that keep it.
func TestWhatIsAnUnroundedProduct(t *testing.T) {
	const head = "package p\nvar a, b, c float64\nvar i, j int\nvar f32 float32\ntype mass float64\nvar m mass\nfunc f() { _ = "
	tests := []struct {
		code string
		want int
	}{
		{"a*b + c", 1},
		{"c - (a*b)", 1},
		{"a*b - c*a", 2},
		{"-a*b + c", 1},
		{"-(a*b) + c", 1},
		{"c + a/4", 1},              // compiled as a product
		{"c + a/b", 0},              // no machine fuses a quotient
		{"a*b*c + c", 1},            // the outer product is what is added
		{"(a*b + c)*a + b", 2},      // Horner's rule
		{"float64(a*b) + c", 0},     // rounded
		{"mass(a*b) + m", 0},        // a conversion to any float type rounds
		{"m*m + m", 1},              // whatever its name
		{"f32*f32 + f32", 1},        // whatever its size
		{"i*j + i", 0},              // whole numbers are exact
		{"2*3.5 + a", 0},            // a constant is exact
		{"(a + b) * c", 0},          // a sum in a product is rounded by both
		{"a; c += a*b", 1},          // the short forms
		{"a; c -= a*b", 1},          //
		{"a; c += float64(a*b)", 0}, //
		{"a; c *= a*b", 0},
	}
	for _, test := range tests {
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, "p.go", head+test.code+"}", 0)
		if err != nil {
			t.Fatal(err)
		}
		info := types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
		if _, err := new(types.Config).Check("p", set, []*ast.File{file}, &info); err != nil {
			t.Fatal(err)
		}
		if got := len(unroundedProducts(file, &info)); got != test.want {
			t.Errorf("%s: found %d products to round, want %d", test.code, got, test.want)
		}
	}
}

// unroundedProducts returns the floating-point products of a file that are
// added or subtracted as they are.
func unroundedProducts(file *ast.File, info *types.Info) []ast.Expr {
	var found []ast.Expr
	add := func(e ast.Expr) {
		if p := product(e, info); p != nil {
			found = append(found, p)
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.BinaryExpr:
			if n.Op == token.ADD || n.Op == token.SUB {
				add(n.X)
				add(n.Y)
			}
		case *ast.AssignStmt:
			if n.Tok == token.ADD_ASSIGN || n.Tok == token.SUB_ASSIGN {
				add(n.Rhs[0])
			}
		}
		return true
	})
	return found
}

// product returns the floating-point product that an operand is, under its
// parentheses and signs, or nil. A quotient by a constant counts as one, since
// compilers multiply by the inverse where that is exact.
func product(e ast.Expr, info *types.Info) ast.Expr {
	for {
		switch inner := e.(type) {
		case *ast.ParenExpr:
			e = inner.X
			continue
		case *ast.UnaryExpr:
			e = inner.X
			continue
		case *ast.BinaryExpr:
			if inner.Op == token.MUL && isFloat(info.Types[inner]) ||
				inner.Op == token.QUO && isFloat(info.Types[inner]) && isConstant(info.Types[inner.Y]) {
				return inner
			}
		}
		return nil
	}
}

// isFloat reports whether an expression is worked out in floating point at run
// time.
func isFloat(v types.TypeAndValue) bool {
	if v.Type == nil || isConstant(v) {
		return false
	}
	basic, ok := v.Type.Underlying().(*types.Basic)
	return ok && basic.Info()&types.IsFloat != 0
}

func isConstant(v types.TypeAndValue) bool {
	return v.Value != nil && v.Value.Kind() != constant.Unknown
}

// listedPackage is what the go command says of a package: its files, and where
// the compiled interfaces of all that it imports are.
type listedPackage struct {
	ImportPath, Dir, Export string
	GoFiles                 []string
	exports                 map[string]string
}

// listed asks the go command for the packages of the rule.
func listed(t *testing.T) []listedPackage {
	t.Helper()
	wanted := map[string]bool{}
	args := []string{"list", "-export", "-deps", "-json=ImportPath,Dir,Export,GoFiles"}
	for _, name := range rounded {
		wanted["potbank/internal/"+name] = true
		args = append(args, "./"+name)
	}
	command := exec.Command("go", args...)
	command.Stderr = os.Stderr
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var packages []listedPackage
	exports := map[string]string{}
	for lines := json.NewDecoder(bytes.NewReader(out)); ; {
		p := listedPackage{exports: exports}
		if err := lines.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		exports[p.ImportPath] = p.Export
		if wanted[p.ImportPath] {
			packages = append(packages, p)
		}
	}
	if len(packages) != len(rounded) {
		t.Fatalf("found %d of the %d packages of the rule", len(packages), len(rounded))
	}
	return packages
}

// importer reads the compiled interfaces.
func (p listedPackage) importer(set *token.FileSet) types.Importer {
	return importer.ForCompiler(set, "gc", func(path string) (io.ReadCloser, error) {
		return os.Open(p.exports[path])
	})
}

// parsed reads the files of a package, tests left out.
func parsed(t *testing.T, set *token.FileSet, p listedPackage) []*ast.File {
	t.Helper()
	var files []*ast.File
	for _, name := range p.GoFiles {
		file, err := parser.ParseFile(set, filepath.Join(p.Dir, name), nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(name, ".go") {
			files = append(files, file)
		}
	}
	return files
}
