package scenario

import (
	"fmt"
	"maps"
	"reflect"

	"potbank/internal/plant"
	"potbank/internal/quantity"
	"potbank/internal/random"
)

// A Draw is the works as it may be too, for all that its evidence says.
type Draw struct {
	Plant *plant.Plant
	// Values are what was drawn for each Evidence of the file, in its order: a
	// share, or the mean of a law in milliseconds, percent or casts.
	Values []float64
}

// redrawn is what draws from evidence decide; each is for one path.
var redrawn = random.PurposeOf("scenario.evidence")

// Redrawn returns the plant with every value that says what it rests on drawn
// anew from what that leaves open; all others stay as they are. Draw k, from 1,
// is a function of seed and k alone, and of each value of its path alone, so
// that evidence added elsewhere changes no other draw. It may be called by
// several goroutines at once.
//
//   - A share counted x of n comes from Beta(x + 1/2, n - x + 1/2).
//   - Shares of one whole (the grades of one fire, the faults of one stage)
//     that are counted come together from a Dirichlet law with x + 1/2 of each
//     and of all others. What the others get is split among them as the file
//     states them, scrap included, so that they add up as before.
//   - A table of records gives as many records drawn from it.
//   - A law fitted to n records is drawn as [random.Refit] says.
//
// The error says that no works can be had of the draw, or that its values do
// not go together; another draw may do.
func (f *File) Redrawn(seed uint64, k int) (Draw, error) {
	r := newRedrawing()
	for _, e := range f.evidence {
		r.rests(e, random.New(seed, uint32(k)))
	}
	works := r.works(f.Works)
	if r.err != nil {
		return Draw{}, r.err
	}
	ready, faults := plant.New(&works)
	if ready == nil {
		for _, p := range faults {
			if !p.Warning {
				return Draw{}, fmt.Errorf("%s: %s", p.Path, p.What)
			}
		}
	}
	d := Draw{Plant: f.recalling(ready, derived(f.Hash, fmt.Sprintf("draw %d of seed %d", k, seed)))}
	for _, e := range f.evidence {
		d.Values = append(d.Values, r.values[e.Path])
	}
	return d, nil
}

// A redrawing copies a works and puts drawn values in the place of those that
// rest on evidence. The first error ends it in effect: no copy is used.
type redrawing struct {
	sources  map[string]random.Source // by path, and by that of a whole
	evidence map[string]Evidence
	values   map[string]float64 // drawn, by path
	err      error
}

func newRedrawing() *redrawing {
	return &redrawing{sources: map[string]random.Source{}, evidence: map[string]Evidence{}, values: map[string]float64{}}
}

// rests has the value that rests on evidence drawn from a source.
func (r *redrawing) rests(e Evidence, from random.Source) {
	r.evidence[e.Path], r.sources[e.Path] = e, from
	if whole, part := wholeOf(e); part {
		r.sources[whole] = from
	}
}

// works copies a works with its drawn values.
func (r *redrawing) works(w *plant.Works) plant.Works {
	return r.section(reflect.ValueOf(w).Elem(), "").Interface().(plant.Works)
}

// luck gives the uniforms of one path.
func (r *redrawing) luck(path string) func(ordinal uint32) float64 {
	object, source := random.Name(path), r.sources[path]
	return func(ordinal uint32) float64 { return source.Uniform(redrawn, object, ordinal) }
}

// section copies a struct, following the keys as the printer does.
func (r *redrawing) section(v reflect.Value, path string) reflect.Value {
	copied := reflect.New(v.Type()).Elem()
	copied.Set(v)
	for _, f := range fieldsOf(v.Type()) {
		copied.Field(f.index).Set(r.value(f, v.Field(f.index), join(path, f.key)))
	}
	if v.Type() == reflect.TypeFor[plant.Grades]() {
		g := copied.Addr().Interface().(*plant.Grades)
		r.whole(path, []string{"a", "b", "refire"}, []*quantity.Share{&g.A, &g.B, &g.Refire}, true)
	}
	return copied
}

// value copies what stands under one key.
func (r *redrawing) value(f field, v reflect.Value, path string) reflect.Value {
	switch shape := shapeOf(f.typ); {
	case shape == scalarShape:
		return r.scalar(v, path)
	case v.Kind() == reflect.Struct:
		return r.section(v, path)
	case v.IsZero():
		return v // a section, list or set that the works does not have
	case shape == sectionShape:
		copied := reflect.New(v.Type().Elem())
		copied.Elem().Set(r.section(v.Elem(), path))
		return copied
	case shape == textsShape:
		return v // texts rest on nothing, and nobody writes to them
	case v.Kind() == reflect.Map:
		return r.byName(f, v, path)
	}
	return r.entries(f, v, path)
}

// entries copies a slice of sections or of the points of a curve.
func (r *redrawing) entries(f field, v reflect.Value, path string) reflect.Value {
	copied := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
	for i := range v.Len() {
		one := v.Index(i)
		copied.Index(i).Set(one)
		switch shapeOf(f.typ) {
		case namedShape:
			copied.Index(i).Set(r.section(one, join(path, one.FieldByName("Name").String())))
		case rowsShape:
			copied.Index(i).Set(r.section(one, fmt.Sprintf("%s.%d", path, i+1)))
		case curveShape:
			at := scalars[one.Field(0).Type()].print(one.Field(0), f, "")
			copied.Index(i).Field(1).Set(r.scalar(one.Field(1), join(path, at)))
		}
	}
	return copied
}

// byName copies a map. That of the faults of a stage is one whole.
func (r *redrawing) byName(f field, v reflect.Value, path string) reflect.Value {
	copied := reflect.MakeMapWithSize(v.Type(), v.Len())
	for _, name := range sortedNames(v) {
		below := path
		if name.String() != "" {
			below = join(path, name.String())
		}
		copied.SetMapIndex(name, r.scalar(v.MapIndex(name), below))
	}
	if f.id() != "Yields.fired-faults" && f.id() != "Yields.white-faults" {
		return copied
	}
	shares := copied.Interface().(map[string]quantity.Share)
	drawn, names := maps.Clone(shares), sortedKeys(shares)
	places := make([]*quantity.Share, len(names))
	for i, name := range names {
		share := drawn[name]
		places[i] = &share
	}
	r.whole(path, names, places, false)
	for i, name := range names {
		drawn[name] = *places[i]
	}
	return reflect.ValueOf(drawn)
}

// scalar draws one value that rests on evidence and is not part of a whole.
func (r *redrawing) scalar(v reflect.Value, path string) reflect.Value {
	e, ok := r.evidence[path]
	if !ok {
		return v
	}
	if e.Kind == Counted {
		if _, part := wholeOf(e); part {
			return v
		}
		share := random.Proportion(r.luck(path)(0), e.Hits, e.Of)
		r.values[path] = share
		return reflect.ValueOf(quantity.Share(share))
	}
	law, err := r.law(v.Interface().(random.Law), e)
	if err != nil {
		if r.err == nil {
			r.err = fmt.Errorf("%s: %w", path, err)
		}
		return v
	}
	r.values[path] = law.Mean()
	drawn := reflect.New(lawType).Elem()
	drawn.Set(reflect.ValueOf(law))
	return drawn
}

// law draws a law as its records would also allow it to be.
func (r *redrawing) law(l random.Law, e Evidence) (random.Law, error) {
	if e.Kind == Recorded {
		return random.Resample(e.Data, r.luck(e.Path))
	}
	if inner, ok := l.(recorded); ok {
		l = inner.Law
	}
	return random.Refit(l, e.Of, r.luck(e.Path))
}

// whole draws the shares of one whole that are counted, and scales the others
// to what is left. There is always scrap for an open whole: that none was seen
// does not make it impossible.
func (r *redrawing) whole(path string, names []string, shares []*quantity.Share, open bool) {
	var seen []int
	var us []float64
	var counted, others []int
	left, stated := 0, 1.0 // not counted: pieces, and the share they are stated to be
	for i, name := range names {
		e, ok := r.evidence[join(path, name)]
		if !ok {
			others = append(others, i)
			continue
		}
		counted, seen, us = append(counted, i), append(seen, e.Hits), append(us, r.luck(e.Path)(0))
		left = e.Of
		stated -= float64(*shares[i])
	}
	if counted == nil {
		return
	}
	for _, x := range seen {
		left -= x
	}
	if open || len(others) > 0 {
		seen, us = append(seen, left), append(us, r.luck(path)(0))
	}
	drawn := random.Mixture(us, seen)
	for k, i := range counted {
		*shares[i] = quantity.Share(drawn[k])
		r.values[join(path, names[i])] = drawn[k]
	}
	for _, i := range others {
		if stated > 0 {
			*shares[i] *= quantity.Share(drawn[len(drawn)-1] / stated)
		}
	}
}
