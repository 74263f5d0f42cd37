package scenario

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// A File is a scenario that was read: what it says, and where it says it.
type File struct {
	Path  string       // as given; "-" for standard input
	Base  string       // of a changing file: the file it changes; else empty
	Works *plant.Works // every value given or taken by default
	Hash  string       // SHA-256 of the file as its Print writes it and of the data beside it, in hexadecimal

	// Recall, if not nil, gives what may know results of a works with its hash;
	// every plant made of the file asks it.
	Recall func(hash string, works *plant.Works) plant.Recaller

	origins  []Origin
	evidence []Evidence
	keys     map[string]place
	values   map[string]*value
	source   *source
	root     *value  // everything the file says, its changes included
	beside   *folder // where it lies
}

// Read reads the scenario at a path, or standard input for "-". It returns all
// faults it finds, sorted by place; the file is nil if one of them is more
// than a warning.
//
// A file with the key base changes another that lies beside it: it holds only
// the keys altered, and the word "left out" for those taken away.
func Read(path string) (*File, []Fault) {
	data, fault := readPath(path)
	if fault != nil {
		return nil, []Fault{*fault}
	}
	dir := "."
	if path != "-" {
		dir = filepath.Dir(path)
	}
	return read(data, path, dir)
}

// ReadIn reads the scenario of a name at the top of a file system, such as one
// that a program carries with it. What it names lies there too; the rest is as
// with [Read].
func ReadIn(top fs.FS, name string) (*File, []Fault) {
	beside := &folder{path: ".", within: top}
	data, err := beside.load(name, mostBytes)
	if err != nil {
		return nil, []Fault{{File: name, What: err.Error(), Code: NotFound}}
	}
	return readBeside(data, name, beside)
}

// readPath reads the bytes of the file that the user named. It never waits on
// a device or a pipe, and never reads more than the limit and a byte.
func readPath(path string) ([]byte, *Fault) {
	wrong := func(hint, format string, args ...any) *Fault {
		return &Fault{File: path, What: fmt.Sprintf(format, args...), Hint: hint, Code: NotFound}
	}
	var from io.Reader = os.Stdin
	if path != "-" {
		info, err := os.Stat(path)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil, wrong("check the path; the files in scenarios are there to start from", "there is no such file")
		case err != nil:
			return nil, wrong("check the path", "cannot be read: %s", reason(err))
		case !info.Mode().IsRegular():
			return nil, wrong("pass a .yaml file, or - to read standard input", "not a regular file")
		}
		file, err := os.Open(path)
		if err != nil {
			return nil, wrong("check the path", "cannot be read: %s", reason(err))
		}
		defer file.Close()
		from = file
	}
	data, err := io.ReadAll(io.LimitReader(from, mostBytes+1))
	switch {
	case err != nil:
		return nil, wrong("check the path", "cannot be read: %s", reason(err))
	case len(data) > mostBytes:
		return nil, tooLarge(path)
	}
	return data, nil
}

// tooLarge is the fault of a file over the limit.
func tooLarge(path string) *Fault {
	return &Fault{File: path, What: "larger than the 1 MiB limit, stopped reading",
		Hint: "a scenario is normally under 20 kB; put measured data in a CSV file", Code: OverLimit}
}

// read reads a scenario's bytes. Data beside it is looked for in dir.
func read(data []byte, path, dir string) (*File, []Fault) {
	return readBeside(data, path, &folder{path: dir})
}

// readBeside reads a scenario's bytes, and what it names from a folder. The
// steps are bytes, tree, tree with changes, works; each goes on only if the one
// before left something worth reading.
func readBeside(data []byte, path string, beside *folder) (*File, []Fault) {
	f := &File{Path: path, source: &source{path: path, from: "file"}}
	root, faults := parse(data, f.source)
	if root == nil || root.kind != set || refuses(faults) {
		sortFaults(faults)
		return nil, faults
	}
	if e, ok := root.find(baseKey); ok {
		root, faults = f.overBase(root, e, beside)
		if root == nil || refuses(faults) {
			sortFaults(faults)
			return nil, faults
		}
	}
	faults = f.fill(root, beside)
	if f.Works == nil {
		return nil, faults
	}
	return f, faults
}

// fill makes the works of a tree; it stays nil if a fault is more than a
// warning.
func (f *File) fill(root *value, beside *folder) []Fault {
	works, d := decode(root, beside, f.Base != "")
	f.origins, f.keys, f.values = d.origins, d.places, d.values
	f.evidence, f.root, f.beside = d.evidence, root, beside
	if !refuses(d.faults) {
		d.checkWarmUp(works)
		d.loadHolidays(works)
		d.loadPieces(works)
	}
	sortFaults(d.faults)
	if !refuses(d.faults) {
		f.Works = works
		f.Hash = hash(f.Print(), beside)
	}
	return d.faults
}

// overBase reads the base of a changing file and lays the changes over it.
// There is one level only: with a chain of changes nobody could say any more
// what a works is without running the program.
func (f *File) overBase(root *value, e entry, beside *folder) (*value, []Fault) {
	f.source.from = "overlay"
	refused := func(err error) []Fault {
		var q *quantity.Fault
		errors.As(err, &q)
		return []Fault{{File: f.Path, Line: e.line, Col: e.col, What: q.What, Hint: q.Hint, Code: Refused}}
	}
	if _, ok := baseOf(root); !ok {
		return nil, refused(faultAt(0, "write base: and the file that this one changes", "base must be the name of a file, got %s", e.kind))
	}
	data, err := beside.load(e.text, mostBytes)
	if err != nil {
		return nil, refused(err)
	}
	f.Base = filepath.Join(beside.path, e.text)
	base, faults := parse(data, &source{path: f.Base, from: "file"})
	if base == nil || base.kind != set || refuses(faults) {
		return nil, faults
	}
	if _, ok := base.find(baseKey); ok {
		return nil, refused(faultAt(0, "change the file at the bottom, or write out one of the two", "%s changes another file itself; a base cannot have a base", e.text))
	}
	var m merger
	merged := m.merge(base, withoutBase(root), "")
	return merged, m.faults
}

// checkWarmUp wants weeks left to measure.
func (d *decoder) checkWarmUp(w *plant.Works) {
	ms, err := quantity.ParseTime("warm-up", w.Run.WarmUp)
	if err == nil && des.Time(ms) >= w.Run.Length {
		d.textFault(d.values["run.warm-up"], faultAt(0, "lengthen run.length or cut warm-up",
			"warm-up (%s) is not shorter than the run (%s)", w.Run.WarmUp, quantity.FormatTime(int64(w.Run.Length))))
	}
}

// Holidays are read for some time beyond the run on either side, as a question
// may begin a run sooner or end it later than the scenario does.
const (
	daysBefore = 183
	daysAfter  = 3 * 366
)

// loadHolidays reads the calendar file beside the scenario, for the dates of
// the run and about.
func (d *decoder) loadHolidays(w *plant.Works) {
	if w.Closures.Holidays == "" {
		return
	}
	start, err := calendar.ParseStart(w.Start, w.Zone)
	if err != nil {
		return // reported where the start stands
	}
	content, err := d.folder.open(w.Closures.Holidays)
	if err == nil {
		from := calendar.DateOf(start) - daysBefore
		to := from + daysBefore + calendar.Date(w.Run.Length/des.Day) + daysAfter
		w.Closures.Loaded, err = calendar.ReadHolidays(content, from, to)
	}
	var known *quantity.Fault
	if err != nil && !errors.As(err, &known) {
		err = faultAt(0, "export the calendar again, as an iCalendar (.ics) file", "%s", err)
	}
	if err != nil {
		d.textFault(d.values["closures.holidays"], err)
	}
}

// hash identifies what a scenario says, not how it says it: defaults and
// overlays are resolved, comments and order of keys do not count.
func hash(printed []byte, beside *folder) string {
	h := sha256.New()
	h.Write(printed)
	for _, name := range sortedKeys(beside.read) {
		fmt.Fprintf(h, "%s %d\n", name, len(beside.read[name]))
		io.Copy(h, bytes.NewReader(beside.read[name]))
	}
	return hex.EncodeToString(h.Sum(nil))
}

// Plant makes the works ready to run. Faults of what is written correctly but
// cannot be built point at the line of the key they are about.
func (f *File) Plant() (*plant.Plant, []Fault) {
	ready, found := plant.New(f.Works)
	ready = f.recalling(ready, f.Hash)
	var faults []Fault
	for _, p := range found {
		at := f.placeOf(p.Path, p.Offset)
		code := Refused
		if p.Limit {
			code = OverLimit
		}
		faults = append(faults, Fault{File: at.file.path, Line: at.line, Col: at.col,
			What: p.What, Hint: p.Hint, Warning: p.Warning, Code: code})
	}
	sortFaults(faults)
	return ready, faults
}

// recalling has a plant ask what may know its results, under a hash.
func (f *File) recalling(p *plant.Plant, hash string) *plant.Plant {
	if p == nil || f.Recall == nil {
		return p
	}
	return p.Recalling(f.Recall(hash, p.Works()))
}

// Altered is the file with its works otherwise than it is written; how says what
// is changed and enters the hash. The works that change is given is a copy, but
// what it points at must be copied before it is written to.
func (f *File) Altered(how string, change func(w *plant.Works)) *File {
	copied, works := *f, *f.Works
	change(&works)
	copied.Works, copied.Hash = &works, derived(f.Hash, how)
	return &copied
}

// derived is the hash of a works that comes of another by something that its
// file does not say.
func derived(hash, how string) string {
	sum := sha256.Sum256([]byte(hash + "\n" + how))
	return hex.EncodeToString(sum[:])
}

// placeOf returns the place of a character in the value of a path or, if the
// file is silent about it, the key of the section that lacks it.
func (f *File) placeOf(path string, offset int) place {
	if v, ok := f.values[path]; ok {
		return v.within(offset)
	}
	if path == "" {
		return place{file: f.source} // it is about the works as a whole
	}
	for path != "" {
		path, _, _ = cutLast(path)
		if at, ok := f.keys[path]; ok {
			return at
		}
	}
	return place{f.source, 1, 1}
}
