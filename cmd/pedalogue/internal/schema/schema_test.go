package schema

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// Each field of what is printed has words about it, and each word a field.
func TestEveryFieldIsDescribed(t *testing.T) {
	used := map[string]bool{}
	for _, d := range documents() {
		visit(reflect.TypeOf(d.value), map[reflect.Type]bool{}, func(owner reflect.Type, name string) {
			if describe(owner, name) == "" {
				t.Errorf("%s: nothing is said of %s.%s", d.command, owner.Name(), name)
			}
			for _, key := range []string{name, owner.Name() + "." + name, name + "[]"} {
				used[key] = true
			}
		})
	}
	used["made"] = true
	for _, table := range []any{meanings, values, least} {
		for _, key := range reflect.ValueOf(table).MapKeys() {
			if !used[key.String()] {
				t.Errorf("%s is no field", key)
			}
		}
	}
}

// visit calls do for each field of a document.
func visit(t reflect.Type, seen map[reflect.Type]bool, do func(owner reflect.Type, name string)) {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice || t.Kind() == reflect.Array || t.Kind() == reflect.Map {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct || seen[t] {
		return
	}
	seen[t] = true
	var fields func(s reflect.Type)
	fields = func(s reflect.Type) {
		for i := range s.NumField() {
			f := s.Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if f.Anonymous && name == "" {
				fields(f.Type)
			} else if name != "" && name != "-" {
				do(t, name)
				visit(f.Type, seen, do)
			}
		}
	}
	fields(t)
}

// A schema has an identity, and nothing that is reckoned in binary fractions.
func TestSchemas(t *testing.T) {
	ids := map[string]bool{}
	for _, command := range Commands() {
		text, ok := Of(command)
		var s map[string]any
		if err := json.Unmarshal(text, &s); !ok || err != nil {
			t.Fatalf("%s: %v, %v", command, ok, err)
		}
		id, _ := s["$id"].(string)
		if ids[id] || id == "" || s["$schema"] != Draft || s["description"] == "" {
			t.Errorf("%s: %v, %v", command, s["$id"], s["$schema"])
		}
		ids[id] = true
		if strings.Contains(string(text), "multipleOf") {
			t.Errorf("%s: multipleOf on decimals is not the same for all validators", command)
		}
	}
	if _, ok := Of("strip"); ok || slices.Contains(Commands(), "strip") {
		t.Error("strip prints no JSON")
	}
}
