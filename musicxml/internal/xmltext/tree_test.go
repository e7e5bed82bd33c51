package xmltext

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"
)

// treeOf reads the root element of a text into a tree.
func treeOf(t *testing.T, text string) (*Scanner, *Element) {
	t.Helper()
	s := NewScanner(ctx, []byte(text), 128)
	e, err := s.Root()
	if err == nil {
		err = s.Fill(e)
	}
	if err == nil {
		err = s.Finish()
	}
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return s, e
}

// shape writes a tree as "name(attributes){text}[children]".
func shape(e *Element) string {
	var b strings.Builder
	b.WriteString(e.Name)
	if len(e.Attrs) > 0 {
		fmt.Fprintf(&b, "%v", e.Attrs)
	}
	if e.Text != "" {
		fmt.Fprintf(&b, "{%s}", e.Text)
	}
	for c := e.First; c != nil; c = c.Next {
		b.WriteString(" (" + shape(c) + ")")
	}
	return b.String()
}

func TestScannerTree(t *testing.T) {
	for _, tt := range []struct{ text, want, reason string }{
		{"<a/>", "a", "alone"},
		{"<a> \n</a>", "a", "white space is no text"},
		{"<a> x </a>", "a{ x }", "white space around text is kept"},
		{"<a>x&amp;y</a>", "a{x&y}", "references are replaced"},
		{"<a>x<!-- c -->y<![CDATA[<z>]]></a>", "a{xy<z>}", "pieces are joined"},
		{"<a> <b/> x</a>", "a (b)", "text behind a child is not the element's"},
		{"<a>x<b>y</b>z</a>", "a{xz} (b{y})", "text that began before it goes on"},
		{"<a><b/><c><d/></c><b/></a>", "a (b) (c (d)) (b)", "in their order"},
		{`<a x="1" y='2'><b x="3"/></a>`, "a[{x 1} {y 2}] (b[{x 3}])", "attributes"},
		{`<a xmlns:l="u" l:x="1"/>`, "a[{xmlns:l u} {l:x 1}]", "with their prefixes"},
	} {
		if _, e := treeOf(t, tt.text); shape(e) != tt.want {
			t.Errorf("%s: %s, want %s: %s", tt.text, shape(e), tt.want, tt.reason)
		}
	}
}

// An element counts by its local name where it has the root's namespace;
// Namespaces in XML 1.0. Others have no name.
func TestScannerNamespaces(t *testing.T) {
	for _, tt := range []struct{ text, want, reason string }{
		{`<a><x:b xmlns:x="u"/><b/></a>`, "a ([{xmlns:x u}]) (b)", "a foreign element"},
		{`<m:a xmlns:m="u"><m:b/><b/></m:a>`, "a[{xmlns:m u}] (b) ()", "a prefix for the score's own"},
		{`<m:a xmlns:m="u"><n:b xmlns:n="u"/></m:a>`, "a[{xmlns:m u}] (b[{xmlns:n u}])", "another prefix for the same"},
		{`<a xmlns="u"><b/><c xmlns=""/><d/></a>`, "a[{xmlns u}] (b) ([{xmlns }]) (d)", "a default that ends with its element"},
		{`<a xmlns="u"><b xmlns="v"><c/></b><d/></a>`, "a[{xmlns u}] ([{xmlns v}] ()) (d)", "a foreign default holds inside"},
		{`<a xmlns="u" xmlns:m="u"><m:b/></a>`, "a[{xmlns u} {xmlns:m u}] (b)", "default and prefix alike"},
		{`<a><x:b/></a>`, "a ()", "a prefix that nothing declares is foreign"},
		{`<x:a><x:b/><b/></x:a>`, "a (b) ()", "but the root's own is the root's"},
		{`<a><b xmlns:x="u"/><x:c/></a>`, "a (b[{xmlns:x u}]) ()", "a declaration ends with its element"},
	} {
		if _, e := treeOf(t, tt.text); shape(e) != tt.want {
			t.Errorf("%s: %s, want %s: %s", tt.text, shape(e), tt.want, tt.reason)
		}
	}
}

// Offsets are those of the tags, comments and white space left out.
func TestScannerOffsets(t *testing.T) {
	const text = "<!-- é --><a>\r\n <!-- <b> --><b x='>'>é</b ><c/></a>\n"
	_, e := treeOf(t, text)
	for _, tt := range []struct {
		e    *Element
		want string
	}{
		{e, text[strings.Index(text, "<a>") : len(text)-1]},
		{e.First, "<b x='>'>é</b >"},
		{e.First.Next, "<c/>"},
	} {
		if got := text[tt.e.Start:tt.e.End]; got != tt.want {
			t.Errorf("%s is %q, want %q", tt.e.Name, got, tt.want)
		}
	}
}

// Elements of a tree stay as they are while the tree grows beyond its first room.
func TestScannerLargeTree(t *testing.T) {
	var b strings.Builder
	b.WriteString("<a>")
	for i := range 5000 {
		fmt.Fprintf(&b, `<b n="%d">%d</b>`, i, i)
	}
	b.WriteString("</a>")
	_, e := treeOf(t, b.String())
	i := 0
	e.Walk(func(c *Element) {
		if c.Attr("n") != strconv.Itoa(i) || c.Trimmed() != strconv.Itoa(i) {
			t.Fatalf("element %d is %+v", i, c)
		}
		i++
	})
	if i != 5000 {
		t.Errorf("%d elements", i)
	}
}

func TestLine(t *testing.T) {
	const text = "1\n2\r\n3\r4\n\r6"
	for i, want := range []int{1, 1, 2, 2, 2, 3, 3, 4, 4, 5, 6} {
		if got := Line([]byte(text), i); got != want && text[i] != '\n' {
			t.Errorf("offset %d is in line %d, want %d", i, got, want)
		}
	}
	if got := Line([]byte(text), 1000); got != 6 {
		t.Errorf("past the end: line %d", got)
	}
}

// skip passes over an element and checks it all the same.
func TestScannerSkip(t *testing.T) {
	s := NewScanner(ctx, []byte("<a><b><c/><b/></b><d></a>"), 128)
	if _, err := s.Root(); err != nil {
		t.Fatal(err)
	}
	e, err := s.Next()
	if err != nil || s.Skip(e) != nil || e.End != strings.Index("<a><b><c/><b/></b><d></a>", "<d>") {
		t.Fatalf("%+v, %v", e, err)
	}
	if e, err = s.Next(); err != nil || e.Name != "d" {
		t.Fatalf("%+v, %v", e, err)
	}
	var fault *Error
	if err := s.Skip(e); !errors.As(err, &fault) || !strings.Contains(err.Error(), "<d> is closed by </a>") {
		t.Errorf("error %v", err)
	}
}
