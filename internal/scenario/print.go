package scenario

import (
	"reflect"
	"slices"
	"strings"

	"potbank/internal/plant"
)

// Print writes a works as a scenario file in its canonical form: every value
// of every section the works has, defaults included, in the order of
// plant.Works and each in its shortest exact spelling. Reading it back gives
// the same works.
func Print(w *plant.Works) []byte {
	p := &printer{currency: w.Currency}
	p.section(reflect.ValueOf(w).Elem(), 0, "")
	return []byte(p.b.String())
}

// Print writes the scenario in its canonical form, as the function Print does
// the works, and with each value what it rests on.
func (f *File) Print() []byte {
	p := &printer{currency: f.Works.Currency, rests: make(map[string]string)}
	for _, e := range f.evidence {
		if e.written != "" {
			p.rests[e.Path] = " " + e.written
		}
	}
	for _, o := range f.origins {
		if o.Guess {
			p.rests[o.Path] = " from " + guessed
		}
	}
	p.section(reflect.ValueOf(f.Works).Elem(), 0, "")
	return []byte(p.b.String())
}

// A printer writes YAML, two spaces a level.
type printer struct {
	b        strings.Builder
	currency string
	rests    map[string]string // what is put behind a value, by path
}

// line writes one line of the file.
func (p *printer) line(depth int, key, rest string) {
	p.b.WriteString(strings.Repeat("  ", depth) + scalarText(key) + ":")
	if rest != "" {
		p.b.WriteString(" " + rest)
	}
	p.b.WriteString("\n")
}

// section writes the keys of a struct.
func (p *printer) section(v reflect.Value, depth int, path string) {
	for _, f := range fieldsOf(v.Type()) {
		p.value(f, v.Field(f.index), depth, join(path, f.key))
	}
}

// value writes one key, unless leaving it out means the same: a key that is
// optional and has no default reads back as the zero it has. Defaults are
// written, so that the hash of a scenario changes when a default does.
func (p *printer) value(f field, v reflect.Value, depth int, path string) {
	if f.standard == "" && f.optional && v.IsZero() && v.Kind() != reflect.Struct {
		return
	}
	switch shapeOf(f.typ) {
	case scalarShape:
		p.line(depth, f.key, p.text(f, f.typ, v, path))
	case sectionShape:
		inside := &printer{currency: p.currency, rests: p.rests}
		inside.section(reflect.Indirect(v), depth+1, path)
		if inside.b.Len() > 0 { // a section of which every key may be left out
			p.line(depth, f.key, "")
			p.b.WriteString(inside.b.String())
		}
	case namedShape:
		p.line(depth, f.key, "")
		for i := range v.Len() {
			name := v.Index(i).FieldByName("Name").String()
			p.line(depth+1, name, "")
			p.section(v.Index(i), depth+2, join(path, name))
		}
	case rowsShape:
		p.line(depth, f.key, p.rows(v))
	case textsShape:
		var texts []string
		for i := range v.Len() {
			texts = append(texts, p.text(f, v.Type().Elem(), v.Index(i), ""))
		}
		p.line(depth, f.key, "["+strings.Join(texts, ", ")+"]")
	case perWareShape:
		if one := v.MapIndex(reflect.ValueOf("")); one.IsValid() {
			p.line(depth, f.key, p.text(f, f.typ.Elem(), one, path))
			return
		}
		p.line(depth, f.key, p.byName(f, v, path))
	case mapShape:
		p.line(depth, f.key, p.byName(f, v, path))
	case curveShape:
		p.line(depth, f.key, p.curve(f, v, path))
	}
}

// text writes one value with what it rests on, in quotes where YAML needs them.
func (p *printer) text(f field, t reflect.Type, v reflect.Value, path string) string {
	return scalarText(scalars[t].print(v, f, p.currency) + p.rests[path])
}

// rows writes sections without names on one line; they are few and short.
func (p *printer) rows(v reflect.Value) string {
	var rows []string
	for i := range v.Len() {
		var keys []string
		for _, f := range fieldsOf(v.Type().Elem()) {
			if x := v.Index(i).Field(f.index); !x.IsZero() || !f.optional {
				keys = append(keys, f.key+": "+p.text(f, f.typ, x, ""))
			}
		}
		rows = append(rows, "{"+strings.Join(keys, ", ")+"}")
	}
	return "[" + strings.Join(rows, ", ") + "]"
}

// byName writes a set of scalars by name, sorted: the order of a Go map is
// not the same from one run to the next, and the hash must be.
func (p *printer) byName(f field, v reflect.Value, path string) string {
	var parts []string
	for _, n := range sortedNames(v) {
		parts = append(parts, scalarText(n.String())+": "+p.text(f, f.typ.Elem(), v.MapIndex(n), join(path, n.String())))
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// sortedNames returns the keys of a map by name.
func sortedNames(v reflect.Value) []reflect.Value {
	names := v.MapKeys()
	slices.SortFunc(names, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
	return names
}

// curve writes the points of a curve.
func (p *printer) curve(f field, v reflect.Value, path string) string {
	point := f.typ.Elem()
	var parts []string
	for i := range v.Len() {
		at := p.text(f, point.Field(0).Type, v.Index(i).Field(0), "")
		parts = append(parts, at+": "+p.text(f, point.Field(1).Type, v.Index(i).Field(1), join(path, at)))
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// scalarText quotes a text that YAML would not take as it stands: one that
// holds more than letters, digits, spaces and a few signs, or begins or ends
// oddly. Quoting too much is harmless.
func scalarText(s string) string {
	plain := s != "" && s == strings.TrimSpace(s) && s != "null" && s != "~"
	for i, r := range s {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9':
		case i > 0 && strings.ContainsRune(" ./%-_+()", r):
		case i > 0 && r == ':' && i+1 < len(s) && s[i+1] != ' ':
		default:
			plain = false
		}
	}
	if plain {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", "''") + "'"
}
