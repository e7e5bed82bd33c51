// Package schema writes JSON schemas of what the commands print with --json, from the
// types that they print, so that neither can say what the other does not.
//
// Source: json-schema.org, draft 2020-12. No keyword that common validators
// reckon in binary fractions is used, such as multipleOf.
package schema

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strings"

	"pedalogue/pedal"
	"pedalogue/report"
)

// Draft is the dialect of the schemas.
const Draft = "https://json-schema.org/draft/2020-12/schema"

// A document is what one command prints.
type document struct {
	command string
	what    string
	value   any    // of its type
	sealed  bool   // its files have the key "made"
	instead string // what "error" takes the place of; "" where there is no error
}

// Commands are those that have a schema, in the order in which they are listed.
func Commands() []string {
	var names []string
	for _, d := range documents() {
		names = append(names, d.command)
	}
	return names
}

// Of is the schema of what a command prints, indented; ok is false if there is none.
func Of(command string) (text []byte, ok bool) {
	for _, d := range documents() {
		if d.command != command {
			continue
		}
		var b bytes.Buffer
		if err := json.Indent(&b, d.schema().bytes(), "", "  "); err != nil {
			panic(err) // it is ours
		}
		b.WriteByte('\n')
		return b.Bytes(), true
	}
	return nil, false
}

// An object is a JSON object that keeps the order of its keys.
type object struct{ keys, values []string }

func (o *object) add(key string, value any) *object {
	text, err := marshal(value)
	if err != nil {
		panic(err) // only what is here is written
	}
	o.keys, o.values = append(o.keys, key), append(o.values, string(text))
	return o
}

func marshal(value any) ([]byte, error) {
	if inner, is := value.(*object); is {
		return inner.bytes(), nil
	}
	if list, is := value.([]*object); is {
		var items [][]byte
		for _, o := range list {
			items = append(items, o.bytes())
		}
		return []byte("[" + string(bytes.Join(items, []byte(","))) + "]"), nil
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(value)
	return bytes.TrimSpace(b.Bytes()), err
}

func (o *object) bytes() []byte {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, key := range o.keys {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, "%q:%s", key, o.values[i])
	}
	b.WriteByte('}')
	return b.Bytes()
}

// A maker makes one schema, with what its parts refer to.
type maker struct {
	defs  object
	named map[reflect.Type]string
}

// schema is the schema of the document.
func (d *document) schema() *object {
	m := &maker{named: map[reflect.Type]string{}}
	t := reflect.TypeOf(d.value)
	body := m.structure(t)
	if d.sealed {
		made := (&object{}).add("type", "object").add("description", describe(t, "made")).add("required", []string{"files", "self"})
		body.properties.add("made", made)
	}
	body.properties.add("config", m.given())
	o := (&object{}).add("$schema", Draft).add("$id", fmt.Sprintf("urn:pedalogue:schema:%s:%d", d.command, report.Format)).
		add("title", "What pedalogue "+d.command+" --json prints").
		add("description", d.what+" Fields may be added; none is renamed or removed without a new format.").
		add("type", "object").add("required", body.required).add("properties", &body.properties)
	if d.instead != "" {
		either := func(has, not string) *object {
			return (&object{}).add("required", []string{has}).add("not", (&object{}).add("required", []string{not}))
		}
		o.add("oneOf", []*object{either(d.instead, "error"), either("error", d.instead)})
	}
	return o.add("$defs", &m.defs)
}

// given is the schema of what a file of options has set.
func (m *maker) given() *object {
	file := (&object{}).add("type", "string").add("description", "the file")
	options := (&object{}).add("type", "array").add("items", (&object{}).add("type", "string")).add("description", "option = value")
	return (&object{}).add("type", "object").add("required", []string{"file", "options"}).
		add("properties", (&object{}).add("file", file).add("options", options)).
		add("description", "options that were not typed, but came from a file; absent if none did")
}

// A structure is the fields of a struct.
type structure struct {
	required   []string
	properties object
}

// structure lists the fields of a struct, with those of what it embeds.
func (m *maker) structure(t reflect.Type) *structure {
	s := &structure{required: []string{}}
	m.fields(t, t, s)
	return s
}

func (m *maker) fields(owner, t reflect.Type, s *structure) {
	for i := range t.NumField() {
		f := t.Field(i)
		name, option, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous && name == "":
			m.fields(owner, f.Type, s)
			continue
		case name == "-" || name == "":
			continue
		}
		absent := strings.HasPrefix(option, "omit")
		if !absent {
			s.required = append(s.required, name)
		}
		value := m.value(f.Type, owner, name, !absent)
		if text := describe(owner, name); text != "" {
			value.add("description", text)
		}
		s.properties.add(name, value)
	}
}

// value is the schema of a field, whose pointer may be null.
func (m *maker) value(t, owner reflect.Type, name string, null bool) *object {
	if list := enumeration(owner, name); list != nil {
		return (&object{}).add("enum", list)
	}
	if name == "format" {
		return (&object{}).add("const", report.Format)
	}
	if name == "pins_cost" {
		return m.difference(t.Elem())
	}
	if t.Kind() == reflect.Pointer {
		inner := m.value(t.Elem(), owner, name, false)
		if !null {
			return inner
		}
		return (&object{}).add("anyOf", []*object{inner, (&object{}).add("type", "null")})
	}
	if known := m.known(t); known != nil {
		return known
	}
	switch t.Kind() {
	case reflect.Bool:
		return (&object{}).add("type", "boolean")
	case reflect.String:
		return m.text(name)
	case reflect.Float64:
		return (&object{}).add("type", "number").add("minimum", 0)
	case reflect.Int:
		return m.whole(owner, name)
	case reflect.Slice:
		if nullable[owner.Name()+"."+name] {
			list := (&object{}).add("type", "array").add("items", m.value(t.Elem(), owner, name+"[]", false))
			return (&object{}).add("anyOf", []*object{list, (&object{}).add("type", "null")})
		}
		return (&object{}).add("type", "array").add("items", m.value(t.Elem(), owner, name+"[]", false))
	case reflect.Array:
		return (&object{}).add("type", "array").add("minItems", t.Len()).add("maxItems", t.Len()).add("items", m.value(t.Elem(), owner, name+"[]", false))
	case reflect.Map:
		return (&object{}).add("type", "object").add("additionalProperties", m.value(t.Elem(), owner, name+"[]", false))
	case reflect.Struct:
		return m.reference(t)
	}
	panic(fmt.Sprintf("no schema for %v", t))
}

// difference is the schema of a struct of numbers that may be less than nothing.
func (m *maker) difference(t reflect.Type) *object {
	s := m.structure(t)
	var fields object
	for _, name := range s.properties.keys {
		fields.add(name, (&object{}).add("type", "integer"))
	}
	return m.define("difference", (&object{}).add("type", "object").add("required", s.required).add("properties", &fields))
}

// known is the schema of types that write themselves.
func (m *maker) known(t reflect.Type) *object {
	switch t {
	case reflect.TypeFor[pedal.Position]():
		return m.define("position", (&object{}).add("type", "integer").add("minimum", -1).add("maximum", 1).add("description", "-1 flat, 0 natural, 1 sharp"))
	case reflect.TypeFor[pedal.Setting]():
		return m.define("setting", (&object{}).add("type", "string").add("pattern", settingPattern).add("description", "all seven pedals in foot order; a bare letter is natural"))
	case reflect.TypeFor[pedal.Letter]():
		return (&object{}).add("enum", strings.Split("DCBEFGA", ""))
	case reflect.TypeFor[pedal.Foot]():
		return (&object{}).add("enum", []string{"left", "right"})
	case reflect.TypeFor[report.Severity]():
		return (&object{}).add("enum", []string{"error", "warning", "note"})
	case reflect.TypeFor[report.Share]():
		return m.define("share", (&object{}).add("type", "number").add("minimum", 0).add("maximum", 1).add("description", "three decimals at most"))
	case reflect.TypeFor[report.Seconds]():
		return m.define("seconds", (&object{}).add("type", "number").add("description", "three decimals at most"))
	}
	return nil
}

const (
	settingPattern = `^D[♭♯]? C[♭♯]? B[♭♯]? \| E[♭♯]? F[♭♯]? G[♭♯]? A[♭♯]?$`
	offsetPattern  = `^-?[0-9]+(/[1-9][0-9]*)?$`
)

// text is the schema of a text.
func (m *maker) text(name string) *object {
	if name == "offset" {
		return m.define("offset", (&object{}).add("type", "string").add("pattern", offsetPattern))
	}
	return (&object{}).add("type", "string")
}

// whole is the schema of a whole number: a count, unless it is told otherwise.
func (m *maker) whole(owner reflect.Type, name string) *object {
	o := (&object{}).add("type", "integer")
	if least, known := lookup(least, owner, name); known {
		if least == none {
			return o
		}
		return o.add("minimum", least)
	}
	return o.add("minimum", 0)
}

// reference refers to a struct, which is defined once.
func (m *maker) reference(t reflect.Type) *object {
	name := m.named[t]
	if name == "" {
		name = strings.ToLower(t.Name()[:1]) + t.Name()[1:]
		m.named[t] = name
		s := m.structure(t)
		m.defs.add(name, (&object{}).add("type", "object").add("required", s.required).add("properties", &s.properties))
	}
	return (&object{}).add("$ref", "#/$defs/"+name)
}

// define refers to a schema, which is defined once.
func (m *maker) define(name string, o *object) *object {
	for _, key := range m.defs.keys {
		if key == name {
			return (&object{}).add("$ref", "#/$defs/"+name)
		}
	}
	m.defs.add(name, o)
	return (&object{}).add("$ref", "#/$defs/"+name)
}

// lookup finds what is said of a field: under the name of its struct, or of any.
func lookup[V any](table map[string]V, owner reflect.Type, name string) (V, bool) {
	if v, ok := table[owner.Name()+"."+name]; ok {
		return v, true
	}
	v, ok := table[name]
	return v, ok
}

// describe is what a field means; "" if its name says it.
func describe(owner reflect.Type, name string) string {
	text, _ := lookup(meanings, owner, name)
	return text
}

// enumeration are the values that a field can have; nil for any.
func enumeration(owner reflect.Type, name string) []string {
	list, _ := lookup(values, owner, name)
	return list
}
