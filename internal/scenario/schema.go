package scenario

import (
	"bytes"
	"encoding/json"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"potbank/internal/des"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// object is a JSON object; encoding/json sorts its keys.
type object = map[string]any

// Schema returns a JSON Schema (draft 2020-12) of the scenario file, made from
// the tags of plant.Works. Editors that know schemas complete and check keys
// by it; what it cannot say, such as names that must be defined, Read checks.
func Schema() []byte { return encode(schemaMaker{}.works()) }

// ChangeSchema returns the schema of a file that changes another: nothing is
// required but its base, and any entry may be "left out".
func ChangeSchema() []byte { return encode(schemaMaker{change: true}.works()) }

// QuestionSchema returns the schema of a question file. Changes are left open:
// they are keys of whatever scenario the question is about.
func QuestionSchema() []byte {
	definitions := object{}
	s := schemaMaker{}.section(reflect.TypeFor[Question](), definitions)
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = "potbank question"
	s["description"] = "What might be done to a works, in which futures, and what to judge by."
	s["$defs"] = definitions
	return encode(s)
}

// encode writes a schema for people to read too.
func encode(schema object) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(schema); err != nil {
		panic("scenario: schema: " + err.Error())
	}
	return b.Bytes()
}

// A schemaMaker makes one of the two schemas.
type schemaMaker struct{ change bool }

// works is the schema of the whole file.
func (m schemaMaker) works() object {
	definitions := object{}
	s := m.section(worksType, definitions)
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = "potbank scenario"
	s["description"] = "A sanitaryware works in the words of the trade. Every measured value carries its unit."
	if m.change {
		s["title"] = "potbank scenario that changes another"
		s["description"] = "Only the keys that differ from those of the base."
		s["required"] = []string{"base"}
		s["properties"].(object)["base"] = object{"type": "string", "description": "the scenario that this one changes, a file beside it"}
	}
	s["$defs"] = definitions
	return s
}

// section is the schema of a struct. The sections inside it are put among the
// definitions.
func (m schemaMaker) section(t reflect.Type, definitions object) object {
	properties := object{}
	required := []string{}
	for _, f := range fieldsOf(t) {
		p := m.value(f, definitions)
		p["description"] = f.doc
		if f.standard != "" {
			p["default"] = f.standard
		}
		properties[f.key] = p
		if f.required() {
			required = append(required, f.key)
		}
	}
	s := object{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 && !m.change {
		s["required"] = required
	}
	return s
}

// value is the schema of what stands under one key.
func (m schemaMaker) value(f field, definitions object) object {
	switch shapeOf(f.typ) {
	case sectionShape:
		return m.orLeftOut(m.reference(structOf(f.typ), definitions))
	case namedShape:
		names := object{"pattern": `^[\p{L}\p{N}_-]+$`}
		return m.orLeftOut(object{"type": "object", "propertyNames": names,
			"additionalProperties": m.orLeftOut(m.reference(structOf(f.typ), definitions))})
	case rowsShape:
		return m.orLeftOut(object{"type": "array", "items": schemaMaker{}.reference(structOf(f.typ), definitions)})
	case textsShape:
		one := scalarSchema(f, f.typ.Elem())
		return m.orLeftOut(object{"anyOf": []object{one, {"type": "array", "items": one, "minItems": 1}}})
	case mapShape:
		return m.orLeftOut(m.byName(f))
	case perWareShape:
		return m.orLeftOut(object{"anyOf": []object{scalarSchema(f, f.typ.Elem()), m.byName(f)}})
	case changesShape:
		return object{"type": "object"}
	case curveShape:
		point := f.typ.Elem()
		at, loss := scalarSchema(f, point.Field(0).Type), scalarSchema(f, point.Field(1).Type)
		return m.orLeftOut(object{"type": "object", "minProperties": 1, "propertyNames": object{"pattern": at["pattern"]}, "additionalProperties": m.orLeftOut(loss)})
	}
	return m.orLeftOut(scalarSchema(f, f.typ))
}

// byName is the schema of a set of scalars by name.
func (m schemaMaker) byName(f field) object {
	return object{"type": "object", "additionalProperties": m.orLeftOut(scalarSchema(f, f.typ.Elem()))}
}

// reference points at the definition of a struct, which it adds if need be.
func (m schemaMaker) reference(t reflect.Type, definitions object) object {
	name := t.Name()
	if _, known := definitions[name]; !known {
		definitions[name] = object{} // so that it is not begun again inside itself
		definitions[name] = m.section(t, definitions)
	}
	return object{"$ref": "#/$defs/" + name}
}

// orLeftOut lets a changing file take the entry away instead. Rows of a list
// are the exception: lists are replaced as a whole.
func (m schemaMaker) orLeftOut(s object) object {
	if !m.change {
		return s
	}
	return object{"anyOf": []object{s, {"const": leftOut}}}
}

// number is the pattern of a number as package quantity reads it, counts that
// of a number of pieces.
const (
	number  = `[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?`
	counts  = `[0-9]+( [a-z]+)?`
	guesses = `( +from +guess)?`
)

// scalarSchema is the schema of one text. YAML hands bare numbers over as
// numbers, so counts may be either.
func scalarSchema(f field, t reflect.Type) object {
	switch t {
	case reflect.TypeFor[int]():
		return object{"type": []string{"integer", "string"}, "minimum": 0, "pattern": `^[0-9]+( [a-z-]+)?` + guesses + "$"}
	case reflect.TypeFor[float64]():
		return object{"type": "number"}
	case reflect.TypeFor[bool]():
		return object{"enum": []string{"yes", "no"}}
	case reflect.TypeFor[random.Law]():
		return lawSchema(f.unit)
	case reflect.TypeFor[des.Time]():
		return object{"type": "string", "pattern": "^" + number + " *" + oneOf(quantity.TimeUnits()) + guesses + "$"}
	case reflect.TypeFor[string]():
		s := object{"type": "string"}
		if len(f.oneof) > 0 {
			s["enum"] = f.oneof
		}
		return s
	}
	x := reflect.Zero(t).Interface()
	pattern, units := "^"+number+" *", quantity.Units(x)
	if _, priced := x.(interface{ In(string) string }); priced {
		pattern += "[A-Z]{3}"
	}
	if t == reflect.TypeFor[quantity.Temperature]() || t == reflect.TypeFor[quantity.ThermalRate]() {
		pattern = "^-?" + number + " *"
	}
	if t == shareType && !uncounted[f.id()] {
		pattern = "^(" + number + " *" + oneOf(units) + ")?((^| +)from +" + counts + " +of +" + counts + "|" + guesses + ")?"
		return object{"type": "string", "pattern": pattern + "$", "minLength": 1}
	}
	return object{"type": "string", "pattern": pattern + oneOf(units) + guesses + "$"}
}

// lawSchema is the schema of a value that may be spread. Parameters are not
// looked into: patterns that did would be beyond reading.
func lawSchema(unit string) object {
	units := map[string][]string{"time": quantity.TimeUnits(), "moisture": quantity.Units(quantity.Moisture(0)), "casts": {"casts", "cast", ""}}[unit]
	names := append(sortedKeys(families), "empirical", "csv")
	slices.Sort(names)
	s := object{"type": "string", "pattern": "^(" + number + " *" + oneOf(units) + `( *(\+-|±) *.+)?|` + oneOf(names) + `\(.+\))( +from +([0-9]+( records?)?|guess|csv\(.+\)))?$`}
	if unit == "casts" {
		s["type"] = []string{"integer", "string"}
	}
	return s
}

// oneOf is the pattern of one of several texts.
func oneOf(texts []string) string {
	var quoted []string
	for _, t := range texts {
		quoted = append(quoted, regexp.QuoteMeta(t))
	}
	return "(" + strings.Join(quoted, "|") + ")"
}
