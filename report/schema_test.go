package report

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"
)

// checkSchema checks a decoded document against a JSON schema and returns its
// faults. It knows the keywords that report.schema.json uses and calls any other
// a fault, so that no rule of the schema is skipped unseen.
//
// Source: json-schema.org, draft 2020-12, validation vocabulary.
func checkSchema(root, schema, doc any, at string) (faults []string) {
	rules, ok := schema.(map[string]any)
	if !ok {
		return []string{at + ": the schema is no object"}
	}
	fault := func(format string, args ...any) {
		faults = append(faults, at+": "+fmt.Sprintf(format, args...))
	}
	for _, keyword := range slices.Sorted(maps.Keys(rules)) {
		rule := rules[keyword]
		switch keyword {
		case "$schema", "$id", "$defs", "title", "description":
		case "$ref":
			faults = append(faults, checkSchema(root, resolve(root, rule.(string)), doc, at)...)
		case "type":
			if got := typeOf(doc); got != rule && !(got == "integer" && rule == "number") {
				fault("is %s, not %v", got, rule)
			}
		case "const":
			if !equalJSON(doc, rule) {
				fault("is %v, not %v", doc, rule)
			}
		case "enum":
			if !slices.ContainsFunc(rule.([]any), func(v any) bool { return equalJSON(doc, v) }) {
				fault("is %v, not one of %v", doc, rule)
			}
		case "pattern":
			if s, ok := doc.(string); ok && !regexp.MustCompile(rule.(string)).MatchString(s) {
				fault("%q does not match %v", s, rule)
			}
		case "minimum":
			if n, ok := doc.(float64); ok && n < rule.(float64) {
				fault("is %v, less than %v", n, rule)
			}
		case "maximum":
			if n, ok := doc.(float64); ok && n > rule.(float64) {
				fault("is %v, more than %v", n, rule)
			}
		case "minItems":
			if l, ok := doc.([]any); ok && len(l) < int(rule.(float64)) {
				fault("has %d items, fewer than %v", len(l), rule)
			}
		case "maxItems":
			if l, ok := doc.([]any); ok && len(l) > int(rule.(float64)) {
				fault("has %d items, more than %v", len(l), rule)
			}
		case "items":
			if l, ok := doc.([]any); ok {
				for i, v := range l {
					faults = append(faults, checkSchema(root, rule, v, fmt.Sprintf("%s/%d", at, i))...)
				}
			}
		case "required":
			if m, ok := doc.(map[string]any); ok {
				for _, name := range rule.([]any) {
					if _, ok := m[name.(string)]; !ok {
						fault("has no %v", name)
					}
				}
			}
		case "properties":
			if m, ok := doc.(map[string]any); ok {
				for name, sub := range rule.(map[string]any) {
					if v, ok := m[name]; ok {
						faults = append(faults, checkSchema(root, sub, v, at+"/"+name)...)
					}
				}
			}
		case "oneOf":
			fits := 0
			for _, sub := range rule.([]any) {
				if len(checkSchema(root, sub, doc, at)) == 0 {
					fits++
				}
			}
			if fits != 1 {
				fault("fits %d of the choices, not one", fits)
			}
		case "not":
			if len(checkSchema(root, rule, doc, at)) == 0 {
				fault("is what it must not be")
			}
		default:
			fault("the checker does not know the keyword %q", keyword)
		}
	}
	return faults
}

func resolve(root any, ref string) any {
	for name := range strings.SplitSeq(strings.TrimPrefix(ref, "#/"), "/") {
		m, _ := root.(map[string]any)
		root = m[name]
	}
	return root
}

func typeOf(doc any) string {
	switch v := doc.(type) {
	case nil:
		return "null"
	case bool:
		return "boolean"
	case string:
		return "string"
	case []any:
		return "array"
	case float64:
		if v == math.Trunc(v) {
			return "integer"
		}
		return "number"
	}
	return "object"
}

func equalJSON(a, b any) bool {
	x, errX := json.Marshal(a)
	y, errY := json.Marshal(b)
	return errX == nil && errY == nil && string(x) == string(y)
}
