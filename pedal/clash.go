package pedal

import (
	"math/bits"
	"slices"
)

// A clash is a chord whose tones exclude each other. It is looked at as a set of
// demands: all tones that the same strings can sound are one.
type clash struct {
	demands []demand
	met     [Letters][4]uint64 // bits of the demands that a letter meets at a packed position
	single  bool               // every demand is one tone
	must    uint64             // bits of the demands that no setting may leave out
	letters uint16             // mask of the letters that some demand can use
	best    []uint16           // settings that sound as many tones as any
	most    int                // tones that they sound
}

type demand struct {
	ways  [2]way
	tones int
}

// exclude lists the drafts of a chord whose tones exclude each other, and says
// how many tones the best of them must drop. Every one of them fits into a whole
// setting that sounds as many tones as any setting can. The list is empty if tones
// that must sound exclude each other.
//
// All settings of the letters that the chord can use are tried, 3^7 at most.
func (r *reader) exclude(ch *chord) (list []draft, lost int, complete bool) {
	c := &r.clash
	total := c.demand(r, ch)
	c.best, c.most = c.best[:0], -1
	c.try(0, 0, 0)
	r.all, complete = r.all[:0], true
	for _, setting := range c.best {
		fits, ok := r.expand(ch, setting, c.letters)
		complete = complete && ok
		for i := range fits {
			r.all = addDraft(r.all, &fits[i])
		}
		if len(r.all) > maxReadings {
			return r.all[:maxReadings], total - c.most, false
		}
	}
	return r.all, total - c.most, complete
}

// demand collects the demands of a chord and returns the number of tones that
// compete for pedals. There are fewer than 64 demands: each of the twelve pitch
// classes has two strings at most, of which a class of notes may use one, the
// other or both.
func (c *clash) demand(r *reader, ch *chord) (tones int) {
	c.demands, c.letters, c.single, c.must = c.demands[:0], 0, true, 0
	c.met = [Letters][4]uint64{}
	for i := range ch.tones {
		class := ch.tones[i].class
		open := r.open(class)
		if open == 0 {
			continue
		}
		d := demand{ways: r.m.classes[class].ways, tones: 1}
		if open != 3 {
			d.ways[0] = d.ways[open>>1]
			d.ways[1] = d.ways[0]
		}
		if d.ways[0].mask == 0 || d.ways[1].mask == 0 {
			continue // a string without discs asks for no pedal
		}
		if d.ways[0].req > d.ways[1].req {
			d.ways[0], d.ways[1] = d.ways[1], d.ways[0]
		}
		tones++
		k := slices.IndexFunc(c.demands, func(o demand) bool {
			return o.ways[0].req == d.ways[0].req && o.ways[1].req == d.ways[1].req
		})
		if k >= 0 {
			c.demands[k].tones++
			c.single = false
		} else {
			k = len(c.demands)
			c.demands = append(c.demands, d)
		}
		if r.allowed[class]&mustSound != 0 {
			c.must |= 1 << k
		}
	}
	for i, d := range c.demands {
		for _, w := range d.ways {
			c.letters |= w.mask
			c.met[w.Letter][w.req>>(2*w.Letter)] |= 1 << i
		}
	}
	return tones
}

// try tries all positions of the letters from l on.
func (c *clash) try(l Letter, setting uint16, met uint64) {
	for l < Letters && c.letters>>(2*l)&3 == 0 {
		l++
	}
	if l < Letters {
		for pos := uint16(1); pos <= 3; pos++ {
			c.try(l+1, setting|pos<<(2*l), met|c.met[l][pos])
		}
		return
	}
	if c.must&^met != 0 {
		return
	}
	n := bits.OnesCount64(met)
	if !c.single {
		n = 0
		for ; met != 0; met &= met - 1 {
			n += c.demands[bits.TrailingZeros64(met)].tones
		}
	}
	if n > c.most {
		c.most, c.best = n, c.best[:0]
	}
	if n == c.most && len(c.best) <= maxReadings {
		c.best = append(c.best, setting)
	}
}
