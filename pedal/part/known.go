package part

import (
	"fmt"
	"hash/fnv"
	"strings"
)

// printLength is the length of a print: what a mark in a score is known by again, from
// its part, its place and its text, in hexadecimal digits.
const printLength = 4

// Prints are those of marks, one behind another; "" for none.
func Prints(marks []Standing) string {
	var b strings.Builder
	for i := range marks {
		b.WriteString(marks[i].print())
	}
	return b.String()
}

// IsIn tells whether a mark is one of those that prints are of.
func (m *Standing) IsIn(prints string) bool {
	for p := m.print(); len(prints) >= printLength; prints = prints[printLength:] {
		if prints[:printLength] == p {
			return true
		}
	}
	return false
}

func (m *Standing) print() string {
	h := fnv.New32a()
	fmt.Fprintf(h, "%s\n%d\n%v\n%s", m.Part.ID, m.Measure, m.Onset, m.Text)
	sum := h.Sum32()
	return fmt.Sprintf("%0*x", printLength, uint16(sum>>16^sum))
}
