package scenario

import (
	"reflect"
	"slices"
	"strings"
	"sync"

	"potbank/internal/plant"
)

// A field is one key of a section, as the tags of plant.Works declare it. The
// tags are explained there.
type field struct {
	owner    string // name of the struct type it belongs to
	key      string
	doc      string
	standard string // the text taken when the file is silent
	optional bool
	ref      string // section whose entries it must name
	unit     string // dimension of a law
	oneof    []string
	index    int
	typ      reflect.Type
}

// id names the field across all sections, such as "Kiln.push".
func (f field) id() string { return f.owner + "." + f.key }

// required reports whether the file must have the key.
func (f field) required() bool { return !f.optional && f.standard == "" }

// shape is how the value of a field is laid out in the file.
type shape int

const (
	scalarShape  shape = iota // one text
	sectionShape              // a set of the keys of a struct
	namedShape                // a set of named sections
	rowsShape                 // a list of sections
	textsShape                // a list of texts, or one
	mapShape                  // a set of scalars by name
	perWareShape              // one value, or a set by ware
	curveShape                // a set of points
	changesShape              // a set of keys of a scenario, read later
)

var (
	worksType     = reflect.TypeFor[plant.Works]()
	changesType   = reflect.TypeFor[Changes]()
	curveType     = reflect.TypeFor[plant.Curve]()
	timeCurveType = reflect.TypeFor[plant.TimeCurve]()
)

// shapeOf tells how a type is laid out. A type that fits nowhere is a fault of
// this program, found by the first test that reads a file.
func shapeOf(t reflect.Type) shape {
	if _, ok := scalars[t]; ok {
		return scalarShape
	}
	switch {
	case t == curveType || t == timeCurveType:
		return curveShape
	case t == changesType:
		return changesShape
	case t.Kind() == reflect.Struct || t.Kind() == reflect.Pointer && t.Elem().Kind() == reflect.Struct:
		return sectionShape
	case t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.String:
		return textsShape
	case t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.Struct:
		if _, named := t.Elem().FieldByName("Name"); named {
			return namedShape
		}
		return rowsShape
	case t.Kind() == reflect.Map:
		if _, ok := t.MethodByName("For"); ok {
			return perWareShape
		}
		return mapShape
	}
	panic("scenario: no layout for " + t.String())
}

// fieldsOf returns the keys of a struct type in their order. They are worked
// out once for each type; files and schemas ask for them thousands of times.
func fieldsOf(t reflect.Type) []field {
	if found, ok := fieldCache.Load(t); ok {
		return found.([]field)
	}
	var fields []field
	for i := range t.NumField() {
		s := t.Field(i)
		key, ok := s.Tag.Lookup("key")
		if !ok || key == "-" {
			continue
		}
		f := field{owner: t.Name(), key: key, doc: s.Tag.Get("doc"), standard: s.Tag.Get("default"),
			optional: s.Tag.Get("optional") == "yes", ref: s.Tag.Get("ref"), unit: s.Tag.Get("unit"),
			index: i, typ: s.Type}
		if words := s.Tag.Get("oneof"); words != "" {
			f.oneof = strings.Split(words, ",")
		}
		fields = append(fields, f)
	}
	fieldCache.Store(t, fields)
	return fields
}

var fieldCache sync.Map // reflect.Type to []field

// fieldNamed returns the field of a key.
func fieldNamed(fields []field, key string) (field, bool) {
	i := slices.IndexFunc(fields, func(f field) bool { return f.key == key })
	if i < 0 {
		return field{}, false
	}
	return fields[i], true
}

// keysOf returns the keys of fields.
func keysOf(fields []field) []string {
	var keys []string
	for _, f := range fields {
		keys = append(keys, f.key)
	}
	return keys
}

// structOf returns the struct type inside a section, set or list of sections,
// whether it is the type itself, pointed to, or the element of a slice.
func structOf(t reflect.Type) reflect.Type {
	if t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		return t.Elem()
	}
	return t
}

// sectionRef returns the section whose entries name the entries of a set of
// named sections: the supply of moulds is named by ware.
func sectionRef(t reflect.Type) string {
	name, _ := structOf(t).FieldByName("Name")
	return name.Tag.Get("ref")
}

// homes lists, for every key, the sections it belongs to: "run",
// "kilns.<name>". It is made once, from the type.
var homes = sync.OnceValue(func() map[string][]string {
	found := make(map[string][]string)
	var walk func(t reflect.Type, path string)
	walk = func(t reflect.Type, path string) {
		for _, f := range fieldsOf(t) {
			found[f.key] = append(found[f.key], path)
			below := join(path, f.key)
			switch shapeOf(f.typ) {
			case sectionShape, rowsShape:
				walk(structOf(f.typ), below)
			case namedShape:
				walk(structOf(f.typ), below+".<name>")
			}
		}
	}
	walk(worksType, "")
	return found
})

// join puts a key behind the path of its section.
func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
