package engrave

import (
	"cmp"
	"encoding/xml"
	"fmt"
	"io"
	"regexp"
	"slices"
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
				if attr["class"] == "alike" {
					p.uses = append(p.uses, readAlike(t, attr, measure)...)
				} else {
					p.paths[attr["class"]] += attr["d"]
				}
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

// readAlike reads the glyphs that stand at the points of one path.
func readAlike(t *testing.T, attr map[string]string, measure int) (list []placed) {
	t.Helper()
	id, ok := strings.CutPrefix(strings.TrimSuffix(attr["marker-start"], ")"), "url(#at-")
	if !ok || attr["marker-mid"] != attr["marker-start"] || attr["marker-end"] != attr["marker-start"] || !strings.HasPrefix(attr["d"], "M") {
		t.Fatalf("a path of glyphs that are not alike: %v", attr)
	}
	points := strings.Fields(attr["d"][1:])
	for i := 0; i+1 < len(points); i += 2 {
		list = append(list, placed{id: id, x: number(t, points[i]), y: number(t, points[i+1]), percent: 100, note: -1, measure: measure})
	}
	if len(list) < fewAlike || len(points)%2 != 0 {
		t.Fatalf("a path of %d numbers: %v", len(points), attr)
	}
	return list
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

// With glyphs at the points of paths the same glyphs stand at the same places, and what the
// paths refer to is there.
func TestPointsAreTheSame(t *testing.T) {
	for _, m := range []*Music{everything(), crowd()} {
		sorted := func(o Options) (list []placed, d *Drawing) {
			d, err := Draw(m, o)
			if err != nil {
				t.Fatal(err)
			}
			list = readBack(t, d.Body).uses
			slices.SortFunc(list, func(a, b placed) int {
				return cmp.Or(a.measure-b.measure, cmp.Compare(a.id, b.id), a.x-b.x, a.y-b.y, a.percent-b.percent, cmp.Compare(a.class, b.class))
			})
			return list, d
		}
		concerns := map[int]Concern{11: Error, 12: Warning, 13: Remark}
		want, plain := sorted(Options{Anonymous: true, Concerns: concerns})
		got, d := sorted(Options{Anonymous: true, Points: true, Concerns: concerns})
		if !slices.Equal(got, want) {
			t.Errorf("with points there are\n%v\nwithout\n%v", got, want)
		}
		if d.Width != plain.Width || d.Height != plain.Height || d.Left != plain.Left || d.Top != plain.Top {
			t.Errorf("with points the drawing covers another place: %+v", d)
		}
		whole := d.Standalone(8, "")
		for _, id := range regexp.MustCompile(`url\(#([^)]*)\)`).FindAllStringSubmatch(d.Body, -1) {
			if !strings.Contains(whole, `<marker id="`+id[1]+`"`) {
				t.Errorf("%s is not there", id[1])
			}
		}
	}
	if d, _ := Draw(crowd(), Options{Points: true, Anonymous: true}); !strings.Contains(d.Body, `class="alike"`) {
		t.Error("nothing is drawn at points: the music is too thin")
	}
}

// crowd is a measure with many notes that are alike.
func crowd() *Music {
	m := Measure{Length: Time{Num: 2}}
	for i := range 16 {
		m.Chords = append(m.Chords, Chord{At: Time{Num: int64(i), Den: 8}, Value: N32nd, Staff: 1, Voice: 1, Notes: []Note{
			{ID: 2*i + 1, Staff: 1, Step: "CDEF"[i%4], Octave: 4, Sign: Sharp}, {ID: 2*i + 2, Staff: 1, Step: "ABCD"[i%4], Octave: 5, Sign: Flat}}})
	}
	return &Music{Staves: 1, Measures: []Measure{m}}
}
