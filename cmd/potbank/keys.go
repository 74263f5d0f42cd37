package main

import (
	"reflect"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"potbank/internal/plant"
	"potbank/internal/report"
)

func (p *program) keysCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "keys [SECTION]",
		Short: "Explain every key of a scenario file",
		Long:  "Explain every key of a scenario file, or those of one section, with the default taken when\nthe file is silent. <name> stands for a name that the file gives.",
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return exitf(misused, "keys takes one section, got %d; hint: potbank %s", len(args), c.Use)
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return p.keys(args) },
	}
}

// keys prints the keys of one section, or of all. The list is read off the type
// that the reader fills, so it cannot fall behind.
func (p *program) keys(args []string) error {
	all := keysOf(reflect.TypeFor[plant.Works](), "")
	if len(args) == 1 {
		section := strings.TrimSuffix(args[0], ".")
		all = keysUnder(all, section)
		if len(all) == 0 {
			return exitf(misused, "no section %q; hint: see potbank keys", args[0])
		}
	}
	if err := report.Terminal(p.out, report.KeysDocument(all)); err != nil {
		return exitf(failed, "writing the keys: %s", err)
	}
	return nil
}

// keysUnder returns the keys of a section and the section's own.
func keysUnder(all []report.Key, section string) []report.Key {
	var some []report.Key
	for _, k := range all {
		if k.Path == section || strings.HasPrefix(k.Path, section+".") {
			some = append(some, k)
		}
	}
	return some
}

// keysOf lists the keys that the tags of a struct declare, depth first, in
// their order. A type that holds itself would not end; plant.Works has none.
func keysOf(t reflect.Type, prefix string) []report.Key {
	var keys []report.Key
	for i := range t.NumField() {
		f := t.Field(i)
		name, ok := f.Tag.Lookup("key")
		if !ok || name == "-" {
			continue
		}
		k := report.Key{
			Path: prefix + name, Doc: f.Tag.Get("doc"),
			Default: f.Tag.Get("default"), Optional: f.Tag.Get("optional") == "yes",
			Words: f.Tag.Get("oneof"),
		}
		var below []report.Key
		if inner, under := within(f.Type); inner != nil {
			below = keysOf(inner, k.Path+under)
			k.Section = under == "." && !slices.ContainsFunc(below, report.Key.Required)
		}
		keys = append(append(keys, k), below...)
	}
	return keys
}

// within returns the struct type inside a section, and how its keys hang under
// the section's: straight, under a name, or in a row of a list. It is nil when
// the value is no section.
func within(t reflect.Type) (inner reflect.Type, under string) {
	switch {
	case t.Kind() == reflect.Pointer:
		return within(t.Elem())
	case t.Kind() == reflect.Struct && declaresKeys(t):
		return t, "."
	case t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.Struct && declaresKeys(t.Elem()):
		if _, named := t.Elem().FieldByName("Name"); named {
			return t.Elem(), ".<name>."
		}
		return t.Elem(), "[]."
	}
	return nil, ""
}

// declaresKeys tells a section from a value that happens to be a struct.
func declaresKeys(t reflect.Type) bool {
	for i := range t.NumField() {
		if _, ok := t.Field(i).Tag.Lookup("key"); ok {
			return true
		}
	}
	return false
}
