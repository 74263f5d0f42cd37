package scenario

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"

	"potbank/internal/calendar"
	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// An inventor fills a works with values of its own invention, of every type
// and in every section. The works is nonsense, but it can be written down.
type inventor struct{ *rand.Rand }

// fill invents a value for a field.
func (r inventor) fill(f field, v reflect.Value) {
	if f.optional && f.standard == "" && r.IntN(4) == 0 {
		return
	}
	switch shapeOf(f.typ) {
	case scalarShape:
		v.Set(r.scalar(f, v.Type()))
	case sectionShape:
		if v.Kind() == reflect.Pointer {
			v.Set(reflect.New(v.Type().Elem()))
			v = v.Elem()
		}
		r.section(v)
	case namedShape, rowsShape:
		n := 1 + r.IntN(3)
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			if name := v.Index(i).FieldByName("Name"); name.IsValid() {
				name.SetString(r.name(f, i))
			}
			r.section(v.Index(i))
		}
	case textsShape:
		n := 1 + r.IntN(2)
		if f.ref == "" {
			n = 1
		}
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			v.Index(i).Set(r.scalar(f, v.Type().Elem()))
			if f.ref != "" {
				v.Index(i).SetString(names[f.ref][i])
			}
		}
	case mapShape, perWareShape:
		r.fillMap(f, v)
	case curveShape:
		point := v.Type().Elem()
		for i := range 2 {
			p := reflect.New(point).Elem()
			if p.Field(0).Kind() == reflect.Float64 {
				p.Field(0).SetFloat(float64(10 + i))
			} else {
				p.Field(0).SetInt(int64(10+i) * int64(des.Minute))
			}
			p.Field(1).SetFloat(r.Float64())
			v.Set(reflect.Append(v, p))
		}
	}
}

func (r inventor) section(v reflect.Value) {
	for _, f := range fieldsOf(v.Type()) {
		r.fill(f, v.Field(f.index))
	}
}

// names are what the sections named in values hold.
var names = map[string][]string{"hours": {"hours1", "hours2", "hours3"}, "crew": {"crews1", "crews2", "crews3"}, "ware": {"ware1", "ware2", "ware3"}}

// name names the entry i of a section. All three of the sections that others
// refer to are always there.
func (r inventor) name(f field, i int) string {
	if f.key == "change-over" {
		return fmt.Sprintf("2027-06-%02d", i+1)
	}
	if ref := sectionRef(f.typ); ref != "" {
		return names[ref][i]
	}
	return fmt.Sprintf("%s%d", f.key, i+1)
}

func (r inventor) fillMap(f field, v reflect.Value) {
	keys := []string{"a crack", "pin-holes"}
	switch {
	case shapeOf(f.typ) == perWareShape && r.IntN(2) == 0:
		keys = []string{""}
	case shapeOf(f.typ) == perWareShape:
		keys = []string{"ware1", others}
	case f.ref != "":
		keys = names[f.ref][:1+r.IntN(3)]
	}
	v.Set(reflect.MakeMap(v.Type()))
	for _, k := range keys {
		v.SetMapIndex(reflect.ValueOf(k), r.scalar(f, v.Type().Elem()))
	}
}

// scalar invents a value of one type.
func (r inventor) scalar(f field, t reflect.Type) reflect.Value {
	v := reflect.New(t).Elem()
	switch {
	case t == reflect.TypeFor[random.Law]():
		v.Set(reflect.ValueOf(r.law()))
	case t == reflect.TypeFor[quantity.Share]():
		v.SetFloat(r.Float64())
	case t == reflect.TypeFor[des.Time]():
		v.SetInt(1 + r.Int64N(int64(longestTime)))
	case t.Kind() == reflect.Bool:
		v.SetBool(r.IntN(2) == 0)
	case t.Kind() == reflect.Int:
		v.SetInt(1 + r.Int64N(5))
		if f.id() == "Works.potbank" {
			v.SetInt(format)
		}
	case t.Kind() == reflect.Int64:
		v.SetInt(r.Int64N(1 << r.IntN(62)))
	case t.Kind() == reflect.Float64:
		v.SetFloat(r.ExpFloat64() * float64(int(1)<<r.IntN(20)))
	case t.Kind() == reflect.String:
		v.SetString(r.word(f))
	}
	return v
}

func (r inventor) law() random.Law {
	size := 1 + r.Float64()*float64(des.Hour)
	var law random.Law
	switch r.IntN(5) {
	case 0:
		law, _ = random.Uniform(size, 2*size)
	case 1:
		law, _ = random.LogNormal(size, r.Float64()*size)
	case 2:
		law, _ = random.WeibullMean(size, 0.5+r.Float64())
	case 3:
		law, _ = random.TruncatedNormal(size, size/3, 0, 2*size)
	default:
		law, _ = random.Constant(size)
	}
	return law
}

// word invents a text that the field allows.
func (r inventor) word(f field) string {
	switch {
	case len(f.oneof) > 0:
		return f.oneof[r.IntN(len(f.oneof))]
	case f.ref != "":
		return names[f.ref][r.IntN(3)]
	}
	known := map[string]string{"Works.start": "2027-01-04 06:00", "Works.time-zone": "Europe/Berlin", "Works.currency": "USD",
		"Run.warm-up": "auto", "Closures.dates": "2027-12-25", "Closures.rules": "FREQ=YEARLY", "Hours.weeks": "Mon-Fri 06:00-14:00, Sat 06:00-12:00",
		"Hours.from": "2027-01-04", "Hours.closed": "2027-08-02..2027-08-15", "Hours.open": "2027-05-01 06:00-14:00",
		"Order.start": "2027-03-01 06:00", "Order.due": "2027-03-01"}
	if s, ok := known[f.id()]; ok {
		return s
	}
	strange := []string{"white", "it's", `a "b" c`, "#1", "x: y", "- z", "yes", "12", "null", "{a}", "é", "a, b", "%", "@"}
	return strange[r.IntN(len(strange))]
}

// TestInventedWorks writes works of invented values down and reads them back:
// they must be the same, value by value.
func TestInventedWorks(t *testing.T) {
	for seed := range uint64(invented) {
		r := inventor{rand.New(rand.NewPCG(seed, 1))}
		w := new(plant.Works)
		r.section(reflect.ValueOf(w).Elem())
		w.Closures.Holidays, w.Opening.Pieces = "", ""
		w.Run.Length = 52 * des.Week
		w.Hours = complete(w.Hours, names["hours"], func(h *plant.Hours, n string) { h.Name = n; h.Weeks = []string{"never"} })
		w.Crews = complete(w.Crews, names["crew"], func(c *plant.Crew, n string) { *c = w.Crews[0]; c.Name = n })
		w.Ware = complete(w.Ware, names["ware"], func(x *plant.Ware, n string) { *x = w.Ware[0]; x.Name = n })
		printed := Print(w)
		file, faults := read(printed, "s.yaml", t.TempDir())
		if file == nil {
			t.Fatalf("seed %d is refused:\n%s\n%s", seed, Faults(faults), printed)
		}
		if second := Print(file.Works); !bytes.Equal(printed, second) {
			t.Fatalf("seed %d:\n%s\nthen\n%s", seed, printed, second)
		}
		file.Works.Closures.Loaded = []calendar.Dates(nil)
		if !reflect.DeepEqual(w, file.Works) {
			t.Fatalf("seed %d: the works differs, though it prints the same:\n%s", seed, printed)
		}
	}
}

// complete adds the entries of a section that are missing.
func complete[T any](section []T, all []string, add func(x *T, name string)) []T {
	for len(section) < len(all) {
		var x T
		add(&x, all[len(section)])
		section = append(section, x)
	}
	return section
}
