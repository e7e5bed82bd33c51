package report

import (
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"

	"pedalogue/report/plain"
)

// WriteKeysHTML writes the report as one page that needs nothing else: for each harp
// its keys around the circle of fifths, and the list. The error is that of w or of a
// page that cannot be made.
func WriteKeysHTML(w io.Writer, k *Keys) error { return render(w, "keys.html", keysPageOf(k)) }

// A keysPage is what the template shows of a score in all keys. All its texts are clean.
type keysPage struct {
	Style    template.CSS
	Made     string
	Name     string
	Path     string
	Error    string
	Chosen   string // what was written in another key; "" if nothing was
	More     []string
	Harps    []keysHarp
	Warnings []string
}

type keysHarp struct {
	ID      int // from 1
	Title   string
	Verdict string
	Circle  keysCircle
	Rows    []keysRow
}

type keysRow struct {
	Key
	Name  string
	Moved string
	Note  string // "as written", or what else there is to say
}

func keysPageOf(k *Keys) *keysPage {
	s := Score{Head: Head{Path: k.Path, Title: k.Title}}
	p := &keysPage{Style: style(), Made: plain.Line(strings.TrimSpace(k.Tool + " " + k.Version)), Name: s.name(), Path: plain.Line(k.Path), Error: plain.Line(k.Error)}
	if k.Chosen != nil {
		head, more := k.chosenWords()
		p.Chosen = plain.Line(head)
		for _, line := range more {
			p.More = append(p.More, plain.Line(line))
		}
	}
	for i := range k.Parts {
		part := &k.Parts[i]
		h := keysHarp{ID: i + 1, Title: plain.Line(strings.TrimSpace(part.ID + " " + part.Name)), Verdict: plain.Line(keysVerdict(part.Keys)), Circle: circleOf(part.Keys)}
		for _, key := range part.Keys {
			row := keysRow{Key: key, Name: plain.Line(key.Name), Moved: moveWords(key)}
			switch {
			case key.Original:
				row.Moved, row.Note = "", "as written"
			case !key.Proof.Minimal:
				row.Note = "not proved"
			}
			h.Rows = append(h.Rows, row)
		}
		p.Harps = append(p.Harps, h)
	}
	for _, w := range k.Warnings {
		p.Warnings = append(p.Warnings, plain.Line(w.sentence()))
	}
	return p
}

// A keysCircle is a picture of keys: C on top, a fifth up a step to the right, as the
// circle of fifths is always drawn. Each key is a bar from the hub outwards, as long
// as it has changes; the part of them that is rushed is marked at the hub.
type keysCircle struct {
	ViewBox string
	Side    int // in pixels
	Label   string
	Rings   []keysRing
	Bars    []keysBar
	Labels  []keysLabel
}

// A keysRing is a circle to read lengths by.
type keysRing struct{ Middle, Radius, Changes, X, Y int }

type keysBar struct {
	Path   string
	Rushed string // the part of it that is rushed; "" for none
	Class  string
}

type keysLabel struct {
	X, Y  int
	Text  string
	Class string
}

// The measures of the circle, in the units of its view box.
const (
	circleSide   = 760
	circleMiddle = circleSide / 2
	circleHub    = 70  // where bars begin
	circleReach  = 165 // how long the longest is
	circleNames  = 302 // how far from the middle the names stand
	nameHeight   = 21
	inCircle     = 12 // keys, counting those alike as one
)

// circleOf draws the keys.
func circleOf(keys []Key) keysCircle {
	c := keysCircle{ViewBox: fmt.Sprintf("0 0 %d %d", circleSide, circleSide), Side: 560, Label: "the keys around the circle of fifths"}
	most := 1
	for _, k := range keys {
		most = max(most, k.Cost.Changes)
	}
	for _, n := range rings(most) {
		r := circleHub + circleReach*n/most
		x, y := polar(float64(r), 0.5)
		c.Rings = append(c.Rings, keysRing{circleMiddle, r, n, x, y})
	}
	var at [inCircle][]int // indexes of keys, by their place
	for i, k := range keys {
		place := ((k.Fifths % inCircle) + inCircle) % inCircle
		at[place] = append(at[place], i)
	}
	for place, list := range at {
		slices.SortStableFunc(list, func(a, b int) int { return keys[b].Fifths - keys[a].Fifths })
		for i, index := range list {
			c.bar(keys, index, float64(place)+slot(i, len(list)), min(8.5, 17/float64(len(list))), most)
		}
		c.names(keys, list, place)
	}
	return c
}

// slot is where one of several keys stands at its place, in steps of the circle.
func slot(i, n int) float64 { return (float64(i) - float64(n-1)/2) * min(0.34, 0.8/float64(n)) }

// rings are round numbers of changes up to the most.
func rings(most int) []int {
	step := 1 // 1, 2, 5, 10, 20, 50 and so on
	for i := 1; most/step > 4; i++ {
		if step *= 2; i%3 == 2 {
			step += step / 4
		}
	}
	var list []int
	for n := step; n <= most; n += step {
		list = append(list, n)
	}
	return list
}

// polar is the point so far from the middle, at a place of the circle.
func polar(radius, place float64) (x, y int) {
	sin, cos := math.Sincos(2 * math.Pi * place / inCircle)
	return circleMiddle + int(math.Round(radius*sin)), circleMiddle - int(math.Round(radius*cos))
}

// bar adds the bar of a key; half is half its width.
func (c *keysCircle) bar(keys []Key, index int, place, half float64, most int) {
	k := &keys[index]
	end := circleHub + circleReach*k.Cost.Changes/most
	b := keysBar{Class: keyClass(k, index), Path: sector(place, half, circleHub, max(end, circleHub+2))}
	if k.Cost.Rushed > 0 {
		b.Rushed = sector(place, half, circleHub, max(circleHub+circleReach*k.Cost.Rushed/most, circleHub+3))
	}
	c.Bars = append(c.Bars, b)
}

// sector is the path of a bar.
func sector(place, half float64, from, to int) string {
	sin, cos := math.Sincos(2 * math.Pi * place / inCircle)
	var b strings.Builder
	for i, corner := range [][2]float64{{float64(from), -half}, {float64(to), -half}, {float64(to), half}, {float64(from), half}} {
		x := math.Round(circleMiddle + corner[0]*sin + corner[1]*cos)
		y := math.Round(circleMiddle - corner[0]*cos + corner[1]*sin)
		fmt.Fprintf(&b, "%c%d %d", "MLLL"[i], int(x), int(y))
	}
	return b.String() + "z"
}

// names adds the names of the keys at a place, one below the other.
func (c *keysCircle) names(keys []Key, list []int, place int) {
	x, y := polar(circleNames, float64(place))
	y += nameHeight/3 - (len(list)-1)*nameHeight/2
	for i, index := range list {
		k := &keys[index]
		text := plain.Line(k.Name) + " " + grouped(k.Cost.Changes)
		if k.Cost.Rushed > 0 {
			text += " · " + grouped(k.Cost.Rushed)
		}
		c.Labels = append(c.Labels, keysLabel{x, y + i*nameHeight, text, keyClass(k, index)})
	}
}

// keyClass tells the key as it is written, and the first, from others.
func keyClass(k *Key, index int) string {
	switch {
	case k.Original:
		return "own"
	case index == 0:
		return "best"
	}
	return ""
}
