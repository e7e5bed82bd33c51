// Package words has what sentences about music are put together with.
package words

import "strings"

// Joined writes a list as a sentence does: "a, b and c"; "" for none.
func Joined(items []string) string {
	if len(items) < 2 {
		return strings.Join(items, "")
	}
	last := len(items) - 1
	return strings.Join(items[:last], ", ") + " and " + items[last]
}

// Upper writes the first letter of a sentence large, if it is one from a to z.
func Upper(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
