package scenario

import (
	"cmp"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"potbank/internal/plant"
	"potbank/internal/quantity"
)

// A decoder fills a plant.Works from a value tree, led by the tags of its
// fields, and gathers every fault on the way: an author who mends one mistake
// should not be shown the next one only then. It is the one place that knows
// both trees, that of the file and that of the types; what a scalar means, the
// table scalars knows.
type decoder struct {
	currency string             // in which every price of the file must be
	zone     string             // in which dates and times of day are meant
	folder   *folder            // of the file, for data beside it
	changed  bool               // whether an overlay was laid over the file
	asks     bool               // it is a question that is read, not a scenario
	names    map[string][]entry // what the file defines, by refSections
	uses     []use              // where it names what it defines
	faults   []Fault
	origins  []Origin          // of every scalar, in the order of the types
	evidence []Evidence        // of the scalars that say what they rest on
	places   map[string]place  // of keys, by path
	values   map[string]*value // by path
}

// decode reads the tree of a whole file. The works is complete only if the
// decoder has no fault that refuses it; origins and places are good either
// way.
func decode(root *value, folder *folder, changed bool) (*plant.Works, *decoder) {
	d := newDecoder(root, folder)
	d.changed = changed
	works := new(plant.Works)
	// What the file lacks altogether is reported at its first character, not
	// at whichever key happens to be first.
	top := root.place
	top.line, top.col = 1, 1
	d.section(root, top, "", reflect.ValueOf(works).Elem())
	d.checkUses()
	d.checkEvidence()
	return works, d
}

// newDecoder makes a decoder for what is said in the terms of a scenario: its
// currency, its time zone, its names.
func newDecoder(root *value, folder *folder) *decoder {
	d := &decoder{folder: folder, currency: "EUR", zone: "UTC",
		places: make(map[string]place), values: make(map[string]*value), names: make(map[string][]entry)}
	// What other values need before their turn comes. If one of these is
	// itself wrong it is reported in its turn, and the default serves.
	if e, ok := root.find("currency"); ok && e.kind == text && checkCurrency(e.text) == nil {
		d.currency = e.text
	}
	if e, ok := root.find("time-zone"); ok && e.kind == text && grammars["Works.time-zone"](d, e.text) == nil {
		d.zone = e.text
	}
	for ref, section := range refSections {
		if e, ok := root.find(section); ok {
			d.names[ref] = e.entries
		}
	}
	return d
}

// fault records a fault at a place.
func (d *decoder) fault(at place, hint, format string, args ...any) {
	d.faults = append(d.faults, Fault{File: at.file.path, Line: at.line, Col: at.col,
		What: fmt.Sprintf(format, args...), Hint: hint, Code: Refused})
}

// textFault records what a parser says about a text. Parsers know nothing of
// files: they give an offset into the text, which becomes a column here.
func (d *decoder) textFault(v *value, err error) {
	var f *quantity.Fault
	if !errors.As(err, &f) {
		f = &quantity.Fault{What: err.Error()}
	}
	d.fault(v.within(f.Offset), f.Hint, "%s", f.What)
	if f.Limit {
		d.faults[len(d.faults)-1].Code = OverLimit
	}
}

// section fills a struct from a set of keys, in the order of the struct, so
// that origins come in one order however the file is laid out. A nil set is a
// section that the file leaves out: only its defaults are taken, and nothing
// in it is missing. The place is where to report keys that are.
func (d *decoder) section(v *value, at place, path string, dst reflect.Value) {
	if v != nil && !d.isSet(v, path, dst.Type()) {
		return
	}
	fields := fieldsOf(dst.Type())
	meant := map[string]bool{} // keys that a misspelt one stands for
	if v != nil {
		for _, e := range v.entries {
			if _, known := fieldNamed(fields, e.key); !known {
				meant[d.unknown(e, v, path, fields)] = true
			}
		}
	}
	var missing []field
	for _, f := range fields {
		below := join(path, f.key)
		if v != nil {
			if e, found := v.find(f.key); found {
				d.places[below], d.values[below] = e.at, e.value
				d.value(e.value, e.at, f, below, dst.Field(f.index))
				continue
			}
		}
		if d.absent(f, below, dst.Field(f.index)); v != nil && f.required() && !meant[f.key] {
			missing = append(missing, f)
		}
	}
	if path == "" && meant[baseKey] {
		return // it need not be whole
	}
	d.missing(missing, at, path)
}

// isSet refuses anything but a set where a section is expected. The hint is
// the first line that the section needs.
func (d *decoder) isSet(v *value, path string, t reflect.Type) bool {
	if v.kind == set {
		return true
	}
	hint := "write its keys on the lines below, indented"
	for _, f := range fieldsOf(t) {
		if f.required() {
			hint = "write " + f.key + ": on the next line, indented"
			break
		}
	}
	if v.kind == nothing {
		d.fault(v.place, hint+", or delete the key", "%s is empty", path)
	} else {
		d.fault(v.place, hint, "%s must be a set of keys, got %s", path, v.kind)
	}
	return false
}

// absent takes the default of a key that the file does not have. A section
// that is part of its parent, not pointed to, is there with its own defaults
// even so; one that is pointed to stays nil, which means the works has none.
func (d *decoder) absent(f field, path string, dst reflect.Value) {
	switch {
	case f.standard != "":
		d.standard(f, path, dst)
	case f.typ.Kind() == reflect.Struct:
		d.section(nil, place{}, path, dst)
	}
}

// standard reads the default of a field as if the file held it. A default
// that cannot be read is a fault of the tags, and TestDefaultsAreValid finds
// it before any user does.
func (d *decoder) standard(f field, path string, dst reflect.Value) {
	written := f.standard
	if dst.Kind() == reflect.Int64 && strings.Contains(written, "EUR") {
		// The defaults of prices are all zero, in whatever currency.
		written = strings.Replace(written, "EUR", d.currency, 1)
	}
	x, err := scalars[f.typ].parse(d, f, written)
	if err != nil {
		panic(fmt.Sprintf("scenario: default of %s: %v", f.id(), err))
	}
	dst.Set(reflect.ValueOf(x))
	d.origins = append(d.origins, Origin{Path: path, Text: written, From: "default", field: f})
}

// missing reports the required keys that a section lacks, in one fault: a new
// bench lacks a dozen, and a dozen lines would bury all else.
func (d *decoder) missing(fields []field, at place, path string) {
	if len(fields) == 0 {
		return
	}
	keys := keysOf(fields)
	if len(keys) > 5 {
		keys = append(keys[:5], fmt.Sprintf("%d more", len(fields)-5))
	}
	hint := fmt.Sprintf("add %s: (%s)", fields[0].key, firstClause(fields[0].doc))
	if near, ok := d.misnamed(path); ok {
		hint = fmt.Sprintf("did you mean %s?", near)
	}
	section := path
	if section == "" {
		section = "the scenario"
	}
	d.fault(at, hint, "%s lacks %s", section, strings.Join(keys, ", "))
}

// misnamed finds the entry that a changing file probably meant when it names
// one that is not there and so adds a new, incomplete one.
func (d *decoder) misnamed(path string) (string, bool) {
	parent, name, ok := cutLast(path)
	if !ok || !d.changed || d.places[path].file == nil || d.places[path].file.from != "overlay" {
		return "", false
	}
	var siblings []string
	for _, o := range d.origins {
		if rest, below := strings.CutPrefix(o.Path, parent+"."); below && o.From == "file" {
			sibling, _, _ := strings.Cut(rest, ".")
			siblings = append(siblings, sibling)
		}
	}
	return nearest(name, siblings)
}

// cutLast splits a path before its last key.
func cutLast(path string) (parent, key string, ok bool) {
	i := strings.LastIndexByte(path, '.')
	if i < 0 {
		return "", path, false
	}
	return path[:i], path[i+1:], true
}

// firstClause shortens an explanation for a hint, which has to fit on one line
// with the fault.
func firstClause(doc string) string {
	for i, r := range doc {
		ends := i+1 == len(doc) || doc[i+1] == ' ' // and not a time of day
		if i > 0 && ends && strings.ContainsRune(";:.", r) {
			return doc[:i]
		}
	}
	return doc
}

// value fills the destination of one key, by the shape of its type.
func (d *decoder) value(v *value, at place, f field, path string, dst reflect.Value) {
	switch shapeOf(f.typ) {
	case scalarShape:
		d.scalar(v, f, path, dst)
	case sectionShape:
		if dst.Kind() == reflect.Pointer {
			dst.Set(reflect.New(dst.Type().Elem()))
			dst = dst.Elem()
		}
		d.section(v, at, path, dst)
	case namedShape:
		d.named(v, f, path, dst)
	case rowsShape:
		d.rows(v, f, path, dst)
	case textsShape:
		d.texts(v, f, path, dst)
	case mapShape:
		d.byName(v, f, f.ref, path, dst)
	case perWareShape:
		d.perWare(v, f, path, dst)
	case curveShape:
		d.curve(v, f, path, dst)
	case changesShape:
		d.changes(v, path, dst)
	}
}

// changes keeps a set as it is written. What its keys mean is for the reader of
// the works that they are laid over to say.
func (d *decoder) changes(v *value, path string, dst reflect.Value) {
	if v.kind != set {
		d.fault(v.place, "write keys of the scenario on the lines below, indented", "%s must be a set of keys, got %s", path, v.kind)
		return
	}
	dst.Set(reflect.ValueOf(Changes{v}))
}

// scalar reads one text. Its origin is kept even if it is wrong, so that what
// follows can still speak of it; a name is checked only when all are known.
func (d *decoder) scalar(v *value, f field, path string, dst reflect.Value) {
	switch v.kind {
	case nothing:
		d.fault(v.place, "write a value behind the colon, or delete the key", "%s is empty", path)
		return
	case set, list:
		d.fault(v.place, "write one value behind the colon", "%s must be one value, got %s", path, v.kind)
		return
	}
	origin := Origin{Path: path, Text: v.text, From: v.file.from, File: v.file.path, Line: v.line, field: f}
	written := v.text
	if stated, ok := cutGuess(dst.Type(), written); ok {
		written, origin.Guess = stated, true
	}
	d.origins = append(d.origins, origin)
	if f.ref != "" && f.typ.Kind() == reflect.String {
		d.use(f.ref, v.text, v.place, path)
	}
	x, rests, err := d.evidenced(f, dst.Type(), written)
	if err != nil {
		d.textFault(v, err)
		return
	}
	dst.Set(reflect.ValueOf(x))
	if rests != nil {
		rests.Path, rests.at = path, v.place
		d.evidence = append(d.evidence, *rests)
	}
	if f.id() == "Works.name" {
		d.warnFormula(v)
	}
}

// warnFormula warns of a name that a spreadsheet would take for a formula:
// the name stands on every answer, and answers are exported as CSV.
func (d *decoder) warnFormula(v *value) {
	if v.text != "" && strings.ContainsRune("=+-@", rune(v.text[0])) {
		d.fault(v.place, "accepted; written to CSV as text, with a leading apostrophe", "name starts with %q, which a spreadsheet would run", v.text[:1])
		d.faults[len(d.faults)-1].Warning = true
	}
}

// named fills a slice from a set of named sections, in file order. The name is
// the key; it is checked as a use where it must name something defined
// elsewhere, as a date for changes of a bench, and otherwise as a new name.
func (d *decoder) named(v *value, f field, path string, dst reflect.Value) {
	if v.kind != set {
		d.fault(v.place, "write a name and a colon on the next line, indented", "%s must be a set of named entries, got %s", path, v.kind)
		return
	}
	ref := sectionRef(f.typ)
	rows := reflect.MakeSlice(dst.Type(), len(v.entries), len(v.entries))
	for i, e := range v.entries {
		below := join(path, e.key)
		if d.places[below], d.values[below] = e.at, e.value; ref != "" {
			d.use(ref, e.key, e.at, below)
		} else if f.key != "change-over" {
			d.checkName(e, path)
		} else if err := grammars["Order.start"](d, e.key); err != nil {
			d.fault(e.at, "write a date such as 2027-06-01", "%s names no date", quote(e.key))
		}
		rows.Index(i).FieldByName("Name").SetString(e.key)
		d.section(e.value, e.at, below, rows.Index(i))
	}
	dst.Set(rows)
}

// rows fills a slice from a list of sections without names.
func (d *decoder) rows(v *value, f field, path string, dst reflect.Value) {
	if v.kind != list {
		d.fault(v.place, "begin each line with a dash and a space", "%s must be a list, got %s", path, v.kind)
		return
	}
	rows := reflect.MakeSlice(dst.Type(), len(v.items), len(v.items))
	for i, item := range v.items {
		below := fmt.Sprintf("%s.%d", path, i+1)
		d.places[below], d.values[below] = item.place, item
		d.section(item, item.place, below, rows.Index(i))
	}
	dst.Set(rows)
}

// texts fills a slice of texts from a list, or from one text alone: most
// hours have one week and most booths one ware.
func (d *decoder) texts(v *value, f field, path string, dst reflect.Value) {
	items := v.items
	if v.kind == text {
		items = []*value{v}
	}
	if v.kind == set || len(items) == 0 {
		d.fault(v.place, "write one value, or several in brackets, such as [a, b]", "%s must be a list, got %s", path, v.kind)
		return
	}
	one := f
	one.typ = dst.Type().Elem()
	all := reflect.MakeSlice(dst.Type(), len(items), len(items))
	for i, item := range items {
		if j := slices.IndexFunc(items[:i], func(v *value) bool { return v.text == item.text }); j >= 0 && item.kind == text && f.id() != "Hours.weeks" { // a rotation may repeat a week
			d.fault(item.place, "delete one of them", "%s is listed twice", quote(item.text))
			continue
		}
		d.scalar(item, one, path, all.Index(i))
	}
	dst.Set(all)
	if f.id() == "Hours.weeks" && len(items) > 1 {
		d.warnRotation(v, all.Interface().([]string))
	}
}

// warnRotation warns of weeks that rotate although none of their days meet:
// "[Mon-Fri 06:00-14:00, Sat 06:00-12:00]" looks like one week and is two.
func (d *decoder) warnRotation(v *value, weeks []string) {
	worked := make(map[string]bool)
	for _, w := range weeks {
		for _, day := range workdays(w) {
			if worked[day] {
				return
			}
			worked[day] = true
		}
	}
	d.fault(v.place, "put them in one pair of quotes if they are one week", "these are %d weeks that rotate, and no day is worked in two of them", len(weeks))
	d.faults[len(d.faults)-1].Warning = true
}

// byName fills a map from a set of scalars whose keys name things of the
// section ref, or are new names if ref is empty.
func (d *decoder) byName(v *value, f field, ref, path string, dst reflect.Value) {
	if v.kind != set {
		d.fault(v.place, "write names and values, such as {a: 1, b: 2}", "%s must be a set by name, got %s", path, v.kind)
		return
	}
	one := f
	one.ref, one.typ = "", dst.Type().Elem()
	filled := reflect.MakeMapWithSize(dst.Type(), len(v.entries))
	for _, e := range v.entries {
		below := join(path, e.key)
		d.places[below], d.values[below] = e.at, e.value
		switch {
		case ref != "":
			d.use(ref, e.key, e.at, below)
		case one.typ.Kind() == reflect.Float64: // a measure: only the works knows which there are
		default:
			d.checkName(e, path)
		}
		x := reflect.New(one.typ).Elem()
		d.scalar(e.value, one, below, x)
		filled.SetMapIndex(reflect.ValueOf(e.key), x)
	}
	dst.Set(filled)
}

// perWare fills a value that is given once for all wares, kept under the empty
// name, or by ware.
func (d *decoder) perWare(v *value, f field, path string, dst reflect.Value) {
	if v.kind == set {
		d.byName(v, f, wareOrOthers, path, dst)
		return
	}
	one := f
	one.typ = dst.Type().Elem()
	x := reflect.New(one.typ).Elem()
	d.scalar(v, one, path, x)
	filled := reflect.MakeMap(dst.Type())
	filled.SetMapIndex(reflect.ValueOf(""), x)
	dst.Set(filled)
}

// curve fills a curve from a set of points, and sorts it by where they lie:
// people write a loss that grows as ware dries from wet to dry.
func (d *decoder) curve(v *value, f field, path string, dst reflect.Value) {
	if v.kind != set || len(v.entries) == 0 {
		d.fault(v.place, "write points such as {19 %: 0 %, 20 %: 4 %}", "%s must be a set of points, got %s", path, v.kind)
		return
	}
	point := dst.Type().Elem()
	points := reflect.MakeSlice(dst.Type(), 0, len(v.entries))
	for _, e := range v.entries {
		p := reflect.New(point).Elem()
		one := f
		one.typ = point.Field(0).Type
		where := &value{place: e.at, kind: text, text: e.key}
		if at, err := scalars[one.typ].parse(d, one, e.key); err != nil {
			d.textFault(where, err)
		} else {
			p.Field(0).Set(reflect.ValueOf(at))
		}
		here := scalars[one.typ].print(p.Field(0), one, d.currency) // one name, however it is written
		one.typ = point.Field(1).Type
		d.scalar(e.value, one, join(path, here), p.Field(1))
		points = reflect.Append(points, p)
	}
	dst.Set(points)
	switch curve := dst.Interface().(type) {
	case plant.Curve:
		slices.SortStableFunc(curve, func(a, b plant.CurvePoint) int { return cmp.Compare(a.At, b.At) })
	case plant.TimeCurve:
		slices.SortStableFunc(curve, func(a, b plant.TimeCurvePoint) int { return cmp.Compare(a.At, b.At) })
	}
}
