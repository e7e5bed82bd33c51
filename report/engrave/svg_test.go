package engrave

import (
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"
)

// A picture is a drawing read back from its SVG, by nothing but what stands in it.
type picture struct {
	uses  []placed
	paths map[string]string // by class
	texts []string
	names map[string]bool // of all elements
}

// A placed glyph, by its name in the SVG.
type placed struct {
	id            string
	x, y, percent int
	note, measure int // -1 for none
	class         string
}

func (p placed) box() box { return shapeOf(p.id).box.scaled(p.percent).at(p.x, p.y) }

func (p placed) head() bool { return strings.HasPrefix(p.id, "gn") }
func (p placed) sign() bool { return strings.HasPrefix(p.id, "ga-") && p.id != "ga-p" }

func shapeOf(id string) shape {
	for _, s := range shapes {
		if s.id == id {
			return s
		}
	}
	panic("no glyph " + id)
}

// readBack reads a drawing's body.
func readBack(t *testing.T, body string) *picture {
	t.Helper()
	p := &picture{paths: map[string]string{}, names: map[string]bool{}}
	d := xml.NewDecoder(strings.NewReader("<svg>" + body + "</svg>"))
	measure, inText := -1, false
	for {
		token, err := d.Token()
		if err == io.EOF {
			return p
		}
		if err != nil {
			t.Fatalf("the drawing is not well-formed: %v\n%s", err, body)
		}
		switch e := token.(type) {
		case xml.StartElement:
			attr := map[string]string{}
			for _, a := range e.Attr {
				attr[a.Name.Local] = a.Value
			}
			p.names[e.Name.Local] = true
			inText = e.Name.Local == "text"
			switch e.Name.Local {
			case "g":
				if m, ok := attr["data-measure"]; ok {
					measure = number(t, m)
				} else if _, ok := attr["class"]; !ok {
					measure = -1
				}
			case "path":
				p.paths[attr["class"]] += attr["d"]
			case "use":
				p.uses = append(p.uses, readUse(t, attr, measure))
			}
		case xml.CharData:
			if inText {
				p.texts = append(p.texts, string(e))
			}
		case xml.EndElement:
			inText = false
		}
	}
}

func readUse(t *testing.T, attr map[string]string, measure int) placed {
	u := placed{id: strings.TrimPrefix(attr["href"], "#"), percent: 100, note: -1, measure: measure, class: attr["class"]}
	if n, ok := attr["data-note"]; ok {
		u.note = number(t, n)
	}
	if tr, ok := attr["transform"]; ok {
		var scale string
		if _, err := fmt.Sscanf(tr, "translate(%d %d)scale(%s", &u.x, &u.y, &scale); err != nil {
			t.Fatalf("transform %q: %v", tr, err)
		}
		f, err := strconv.ParseFloat(strings.TrimPrefix(strings.Fields(strings.TrimSuffix(scale, ")"))[0], "-"), 64)
		if err != nil {
			t.Fatal(err)
		}
		u.percent = int(f*100 + .5)
		return u
	}
	u.x, u.y = number(t, attr["x"]), number(t, attr["y"])
	return u
}

func number(t *testing.T, s string) int {
	t.Helper()
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// draw draws music that has to be drawn.
func draw(t *testing.T, m *Music) (*Drawing, *picture) {
	t.Helper()
	d, err := Draw(m, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return d, readBack(t, d.Body)
}
