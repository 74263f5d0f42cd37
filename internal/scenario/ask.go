package scenario

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"

	"potbank/internal/quantity"
)

// today is the name of the first option: the works as it is.
const today = "today"

// Limits of one question. The rules of choice are not meant for more options,
// and futures beyond these say nothing more.
const (
	mostChoices = 50
	mostFutures = 24
)

// Asked is a question that was read, with every works it speaks of.
type Asked struct {
	Question
	Path    string
	Hash    string   // SHA-256 of the hashes of its works and of what it says, in hexadecimal
	Options []Option // the works as it is first, then what might be done
	Futures []Future // at least one; weights add up to 1
	Inputs  []Input  // those that the question gives a range, then those that the base has evidence of

	files [][]*File // [option][future]
	now   []*File   // by option, as counted today, where a question about a date says so

	keys   map[string]place // of what the question says, by path
	values map[string]*value
	again  func(over *value) (*Question, []Fault) // reads it with values of its own laid over it
}

// Works returns the works of an option in a future.
func (a *Asked) Works(option, future int) *File { return a.files[option][future] }

// Now returns the works of an option as it is counted today. Only a question about
// the date of an order under way has any.
func (a *Asked) Now(option int) *File { return a.now[option] }

// IsQuestion tells whether the file at a path is a question rather than a
// scenario: it has the key question or, that one misspelt, the key ask. A file
// that cannot be read is not; whoever reads it will say why.
func IsQuestion(path string) bool {
	if path == "-" {
		return false
	}
	data, fault := readPath(path)
	if fault != nil {
		return false
	}
	root, _ := parse(data, &source{path: path})
	if root == nil || root.kind != set {
		return opening.Match(data)
	}
	_, is := root.find("question")
	_, asks := root.find("ask")
	return is || asks
}

// opening is the first line of a question that cannot be read as YAML.
var opening = regexp.MustCompile(`(?m)^(question|ask):`)

// Wrong is a fault of the question that only whoever carries it out can tell. It
// stands at a name under a key of the question, or else at the value of the key.
func (a *Asked) Wrong(path, name, hint, format string, args ...any) Fault {
	at, ok := a.keys[join(path, name)]
	if v := a.values[path]; !ok && v != nil {
		at = v.place
	}
	return Fault{File: a.Path, Line: at.line, Col: at.col, What: fmt.Sprintf(format, args...), Hint: hint, Code: Refused}
}

// ReadQuestion reads a question and every works it speaks of. It returns all
// faults it finds, sorted by place; the question is nil if one of them is more
// than a warning.
func ReadQuestion(path string) (*Asked, []Fault) {
	data, fault := readPath(path)
	if fault != nil {
		return nil, []Fault{*fault}
	}
	return readQuestion(data, path, nil)
}

// ReadQuestionIn reads the question of a name in a file system, in which the
// works lie that it names; the rest is as with [ReadQuestion].
func ReadQuestionIn(top fs.FS, name string) (*Asked, []Fault) {
	data, err := (&folder{path: ".", within: top}).load(name, mostBytes)
	if err != nil {
		return nil, []Fault{{File: name, What: err.Error(), Code: NotFound}}
	}
	return readQuestion(data, name, top)
}

// readQuestion reads a question's bytes, and what it names from the machine or
// from a file system.
func readQuestion(data []byte, path string, within fs.FS) (*Asked, []Fault) {
	r := &asker{asked: &Asked{Path: path}, within: within, source: &source{path: path, from: "overlay"}, said: map[Fault]bool{}}
	root, faults := parse(data, r.source)
	r.say(faults)
	if root != nil && root.kind == set && !refuses(r.faults) {
		r.read(root)
	}
	sortFaults(r.faults)
	if refuses(r.faults) {
		return nil, r.faults
	}
	h := sha256.New()
	h.Write(data)
	for _, row := range r.asked.files {
		for _, f := range row {
			h.Write([]byte(f.Hash))
		}
	}
	r.asked.Hash = hex.EncodeToString(h.Sum(nil))
	return r.asked, r.faults
}

// An asker reads one question. The steps are: the tree of the base, since
// prices and names of the question are in its terms; the question; the trees of
// the options and futures laid over the base; the works.
type asker struct {
	asked  *Asked
	source *source
	within fs.FS // nil: the machine's
	base   *value
	path   string         // of the base
	folder string         // in which it lies
	faults []Fault        // each once: all works share the faults of the base
	said   map[Fault]bool // found so far
}

// beside is a folder of the machine, or of the file system that the question was
// read in. One that leaves the latter holds nothing.
func (r *asker) beside(dir string) *folder {
	if r.within == nil {
		return &folder{path: dir}
	}
	sub, err := fs.Sub(r.within, filepath.ToSlash(dir))
	if err != nil {
		sub = noFiles{}
	}
	return &folder{path: dir, within: sub}
}

// noFiles is a file system with nothing in it.
type noFiles struct{}

func (noFiles) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// say adds faults that were not found before.
func (r *asker) say(faults []Fault) {
	for _, f := range faults {
		if !r.said[f] {
			r.said[f] = true
			r.faults = append(r.faults, f)
		}
	}
}

// fault records a fault of the question at a place.
func (r *asker) fault(at place, hint, format string, args ...any) {
	d := decoder{}
	d.fault(at, hint, format, args...)
	r.say(d.faults)
}

// read reads the question and makes its works.
func (r *asker) read(root *value) {
	e, ok := root.find(baseKey)
	if !ok || e.kind != text || strings.TrimSpace(e.text) == "" {
		at, hint := root.place, "add base: ../plant-a.yaml, or whichever scenario it is about"
		for _, e := range root.entries {
			if _, near := nearest(baseKey, []string{e.key}); near && !ok {
				at, hint = e.at, "did you mean base?"
			}
		}
		r.fault(at, hint, "the question names no base")
		return
	}
	if r.base, r.folder = r.tree(e); r.base == nil {
		return
	}
	r.path = filepath.Join(filepath.Dir(r.asked.Path), e.text)
	d := newDecoder(r.base, r.beside(filepath.Dir(r.asked.Path)))
	d.asks = true
	top := root.place
	top.line, top.col = 1, 1
	d.section(root, top, "", reflect.ValueOf(&r.asked.Question).Elem())
	r.asked.again = func(over *value) (*Question, []Fault) {
		var m merger
		d, q := newDecoder(r.base, r.beside(filepath.Dir(r.asked.Path))), &Question{}
		d.asks = true
		d.section(m.merge(root, over, ""), top, "", reflect.ValueOf(q).Elem())
		d.checkUses()
		return q, append(m.faults, d.faults...)
	}
	r.asked.keys, r.asked.values = d.places, d.values
	d.checkUses()
	r.say(d.faults)
	if refuses(r.faults) {
		return
	}
	r.options(d)
	r.futures(d)
	r.compare(d)
	r.size(d)
	if !refuses(r.faults) {
		r.works(d)
	}
	if !refuses(r.faults) {
		r.inputs(d)
		r.promise(d)
	}
}

// inputs lists the values that may be otherwise, and wants a works at either end
// of each range that the question gives.
func (r *asker) inputs(d *decoder) {
	a, base := r.asked, r.asked.Works(0, 0)
	given := map[string]bool{}
	for i, in := range a.Question.Inputs {
		row := fmt.Sprintf("inputs.%d.", i+1)
		input := Input{Path: in.Key, Low: in.Low, High: in.High, Rests: "as given"}
		a.Inputs, given[in.Key] = append(a.Inputs, input), true
		for k, side := range []Side{AtLow, AtHigh} {
			if faults := a.tried(input, side); faults != nil {
				r.fault(d.values[row+[]string{"low", "high"}[k]].place, faults[0].Hint, "%s", faults[0].What)
				break // a key that is wrong is wrong on both sides
			}
		}
	}
	for _, in := range append(base.Inputs(), a.ownInputs(d.evidence)...) {
		if !given[in.Path] {
			a.Inputs = append(a.Inputs, in)
		}
	}
}

// tried gives the faults of a works, or of the question, with an input at one side;
// nil if it can be had.
func (a *Asked) tried(in Input, side Side) []Fault {
	if in.OfQuestion() {
		_, faults := a.LeaningMaster([]Input{in}, []Side{side})
		return faults
	}
	if moved, faults := a.Works(0, 0).Leaning([]Input{in}, []Side{side}); moved == nil {
		return faults
	}
	return nil
}

// tree reads the tree of a scenario that the question names, laid over its own
// base if it has one, and the folder in which it lies: that of the question, or
// the one above.
func (r *asker) tree(e entry) (*value, string) {
	dir := filepath.Dir(r.asked.Path)
	name := e.text
	if up, ok := strings.CutPrefix(name, "../"); ok {
		dir, name = filepath.Join(dir, ".."), up
	}
	beside := r.beside(dir)
	data, err := beside.load(name, mostBytes)
	if err != nil {
		d := decoder{}
		d.textFault(e.value, err)
		r.say(d.faults)
		return nil, ""
	}
	f := &File{Path: filepath.Join(beside.path, name)}
	f.source = &source{path: f.Path, from: "file"}
	root, faults := parse(data, f.source)
	r.say(faults)
	if root == nil || root.kind != set || refuses(faults) {
		return nil, ""
	}
	dir = filepath.Dir(f.Path)
	if base, ok := root.find(baseKey); ok {
		if root, faults = f.overBase(root, base, r.beside(dir)); root == nil || refuses(faults) {
			r.say(faults)
			return nil, ""
		}
	}
	return root, dir
}

// options lists the works as it is, the options, and the combinations of the
// grid.
func (r *asker) options(d *decoder) {
	a := r.asked
	a.Options = append([]Option{{Name: today}}, a.Question.Options...)
	for _, o := range a.Question.Options {
		if o.Name == today {
			r.fault(d.places["options."+today], "give it another name", "%s is the works as it is", today)
		}
		if o.File == "" && !o.Changes.Any() {
			r.fault(d.places["options."+o.Name], "add changes:, or file:", "the option %s changes nothing", o.Name)
		}
	}
	if len(a.Grid) > 0 {
		a.Options = append(a.Options, combinations(a.Grid)...)
	}
	if n := len(a.Options); n > mostChoices {
		at, grid := d.places["grid"]
		if !grid {
			at = d.places["options"]
		}
		r.fault(at, "ask about fewer at a time", "%d options; the limit is %d", n, mostChoices)
		r.faults[len(r.faults)-1].Code = OverLimit
	}
}

// combinations lists every combination of one choice an axis, the last axis
// turning fastest. Names are joined; what the choices take is added up, and the
// shortest life holds for the whole.
func combinations(grid []Axis) []Option {
	all := []Option{{}}
	for _, axis := range grid {
		var longer []Option
		for _, o := range all {
			for _, c := range axis.Choices {
				both := Option{Name: strings.TrimPrefix(o.Name+" "+c.Name, " "), Changes: o.Changes.and(c.Changes),
					File: c.File, Capital: o.Capital + c.Capital, Rest: o.Rest + c.Rest, Upkeep: o.Upkeep + c.Upkeep, Life: c.Life}
				if o.Life > 0 && o.Capital > 0 && (o.Life < c.Life || c.Capital == 0) {
					both.Life = o.Life
				}
				if both.File == "" {
					both.File = o.File
				}
				longer = append(longer, both)
			}
		}
		all = longer
	}
	return all
}

// and lays further changes over these.
func (c Changes) and(more Changes) Changes {
	switch {
	case !c.Any():
		return more
	case !more.Any():
		return c
	}
	// The keys of two changes may be left out of the base, so nothing is refused
	// here: the merge with the base does that.
	return Changes{joined(c.tree, more.tree)}
}

// joined is one set with the entries of both; where both are sets below a key
// they are joined in turn, else the later one holds.
func joined(a, b *value) *value {
	both := &value{place: a.place, kind: set}
	for _, e := range a.entries {
		switch o, found := b.find(e.key); {
		case !found:
			both.entries = append(both.entries, e)
		case e.kind == set && o.kind == set:
			both.entries = append(both.entries, entry{e.key, o.at, joined(e.value, o.value)})
		default:
			both.entries = append(both.entries, o)
		}
	}
	for _, e := range b.entries {
		if _, found := a.find(e.key); !found {
			both.entries = append(both.entries, e)
		}
	}
	return both
}

// futures lists the futures with weights that add up to 1.
func (r *asker) futures(d *decoder) {
	a := r.asked
	a.Futures = append([]Future(nil), a.Question.Futures...)
	if len(a.Futures) == 0 {
		a.Futures = []Future{{Name: "as it is", Weight: 1}}
	}
	if n := len(a.Futures); n > mostFutures {
		r.fault(d.places["futures"], "ask about fewer at a time", "%d futures; the limit is %d", n, mostFutures)
		r.faults[len(r.faults)-1].Code = OverLimit
	}
	sum := 0.0
	for _, f := range a.Futures {
		sum += float64(f.Weight)
	}
	if sum <= 0 {
		r.fault(d.places["futures"], "give at least one a weight", "no future has a weight")
		return
	}
	for i := range a.Futures {
		a.Futures[i].Weight = quantity.Share(float64(a.Futures[i].Weight) / sum)
	}
}

// works makes the works of every option in every future.
func (r *asker) works(d *decoder) {
	a := r.asked
	for _, o := range a.Options {
		root, dir := r.base, r.folder
		if o.File != "" {
			name := d.values["options."+o.Name+".file"]
			if name == nil { // of a choice of the grid
				name = &value{place: place{file: r.source, line: 1, col: 1}, kind: text, text: o.File}
			}
			root, dir = r.tree(entry{"file", name.place, name})
		}
		if root == nil {
			continue
		}
		root = r.laid(r.laid(root, runOf(a.Run)), o.Changes)
		var row []*File
		for _, f := range a.Futures {
			row = append(row, r.file(r.laid(root, f.Changes), dir))
		}
		a.files = append(a.files, row)
		if a.Promise != nil && a.Promise.Today != nil {
			a.now = append(a.now, r.file(r.laid(root, a.Promise.Today.Changes), dir))
		}
	}
}

// runOf puts changes of the run section where they belong in a scenario.
func runOf(c Changes) Changes {
	if !c.Any() {
		return c
	}
	return Changes{&value{place: c.tree.place, kind: set, entries: []entry{{"run", c.tree.place, c.tree}}}}
}

// laid lays changes over a tree.
func (r *asker) laid(root *value, c Changes) *value {
	if !c.Any() {
		return root
	}
	var m merger
	merged := m.merge(root, c.tree, "")
	r.say(m.faults)
	return merged
}

// file makes the works of a tree.
func (r *asker) file(root *value, dir string) *File {
	f := &File{Path: r.path, Base: r.path, source: r.source}
	r.say(f.fill(root, r.beside(dir)))
	return f
}
