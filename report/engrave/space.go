package engrave

import "slices"

// widths is how much room a length takes, in units, from the 64th note to the
// breve, each twice as long as the one before: less and less for what is longer,
// as eyes expect it. Common practice.
var widths = [...]int{56, 64, 78, 104, 146, 196, 270, 360}

// shortest is the length, in ticks, of the first of widths.
const shortest = perQuarter / 16

// room is how much room a length in ticks takes before what follows it.
func room(ticks int) int {
	if ticks <= shortest {
		return widths[0]
	}
	from := shortest
	for i := range widths[:len(widths)-1] {
		if ticks <= 2*from {
			return widths[i] + (widths[i+1]-widths[i])*(ticks-from)/from
		}
		from *= 2
	}
	return widths[len(widths)-1]
}

// spread gives every column of a bar its x, from the left end of the notes, and
// returns where the bar ends.
func (b *bar) spread(staves int) int {
	var last [MostStaves]int // up to where each staff is taken
	for s := range last {
		last[s] = -leastGap
	}
	x := 0
	for i, c := range b.columns {
		if i > 0 {
			before := b.columns[i-1]
			x = before.x + room(c.at.ticks()-before.at.ticks())
		}
		for s := range staves {
			if c.on[s] {
				x = max(x, last[s]+leastGap+c.left[s])
			}
		}
		c.x = x
		for s := range staves {
			if c.on[s] {
				last[s] = x + c.right[s]
			}
		}
	}
	end := leastMeasure
	if n := len(b.columns); n > 0 {
		c := b.columns[n-1]
		left := b.Length.ticks() - c.at.ticks()
		if left > 0 {
			end = max(end, c.x+room(left))
		}
	}
	return max(end, slices.Max(last[:])+measureGap/2)
}

// place is the x of a column: the left edge of its usual heads.
func (b *bar) place(c *column) int { return b.x + b.body + c.x }

// timeX is the place of a time in the measure, for what stands between notes or under
// them: the middle of a head.
func (b *bar) timeX(t Time) int {
	fromTicks, fromX := 0, b.x+b.body
	first := true
	for _, c := range b.columns {
		if len(c.chords) == 0 {
			continue
		}
		x := b.place(c) + headWidth/2
		switch d := c.at.Cmp(t); {
		case d == 0:
			return x
		case d > 0 && first:
			return x
		case d > 0:
			return between(fromTicks, c.at.ticks(), t.ticks(), fromX, x)
		}
		first = false
		fromTicks, fromX = c.at.ticks(), x
	}
	return min(between(fromTicks, b.Length.ticks(), t.ticks(), fromX, b.end), b.end)
}

// between is where t lies from a to b, on the way from x to y.
func between(a, b, t, x, y int) int {
	if b <= a {
		return x
	}
	return x + (y-x)*(t-a)/(b-a)
}
