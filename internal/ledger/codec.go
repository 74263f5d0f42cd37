package ledger

import (
	"encoding"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"potbank/internal/random"
)

// errCut is the fault of bytes that end too early or hold what cannot be.
var errCut = errors.New("ledger: the result is cut short or damaged")

// Encode writes the plain data that v points at so that equal values give equal bytes on
// every machine: fields in order, integers as varints, floats as their bits,
// slices with their length, maps with text keys in the order of those, pointers
// with a byte for nil. What writes itself (encoding.BinaryMarshaler) does, and a
// law of chance is written as its parts. An empty slice or map comes back as nil.
func Encode(v any) []byte { return appendValue(nil, reflect.ValueOf(v).Elem()) }

func appendValue(b []byte, v reflect.Value) []byte {
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return append(b, 0)
		}
		b = append(b, 1)
		if m, ok := v.Interface().(encoding.BinaryMarshaler); ok {
			text, err := m.MarshalBinary()
			if err != nil {
				panic(fmt.Sprintf("ledger: %v", err))
			}
			return append(binary.AppendUvarint(b, uint64(len(text))), text...)
		}
		return appendValue(b, v.Elem())
	}
	switch v.Kind() {
	case reflect.Interface:
		return appendLaw(b, v)
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(x, y reflect.Value) int { return strings.Compare(x.String(), y.String()) })
		b = binary.AppendUvarint(b, uint64(len(keys)))
		for _, k := range keys {
			b = appendValue(appendValue(b, k), v.MapIndex(k))
		}
		return b
	case reflect.Bool:
		if v.Bool() {
			return append(b, 1)
		}
		return append(b, 0)
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return binary.AppendVarint(b, v.Int())
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return binary.AppendUvarint(b, v.Uint())
	case reflect.Float64:
		return binary.LittleEndian.AppendUint64(b, math.Float64bits(v.Float()))
	case reflect.String:
		return append(binary.AppendUvarint(b, uint64(v.Len())), v.String()...)
	case reflect.Slice:
		b = binary.AppendUvarint(b, uint64(v.Len()))
		for i := range v.Len() {
			b = appendValue(b, v.Index(i))
		}
		return b
	case reflect.Array:
		for i := range v.Len() {
			b = appendValue(b, v.Index(i))
		}
		return b
	case reflect.Struct:
		for i := range v.NumField() {
			b = appendValue(b, v.Field(i))
		}
		return b
	}
	panic("ledger: no layout for " + v.Type().String())
}

// lawParts is a law of chance as [random.Parts] takes it apart; without a word
// there is none.
type lawParts struct {
	Word    string
	Numbers []float64
}

func appendLaw(b []byte, v reflect.Value) []byte {
	var p lawParts
	if l, ok := v.Interface().(random.Law); ok {
		if p.Word, p.Numbers = random.Parts(l); p.Word == "" {
			panic(fmt.Sprintf("ledger: no parts of the law %v", l))
		}
	}
	return appendValue(b, reflect.ValueOf(p))
}

// Decode reads what Encode wrote into the value that v points at. Damaged bytes
// give an error, never a panic, and never more memory than a small multiple of
// their own length.
func Decode(b []byte, v any) error {
	d := decoder{b}
	if err := d.value(reflect.ValueOf(v).Elem()); err != nil {
		return err
	}
	if len(d.rest) > 0 {
		return errCut
	}
	return nil
}

type decoder struct{ rest []byte }

func (d *decoder) byte() (byte, error) {
	if len(d.rest) == 0 {
		return 0, errCut
	}
	c := d.rest[0]
	d.rest = d.rest[1:]
	return c, nil
}

func (d *decoder) uvarint() (uint64, error) {
	x, n := binary.Uvarint(d.rest)
	if n <= 0 {
		return 0, errCut
	}
	d.rest = d.rest[n:]
	return x, nil
}

// bytes takes a text with its length before it.
func (d *decoder) bytes() ([]byte, error) {
	n, err := d.uvarint()
	if err != nil || n > uint64(len(d.rest)) {
		return nil, errCut
	}
	text := d.rest[:n]
	d.rest = d.rest[n:]
	return text, nil
}

func (d *decoder) value(v reflect.Value) error {
	switch v.Kind() {
	case reflect.Pointer:
		return d.pointer(v)
	case reflect.Slice:
		n, err := d.uvarint()
		if err != nil || n > uint64(len(d.rest)) { // an element takes a byte at least
			return errCut
		}
		if n == 0 {
			return nil
		}
		v.Set(reflect.MakeSlice(v.Type(), int(n), int(n)))
		return d.elements(v)
	case reflect.Map:
		return d.mapping(v)
	case reflect.Interface:
		return d.law(v)
	case reflect.Array:
		return d.elements(v)
	case reflect.Struct:
		for i := range v.NumField() {
			if err := d.value(v.Field(i)); err != nil {
				return err
			}
		}
		return nil
	case reflect.String:
		text, err := d.bytes()
		v.SetString(string(text))
		return err
	}
	return d.number(v)
}

func (d *decoder) elements(v reflect.Value) error {
	for i := range v.Len() {
		if err := d.value(v.Index(i)); err != nil {
			return err
		}
	}
	return nil
}

func (d *decoder) mapping(v reflect.Value) error {
	n, err := d.uvarint()
	if err != nil || n > uint64(len(d.rest)) {
		return errCut
	}
	for ; n > 0; n-- {
		k, x := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		if err := d.value(k); err != nil {
			return err
		}
		if err := d.value(x); err != nil {
			return err
		}
		if v.IsNil() {
			v.Set(reflect.MakeMap(v.Type()))
		}
		v.SetMapIndex(k, x)
	}
	return nil
}

func (d *decoder) law(v reflect.Value) error {
	var p lawParts
	if err := d.value(reflect.ValueOf(&p).Elem()); err != nil || p.Word == "" {
		return err
	}
	l, err := random.OfParts(p.Word, p.Numbers)
	if err != nil {
		return errCut
	}
	if !reflect.TypeOf(l).AssignableTo(v.Type()) {
		return errCut
	}
	v.Set(reflect.ValueOf(l))
	return nil
}

func (d *decoder) pointer(v reflect.Value) error {
	there, err := d.byte()
	if err != nil || there > 1 {
		return errCut
	}
	if there == 0 {
		return nil
	}
	v.Set(reflect.New(v.Type().Elem()))
	u, ok := v.Interface().(encoding.BinaryUnmarshaler)
	if !ok {
		return d.value(v.Elem())
	}
	text, err := d.bytes()
	if err != nil {
		return err
	}
	return u.UnmarshalBinary(text)
}

// number reads a scalar, and wants it to fit.
func (d *decoder) number(v reflect.Value) error {
	switch v.Kind() {
	case reflect.Bool:
		c, err := d.byte()
		if err != nil || c > 1 {
			return errCut
		}
		v.SetBool(c == 1)
		return nil
	case reflect.Float64:
		if len(d.rest) < 8 {
			return errCut
		}
		v.SetFloat(math.Float64frombits(binary.LittleEndian.Uint64(d.rest)))
		d.rest = d.rest[8:]
		return nil
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		x, err := d.uvarint()
		if err != nil || v.OverflowUint(x) {
			return errCut
		}
		v.SetUint(x)
		return nil
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		x, n := binary.Varint(d.rest)
		if n <= 0 || v.OverflowInt(x) {
			return errCut
		}
		d.rest = d.rest[n:]
		v.SetInt(x)
		return nil
	}
	panic("ledger: no layout for " + v.Type().String())
}

// Layout writes a type out in full. It is part of every key, so that a result
// stored by a program with another layout is not read by this one.
func Layout(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Pointer:
		if t.Implements(reflect.TypeFor[encoding.BinaryMarshaler]()) {
			return "*" + t.Elem().Name()
		}
		return "*" + Layout(t.Elem())
	case reflect.Slice:
		return "[]" + Layout(t.Elem())
	case reflect.Map:
		return "map " + Layout(t.Elem())
	case reflect.Array:
		return fmt.Sprintf("[%d]%s", t.Len(), Layout(t.Elem()))
	case reflect.Struct:
		var fields []string
		for i := range t.NumField() {
			fields = append(fields, t.Field(i).Name+" "+Layout(t.Field(i).Type))
		}
		return "{" + strings.Join(fields, "; ") + "}"
	}
	return t.Kind().String()
}
