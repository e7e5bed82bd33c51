package report

import (
	"fmt"
	"strings"

	"pedalogue/pedal"
)

// A diagram is the pedal diagram of one setting: a horizontal line for natural,
// a short stroke for each pedal in foot order, above the line for flat, across
// it for natural and below it for sharp, and a long stroke between the feet.
//
// Source: [EIN-diagrams] for the form, [BLI 7] for the order.
type diagram struct {
	Label   string // in words, for those who do not see it
	Line    string // SVG paths
	Strokes string
	Divider string
	Letters []diagramLetter
	Width   int
	Height  int
}

type diagramLetter struct {
	X, Y int
	Text string
}

// The measures of a diagram, in its own units.
const (
	diagramStep    = 16 // from pedal to pedal
	diagramGap     = 12 // more, between the feet
	diagramEdge    = 12 // left and right of the outer pedals
	diagramMiddle  = 22 // height of the line
	diagramStroke  = 13 // length of a stroke
	diagramLetterY = 56
	diagramHeight  = 60
)

func diagramOf(s pedal.Setting) diagram {
	var strokes strings.Builder
	d := diagram{Label: "Pedal diagram. " + spokenSetting(s), Height: diagramHeight}
	for l := range pedal.Letter(pedal.Letters) {
		x := diagramEdge + int(l)*diagramStep
		if l.Foot() == pedal.Right {
			x += diagramGap
		}
		top := diagramMiddle - diagramStroke/2
		switch s[l] {
		case pedal.Flat:
			top = diagramMiddle - diagramStroke - 2
		case pedal.Sharp:
			top = diagramMiddle + 2
		}
		fmt.Fprintf(&strokes, "M%d %dv%d", x, top, diagramStroke)
		d.Letters = append(d.Letters, diagramLetter{x, diagramLetterY, l.String()})
		d.Width = x + diagramEdge
	}
	divider := diagramEdge + int(pedal.B)*diagramStep + (diagramStep+diagramGap)/2
	d.Strokes = strokes.String()
	d.Divider = fmt.Sprintf("M%d 3v%d", divider, 2*(diagramMiddle-3))
	d.Line = fmt.Sprintf("M3 %dH%d", diagramMiddle, d.Width-3)
	return d
}

// spokenSetting writes a setting in words, left foot first.
func spokenSetting(s pedal.Setting) string {
	var feet [2][]string
	for l := range pedal.Letter(pedal.Letters) {
		feet[l.Foot()] = append(feet[l.Foot()], l.String()+" "+positionWord(s[l]))
	}
	return "Left foot: " + strings.Join(feet[pedal.Left], ", ") + ". Right foot: " + strings.Join(feet[pedal.Right], ", ") + "."
}
