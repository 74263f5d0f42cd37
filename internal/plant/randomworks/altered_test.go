package randomworks_test

import (
	"reflect"
	"regexp"
	"time"

	"potbank/internal/des"
	"potbank/internal/plant"
	"potbank/internal/random"
)

// clone copies a works so deeply that altering the copy leaves the original
// alone. Laws are immutable and shared.
func clone(w *plant.Works) *plant.Works {
	copied := *w
	deepen(reflect.ValueOf(&copied).Elem())
	return &copied
}

// deepen replaces what a value shares with the one it was copied from.
func deepen(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				deepen(v.Field(i))
			}
		}
	case reflect.Slice:
		if v.IsNil() {
			return
		}
		own := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(own, v)
		v.Set(own)
		for i := range v.Len() {
			deepen(v.Index(i))
		}
	case reflect.Map:
		if v.IsNil() {
			return
		}
		own := reflect.MakeMap(v.Type())
		for _, k := range v.MapKeys() {
			own.SetMapIndex(k, v.MapIndex(k))
		}
		v.Set(own)
	case reflect.Pointer:
		if v.IsNil() {
			return
		}
		own := reflect.New(v.Type().Elem())
		own.Elem().Set(v.Elem())
		v.Set(own)
		deepen(own.Elem())
	}
}

// eachField calls f for every field of a works, at any depth, with its key.
// Values of maps are handed over as copies and put back.
func eachField(w *plant.Works, f func(key string, v reflect.Value)) {
	walk("", reflect.ValueOf(w).Elem(), f)
}

func walk(key string, v reflect.Value, f func(key string, v reflect.Value)) {
	f(key, v)
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if field := v.Type().Field(i); v.Field(i).CanSet() && field.Tag.Get("key") != "-" {
				walk(field.Tag.Get("key"), v.Field(i), f)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			walk(key, v.Index(i), f)
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			value := reflect.New(v.Type().Elem()).Elem()
			value.Set(v.MapIndex(k))
			walk(key, value, f)
			v.SetMapIndex(k, value)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			walk(key, v.Elem(), f)
		}
	}
}

var civilDate = regexp.MustCompile(`\d{4}-\d\d-\d\d`)

// later moves every date of a works by so many days. Rules that count within
// months do not move along and are taken out.
func later(w *plant.Works, days int) *plant.Works {
	w = clone(w)
	w.Closures.Rules = nil
	move := func(text string) string {
		return civilDate.ReplaceAllStringFunc(text, func(date string) string {
			t, _ := time.Parse(time.DateOnly, date)
			return t.AddDate(0, 0, days).Format(time.DateOnly)
		})
	}
	eachField(w, func(key string, v reflect.Value) {
		if v.Kind() == reflect.String && v.CanSet() {
			v.SetString(move(v.String()))
		}
	})
	for k := range w.Benches {
		for i := range w.Benches[k].Change {
			w.Benches[k].Change[i].Name = move(w.Benches[k].Change[i].Name)
		}
	}
	return w
}

var (
	timeType = reflect.TypeFor[des.Time]()
	lawType  = reflect.TypeFor[random.Law]()
)

// plain takes out of a works what does not scale with time to the last
// millisecond: laws that vary, divisions that round, moistures, and what is
// drawn or counted by the day. Benches are never short of floor or moulds: they
// look again at the beginning of each day, and so which is first goes by the day.
func plain(w *plant.Works) *plant.Works {
	w = clone(w)
	w.Zone, w.Start, w.Closures = "UTC", w.Start[:len(time.DateOnly)], plant.Closures{}
	w.Shop.Floor, w.MouldShop = 0, nil
	for k := range w.Hours {
		h := &w.Hours[k]
		*h = plant.Hours{Name: h.Name, Weeks: h.Weeks[:1]}
	}
	eachField(w, func(key string, v reflect.Value) {
		switch {
		case v.Type() == lawType && !v.IsNil() && key != "mould-life" && key != "demould-moisture":
			v.Set(reflect.ValueOf(wholeMinutes(v.Interface().(random.Law))))
		case key == "effective" || key == "damp-rate" || key == "old-rate":
			v.SetFloat(1)
		case key == "absence" || key == "places-idle" || key == "day-correlation":
			v.SetFloat(0)
		}
	})
	for k := range w.Benches {
		b := &w.Benches[k]
		b.Change, b.Build = nil, max(b.Build, des.Minute)
	}
	for k := range w.Orders {
		w.Orders[k].Start, w.Orders[k].Due, w.Orders[k].Lots = "", "", nil
	}
	s := &w.Opening // how far such ware has come is drawn
	s.InMoulds, s.Leather, s.Drying, s.Coating, s.Firing, s.Refiring = nil, nil, nil, nil, nil, nil
	for i := range w.Ware {
		w.Ware[i].Plan, w.Ware[i].Make = 0, "stock"
		if win := w.Ware[i].Window; win != nil && win.Until == 0 {
			w.Ware[i].Window = nil
		}
	}
	return w
}

// wholeMinutes is the mean of a law of times as a constant of whole minutes.
func wholeMinutes(l random.Law) random.Law {
	minute := float64(des.Minute)
	c, err := random.Constant(float64(int64(l.Mean()/minute+0.5)) * minute)
	if err != nil {
		panic(err)
	}
	return c
}
