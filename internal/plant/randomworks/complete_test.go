package randomworks_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"potbank/internal/plant"
	"potbank/internal/plant/randomworks"
)

// beside are keys that random works do not draw: a calendar and a list of pieces
// in files of their own.
var beside = []string{"Closures.holidays", "OpeningState.pieces"}

// TestEverythingIsDrawn: every key of the scenario is used by some random
// works, and every word that a key allows comes up. A key or a word that is
// new in plant.Works fails here until it is drawn.
func TestEverythingIsDrawn(t *testing.T) {
	seen := map[string]bool{}
	draw(t, 400, 400, func(t *rapid.T) {
		w := randomworks.Works().Draw(t, "works")
		tally(reflect.ValueOf(w).Elem(), seen)
	})
	if testing.Short() {
		return // too few works to have seen everything
	}
	for _, id := range expected(reflect.TypeFor[plant.Works](), map[reflect.Type]bool{}) {
		if !seen[id] && !slices.Contains(beside, id) {
			t.Errorf("no random works has %s", id)
		}
	}
}

// tally notes, by type, key and word, what a section of a works makes use of.
func tally(v reflect.Value, seen map[string]bool) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			field, value := v.Type().Field(i), v.Field(i)
			key := field.Tag.Get("key")
			if key == "" || key == "-" || value.IsZero() {
				continue
			}
			id := v.Type().Name() + "." + key
			if field.Tag.Get("oneof") != "" {
				id += " " + value.String()
			}
			seen[id] = true
			tally(value, seen)
		}
	case reflect.Slice:
		for i := range v.Len() {
			tally(v.Index(i), seen)
		}
	case reflect.Pointer:
		tally(v.Elem(), seen)
	}
}

// expected lists what tally can note for a type, each type once.
func expected(t reflect.Type, done map[reflect.Type]bool) []string {
	for t.Kind() == reflect.Slice || t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct || done[t] {
		return nil
	}
	done[t] = true
	var ids []string
	for i := range t.NumField() {
		field := t.Field(i)
		key := field.Tag.Get("key")
		if key == "" || key == "-" {
			continue
		}
		id := t.Name() + "." + key
		if words := field.Tag.Get("oneof"); words != "" {
			for word := range strings.SplitSeq(words, ",") {
				ids = append(ids, id+" "+word)
			}
			continue
		}
		ids = append(append(ids, id), expected(field.Type, done)...)
	}
	return ids
}
