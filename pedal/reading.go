package pedal

import (
	"slices"
	"time"
)

// A reading is one way to play a chord: which pedals it needs and which tone
// lasts longest on each letter. It says all that the rest of the music can tell
// of the choice: each tone takes the cheapest string that the pedals offer and
// that does not lengthen a letter's hold.
type reading struct {
	req, mask uint16                 // the positions asked for; as way
	first     [Letters]int16         // the tone that lasts longest on each letter of mask, as index + 1; 0 elsewhere
	release   [Letters]int32         // its release
	until     [Letters]time.Duration // when the letter's tones have ended; known only where feet count
	cost      weight                 // respelt tones and ties
}

// maxReadings bounds the readings of one chord. Real chords have fewer than a
// dozen; only clusters over many octaves come near.
const maxReadings = 1024

// A reader lists the readings of chords. Its lists are reused from chord to
// chord.
type reader struct {
	m       *music
	scale   *scale
	allowed []uint8 // for each class, bits of the ways that are open
	prefer  []int8  // for each class, the way to prefer among equals + 1, or 0; may be nil
	feet    bool    // feet count

	list, next []reading
	all        []reading
	best       []uint16 // settings that sound as many tones as any
}

// wayCost is what playing a tone of a class in a way adds to the cost.
func (r *reader) wayCost(c int32, w int) weight {
	var cost weight
	way := &r.m.classes[c].ways[w]
	if way.respelt {
		cost = r.scale.respelt
	}
	if way.mask != 0 && way.Position == Sharp {
		cost = cost.plus(r.scale.sharp)
	}
	if r.prefer != nil && r.prefer[c] != 0 && int(r.prefer[c]) != w+1 {
		cost = cost.plus(r.scale.against)
	}
	return cost
}

// readings returns all readings of a chord that sound as many of its tones as
// can sound together, but for those that another is never worse than; and how
// many tones stay unsounded. The list is valid until the next call. It is not
// complete if the chord has more than maxReadings.
//
// No plan gains by dropping more: a pedal can always be moved to where the next
// chord needs it, at a cost that ranks below an unsounded note.
func (r *reader) readings(ch *chord) (list []reading, dropped int, complete bool) {
	silent := 0
	for i := range ch.tones {
		if r.allowed[ch.tones[i].class] == 0 {
			silent++
		}
	}
	list, complete = r.expand(ch, 0, 0)
	if len(list) == 0 {
		var lost int
		lost, complete = r.clash(ch)
		silent += lost
		list = r.all
	}
	for i := range list {
		r.finish(ch, &list[i])
	}
	return r.prune(list), silent, complete
}

// expand lists the readings in which every tone sounds; none if some tones
// exclude each other. With a setting given, it lists instead the readings that
// fit into it, and tones that do not fit stay unsounded.
func (r *reader) expand(ch *chord, setting, letters uint16) (list []reading, complete bool) {
	list, next := append(r.list[:0], reading{}), r.next[:0]
	complete = true
	for ti := range ch.tones {
		c := ch.tones[ti].class
		open := r.allowed[c]
		if open == 0 {
			continue
		}
		cl := &r.m.classes[c]
		cheap := r.cheapest(c, open)
		next = next[:0]
		for li := range list {
			from := &list[li]
			if w := &cl.ways[cheap]; (from.req^w.req)&w.mask == 0 && w.mask&^from.mask == 0 && (setting^w.req)&w.mask&letters == 0 {
				next = addReading(next, from)
				continue
			}
			kept := false
			for wi := range int(cl.n) {
				w := &cl.ways[wi]
				if open>>wi&1 == 0 || (setting^w.req)&w.mask&letters != 0 || (from.req^w.req)&w.mask&from.mask != 0 {
					continue
				}
				to := *from
				if w.mask&^from.mask != 0 {
					to.req |= w.req
					to.mask |= w.mask
					to.first[w.Letter] = int16(ti + 1)
				}
				next = addReading(next, &to)
				kept = true
			}
			if !kept && letters != 0 {
				next = addReading(next, from)
			}
		}
		if len(next) > maxReadings {
			next, complete = next[:maxReadings], false
		}
		list, next = next, list
	}
	r.list, r.next = list, next
	return list, complete
}

// cheapest returns the least costly way of a class among the open ones.
func (r *reader) cheapest(c int32, open uint8) int {
	if open&(open-1) == 0 {
		return int(open >> 1)
	}
	if r.wayCost(c, 1).less(r.wayCost(c, 0)) {
		return 1
	}
	return 0
}

// addReading appends a reading unless it is in the list. Longer lists may keep
// doubles; they cost time, not correctness.
func addReading(list []reading, r *reading) []reading {
	for i := max(0, len(list)-64); i < len(list); i++ {
		if o := &list[i]; o.req == r.req && o.mask == r.mask && o.first == r.first {
			return list
		}
	}
	return append(list, *r)
}

// clash lists in r.all the readings of a chord whose tones exclude each other,
// and returns how many tones the best of them must drop. Every one of them fits
// into a whole setting that sounds as many tones as any setting can.
func (r *reader) clash(ch *chord) (lost int, complete bool) {
	demands, total := r.demands(ch)
	most := -1
	r.best = r.best[:0]
	var letters uint16
	for _, d := range demands {
		letters |= d.ways[0].mask | d.ways[1].mask
	}
	var visit func(l Letter, setting uint16)
	visit = func(l Letter, setting uint16) {
		if l == Letters {
			n := 0
			for i := range demands {
				if demands[i].fits(setting) {
					n += demands[i].tones
				}
			}
			if n > most {
				most, r.best = n, r.best[:0]
			}
			if n == most {
				r.best = append(r.best, setting)
			}
			return
		}
		if letters>>(2*l)&3 == 0 {
			visit(l+1, setting)
			return
		}
		for pos := uint16(1); pos <= 3; pos++ {
			visit(l+1, setting|pos<<(2*l))
		}
	}
	visit(0, 0)
	r.all, complete = r.all[:0], true
	for _, setting := range r.best {
		list, ok := r.expand(ch, setting, letters)
		complete = complete && ok
		for i := range list {
			r.all = addReading(r.all, &list[i])
		}
		if len(r.all) > maxReadings {
			r.all, complete = r.all[:maxReadings], false
			break
		}
	}
	return total - most, complete
}

// A demand is all tones of a chord that the same strings can sound.
type demand struct {
	ways  [2]struct{ req, mask uint16 }
	tones int
}

func (d *demand) fits(setting uint16) bool {
	return (setting^d.ways[0].req)&d.ways[0].mask == 0 || (setting^d.ways[1].req)&d.ways[1].mask == 0
}

// demands merges the tones of a chord that can sound at all.
func (r *reader) demands(ch *chord) (list []demand, tones int) {
	for i := range ch.tones {
		c := ch.tones[i].class
		open := r.allowed[c]
		if open == 0 {
			continue
		}
		d := demand{tones: 1}
		for w := range d.ways {
			v := w
			if open>>w&1 == 0 {
				v = 1 - w
			}
			d.ways[w].req, d.ways[w].mask = r.m.classes[c].ways[v].req, r.m.classes[c].ways[v].mask
		}
		tones++
		k := slices.IndexFunc(list, func(o demand) bool { return o.ways == d.ways })
		if k < 0 {
			list = append(list, d)
		} else {
			list[k].tones++
		}
	}
	return list, tones
}

// choose returns the way in which a reading plays a tone, or -1 if it does not.
func (r *reader) choose(ch *chord, rd *reading, ti int) int {
	c := ch.tones[ti].class
	open := r.allowed[c]
	best, least := -1, weight{}
	for wi := range int(r.m.classes[c].n) {
		w := &r.m.classes[c].ways[wi]
		if open>>wi&1 == 0 || w.mask&^rd.mask != 0 || (rd.req^w.req)&w.mask != 0 {
			continue
		}
		if w.mask != 0 {
			first := int(rd.first[w.Letter]) - 1
			if first == ti {
				return wi // the reading rests on it
			}
			if first > ti {
				continue // it would lengthen the hold
			}
		}
		if cost := r.wayCost(c, wi); best < 0 || cost.less(least) {
			best, least = wi, cost
		}
	}
	return best
}

// finish fills in cost and releases.
func (r *reader) finish(ch *chord, rd *reading) {
	rd.cost = weight{}
	for ti := range ch.tones {
		w := r.choose(ch, rd, ti)
		if w < 0 {
			continue
		}
		c := ch.tones[ti].class
		rd.cost = rd.cost.plus(r.wayCost(c, w))
		if way := &r.m.classes[c].ways[w]; r.feet && way.mask != 0 {
			rd.until[way.Letter] = max(rd.until[way.Letter], ch.tones[ti].until)
		}
	}
	for l, ti := range rd.first {
		if ti != 0 {
			rd.release[l] = ch.tones[ti-1].release
		}
	}
}

// prune removes the readings that another is never worse than: it asks for no
// pedal that the other does not, holds no letter longer and costs no more.
// Where feet count, moving a pedal early can be an advantage, so there both
// must ask for the same pedals; and times of release in seconds must agree too.
func (r *reader) prune(list []reading) []reading {
	if len(list) > 64 {
		return list
	}
	kept := list[:0]
	for i := range list {
		if !slices.ContainsFunc(kept, func(o reading) bool { return r.beats(&o, &list[i]) }) {
			x := list[i]
			kept = slices.DeleteFunc(kept, func(o reading) bool { return r.beats(&x, &o) })
			kept = append(kept, x)
		}
	}
	return kept
}

func (r *reader) beats(a, b *reading) bool {
	if a.mask&^b.mask != 0 || (a.req^b.req)&a.mask != 0 || b.cost.less(a.cost) {
		return false
	}
	if r.feet && a.mask != b.mask {
		return false
	}
	for l := range a.release {
		if a.first[l] == 0 {
			continue
		}
		if a.release[l] > b.release[l] || r.feet && a.until[l] > b.until[l] {
			return false
		}
	}
	return true
}
