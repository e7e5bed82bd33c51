package pedal

import (
	"context"
	"slices"
	"testing"
)

// The points of a curve are what Solve finds, prices between them give nothing else,
// and the dearer a change, the fewer there are.
func TestCurve(t *testing.T) {
	for _, o := range []Options{{FootTime: -1}, {}, {FootTime: -1, ChangePrice: 7, SwitchPrice: -1}} {
		p := chromaticPassage(120)
		points, err := Curve(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		prices := slices.Clone(curvePrices)
		if o.ChangePrice > 0 {
			prices = append(prices, o.ChangePrice)
		}
		for _, price := range prices {
			at := o
			at.ChangePrice = price
			plan := mustSolve(t, p, at)
			i := len(points) - 1
			for i > 0 && points[i].ChangePrice < price {
				i--
			}
			if points[i].ChangePrice < price || points[i].Cost != plan.Cost || !points[i].Proved {
				t.Errorf("at price %d the curve has %+v, want %+v", price, points[i], plan.Cost)
			}
		}
		if len(points) < 4 {
			t.Errorf("only %d points", len(points))
		}
		for i := 1; i < len(points); i++ {
			if points[i].ChangePrice >= points[i-1].ChangePrice || points[i].Cost.Changes <= points[i-1].Cost.Changes {
				t.Errorf("%+v follows %+v", points[i], points[i-1])
			}
		}
	}
}
