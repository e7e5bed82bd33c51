// Package insert prints elements as they go into a document that somebody else has
// laid out: with its line ends and its indentation.
package insert

import (
	"strings"

	"github.com/beevik/etree"
)

// IndentAt returns the white space before an offset on its line; own reports
// that nothing else stands there.
func IndentAt(text []byte, at int) (indent string, own bool) {
	start := at
	for start > 0 && (text[start-1] == ' ' || text[start-1] == '\t') {
		start--
	}
	if start == 0 || text[start-1] != '\n' && text[start-1] != '\r' {
		return "", false
	}
	return string(text[start:at]), true
}

// Unit is how much deeper a child is indented than its parent, whose tag begins at an
// offset; two spaces where the text does not tell.
func Unit(text []byte, parent int, child string) string {
	indent, own := IndentAt(text, parent)
	if own && len(child) > len(indent) && strings.HasPrefix(child, indent) {
		return child[len(indent):]
	}
	return "  "
}

// Tree puts each child element on a line of its own: line is the line end and
// indentation before the element, unit what its children are indented by. Nothing is
// done where line is "".
func Tree(e *etree.Element, line, unit string) {
	children := e.ChildElements()
	if len(children) == 0 || line == "" {
		return
	}
	for _, c := range children {
		Tree(c, line+unit, unit)
		e.InsertChildAt(c.Index(), etree.NewText(line+unit))
	}
	e.CreateText(line)
}

// String prints an element.
func String(e *etree.Element) string {
	var b strings.Builder
	e.WriteTo(&b, &etree.WriteSettings{})
	return b.String()
}
