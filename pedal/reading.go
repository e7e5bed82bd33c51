package pedal

import (
	"slices"
	"time"
)

// A draft says which pedals a chord is played with, and which tone lasts longest
// on each letter. Each other tone takes the cheapest string that the pedals offer
// and that does not lengthen a letter's hold, nor gives its name another letter.
type draft struct {
	req, mask uint16         // the positions asked for; as way
	first     [Letters]int16 // the tone that lasts longest on each letter of mask, as index + 1; 0 elsewhere
	letters   uint64         // of the names, as in wording; 0 where names do not count
}

// A reading is one way to play a chord: all that the rest of the music can tell
// of a draft.
type reading struct {
	req, mask uint16         // as in draft
	demand    [2]uint16      // of each foot, as index into listing.demands
	word      uint16         // as index into listing.words
	release   [Letters]int32 // of the tone that lasts longest on each letter
	longest   int32          // the last of release
	// Low bits of the letters that the chord could be played without, at no more
	// cost: they are asked for only where that may gain time (see gain).
	extra uint16
}

// A candidate is a draft that may become a reading.
type candidate struct {
	draft
	release [Letters]int32
	until   [Letters]time.Duration // when the letter's tones have ended; known only where feet count
	ways    []int8                 // of each tone the way that plays it; -1 for none
	words   wording                // zero where names do not count
	tally   weight                 // what its ways cost, see wayCost
	extra   uint16                 // as in reading
}

// A listing holds the readings of a chord under certain restrictions.
type listing struct {
	under    []uint8 // what the classes of the tones are restricted to, see reader.rule
	home     uint16  // of a restart: the first setting as far as it is decided
	list     []reading
	tallies  []weight        // of each reading what its ways cost, see reader.wayCost
	ways     []int8          // of each reading and tone the way that plays it; -1 for none
	demands  [2][]footDemand // what the readings ask of each foot; empty where feet do not count
	words    []wording       // of the readings, each once; empty where names do not count
	dropped  int             // tones that stay unsounded
	complete bool

	always uint16    // letters (as in draft.mask) that every reading asks for
	asked  [3]uint16 // low bits of the letters that some reading asks for at flat, natural and sharp
	needed [3]uint16 // the same but for letters that are extra
}

// maxReadings bounds the readings of one chord. Chords of real music have fewer
// than a hundred; only clusters come near.
const maxReadings = 256

// A reader lists the readings of chords. Its lists are reused from chord to
// chord.
type reader struct {
	m       *music
	allowed []uint8 // for each class, bits of the ways that are open, and mustSound
	prefer  []uint8 // for each class, the way to prefer among equals + 1, 3 to leave it out, or 0
	home    uint16  // the first setting as far as it is decided, packed
	feet    bool    // feet count
	gains   []gain  // of each chord; known only where feet count
	names   bool    // it counts on which string each name is

	gain            gain // of the chord that is being read
	list, next, all []draft
	out             []candidate
	ways            []int8 // of the readings in out
	demands         [2][]footDemand
	words           []wording
	kept            struct {
		rules    arena[uint8]
		listings arena[listing]
		readings arena[reading]
		tallies  arena[weight]
		ways     arena[int8]
		demands  arena[footDemand]
		words    arena[wording]
	}
	clash clash
}

// mustSound, in reader.allowed, tells that a class may not be left out.
const mustSound = 1 << 2

// open returns the bits of the ways that are open to a class.
func (r *reader) open(class int32) uint8 { return r.allowed[class] &^ mustSound }

// What the ways of a reading cost is tallied before it is weighed, the same in
// all modes: respelt tones outweigh ways against the preferred one, and these
// outweigh tones on a string at sharp.
var (
	oneRespelt = weight{hi: 1}
	oneAgainst = weight{lo: 1 << 32}
	oneSharp   = weight{lo: 1}
)

// weigh turns a tally into its weight.
func (s *scale) weigh(tally weight) weight {
	return s.respelt.times(int(tally.hi)).plus(s.against.times(int(tally.lo >> 32))).plus(s.sharp.times(int(tally.lo & (1<<32 - 1))))
}

// wayCost tallies what playing a tone of a class in a way adds to the cost.
func (r *reader) wayCost(c int32, w int) (tally weight) {
	way := &r.m.classes[c].ways[w]
	if way.respelt {
		tally = oneRespelt
	}
	if way.mask != 0 && way.Position == Sharp {
		tally = tally.plus(oneSharp)
	}
	if p := r.prefer[c]; p != 0 && int(p) != w+1 {
		tally = tally.plus(oneAgainst)
	}
	return tally
}

// rule is what a class is restricted to, in one byte.
func (r *reader) rule(class int32) uint8 { return r.allowed[class] | r.prefer[class]<<4 }

// follows tells whether a listing of a chord was made under the restrictions in
// force.
func (r *reader) follows(l *listing, ch *chord) bool {
	if ch.restart {
		return l.home == r.home
	}
	for i := range ch.tones {
		if l.under[i] != r.rule(ch.tones[i].class) {
			return false
		}
	}
	return true
}

// read lists all readings of a chord that sound as many of its tones as can sound
// together, but for those that another is never worse than. The listing is not
// complete if the chord has more than maxReadings, and has no reading if tones that
// must sound exclude each other.
//
// No plan gains by dropping more, passes being free to drop what they like: a pedal
// can always be moved to where the next chord needs it, at a cost that ranks below
// an unsounded note.
func (r *reader) read(k int) *listing {
	ch := &r.m.chords[k]
	r.gain = gain{}
	if r.feet {
		r.gain = r.gains[k]
	}
	l := &r.kept.listings.take(1)[0]
	if ch.restart {
		l.home, l.complete = r.home, true
		r.keep(l, []candidate{r.restart(k)}, 0)
		return l
	}
	l.under = r.kept.rules.take(len(ch.tones))
	for i := range ch.tones {
		c := ch.tones[i].class
		l.under[i] = r.rule(c)
		if r.open(c) == 0 {
			l.dropped++
		}
	}
	var drafts []draft
	drafts, l.complete = r.expand(ch, 0, 0)
	if len(drafts) == 0 {
		var lost int
		drafts, lost, l.complete = r.exclude(ch)
		l.dropped += lost
	}
	r.out, r.ways = r.out[:0], r.ways[:0]
	for i := range drafts {
		r.out = append(r.out, r.finish(ch, &drafts[i]))
	}
	r.keep(l, r.prune(r.out), len(ch.tones))
	return l
}

// keep gives a listing its readings, and sums up what they ask for.
func (r *reader) keep(l *listing, list []candidate, tones int) {
	l.list, l.tallies = r.kept.readings.take(len(list)), r.kept.tallies.take(len(list))
	l.ways = r.kept.ways.take(len(list) * tones)[:0]
	r.demands, r.words = [2][]footDemand{r.demands[0][:0], r.demands[1][:0]}, r.words[:0]
	l.always = 1<<(2*Letters) - 1
	for i := range list {
		c := &list[i]
		rd := reading{req: c.req, mask: c.mask, release: c.release, longest: slices.Max(c.release[:]), extra: c.extra}
		if r.feet {
			for f := range Foot(2) {
				rd.demand[f] = r.demand(f, c)
			}
		}
		if r.names {
			rd.word = r.word(&c.words)
		}
		l.list[i], l.tallies[i] = rd, c.tally
		l.ways = append(l.ways, c.ways...)
		l.always &= rd.mask
		flat, natural, sharp := apart(rd.req)
		for p, low := range [3]uint16{flat, natural, sharp} {
			l.asked[p] |= low
			l.needed[p] |= low &^ rd.extra
		}
	}
	for f, demands := range r.demands {
		if slices.Equal(demands, idle) {
			l.demands[f] = idle
			continue
		}
		l.demands[f] = r.kept.demands.take(len(demands))
		copy(l.demands[f], demands)
	}
	l.words = r.kept.words.take(len(r.words))
	copy(l.words, r.words)
}

// idle are the demands on a foot that has no part in a chord.
var idle = make([]footDemand, 1)

// play returns for each tone the way in which a reading plays it; -1 for none.
func (l *listing) play(reading int32) []int8 {
	tones := len(l.under)
	return l.ways[int(reading)*tones:][:tones:tones]
}

// demand returns the index of what a candidate asks of a foot.
func (r *reader) demand(f Foot, c *candidate) uint16 {
	first, n := f.span()
	d := footDemand{req: c.req & f.mask(), mask: c.mask & f.mask()}
	copy(d.until[:n], c.until[first:])
	i := slices.Index(r.demands[f], d)
	if i < 0 {
		i = len(r.demands[f])
		r.demands[f] = append(r.demands[f], d)
	}
	return uint16(i)
}

// word returns the index of a wording.
func (r *reader) word(w *wording) uint16 {
	i := slices.Index(r.words, *w)
	if i < 0 {
		i = len(r.words)
		r.words = append(r.words, *w)
	}
	return uint16(i)
}

// letter is the bit of a way of a tone in a wording; 0 where names do not count.
func (r *reader) letter(t *tone, w int) uint64 {
	if !r.names {
		return 0
	}
	return r.m.word(t, w)
}

// expand lists the readings in which every tone sounds; none if some tones
// exclude each other. With a setting given, it lists instead the readings that
// fit into it, and tones that do not fit stay unsounded.
func (r *reader) expand(ch *chord, setting, letters uint16) (list []draft, complete bool) {
	list, next := append(r.list[:0], draft{}), r.next[:0]
	complete = true
	for ti := range ch.tones {
		c := ch.tones[ti].class
		open := r.open(c)
		if open == 0 {
			continue
		}
		cl := r.m.classes[c]
		cheap := r.cheapest(c, open)
		next = next[:0]
		for li := range list {
			from := &list[li]
			if w := &cl.ways[cheap]; (from.req^w.req)&w.mask == 0 && w.mask&^from.mask == 0 && (setting^w.req)&w.mask&letters == 0 &&
				r.letter(&ch.tones[ti], cheap)&^from.letters == 0 {
				next = addDraft(next, from)
				if open == 3 {
					if o := &cl.ways[1-cheap]; o.mask&^from.mask != 0 && (setting^o.req)&o.mask&letters == 0 && r.gain.has(o.req) {
						to := from.with(o, ti)
						to.letters |= r.letter(&ch.tones[ti], 1-cheap)
						next = addDraft(next, &to)
					}
				}
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
					to = from.with(w, ti)
				}
				to.letters |= r.letter(&ch.tones[ti], wi)
				next = addDraft(next, &to)
				kept = true
			}
			if !kept && letters != 0 {
				next = addDraft(next, from)
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

// with is the draft with one more letter, on which tone ti lasts longest.
func (d *draft) with(w *way, ti int) draft {
	to := *d
	to.req |= w.req
	to.mask |= w.mask
	to.first[w.Letter] = int16(ti + 1)
	return to
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

// addDraft appends a draft unless it is in the list. Longer lists may keep
// doubles; they cost time, not correctness.
func addDraft(list []draft, d *draft) []draft {
	for i := max(0, len(list)-64); i < len(list); i++ {
		if list[i] == *d {
			return list
		}
	}
	return append(list, *d)
}

// choose returns the way in which a reading plays a tone, or -1 if it does not.
func (r *reader) choose(ch *chord, rd *draft, ti int) int {
	c := ch.tones[ti].class
	open := r.open(c)
	best, least := -1, weight{}
	for wi := range int(r.m.classes[c].n) {
		w := &r.m.classes[c].ways[wi]
		if open>>wi&1 == 0 || w.mask&^rd.mask != 0 || (rd.req^w.req)&w.mask != 0 || r.letter(&ch.tones[ti], wi)&^rd.letters != 0 {
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

// finish makes a candidate of a draft.
func (r *reader) finish(ch *chord, d *draft) candidate {
	rd := candidate{draft: *d}
	from, letters := len(r.ways), uint64(0)
	for ti := range ch.tones {
		w := r.choose(ch, d, ti)
		r.ways = append(r.ways, int8(w))
		c := ch.tones[ti].class
		if w < 0 {
			if p := r.prefer[c]; p == 1 || p == 2 {
				rd.tally = rd.tally.plus(oneAgainst)
			}
			continue
		}
		rd.tally = rd.tally.plus(r.wayCost(c, w))
		letters |= r.letter(&ch.tones[ti], w)
		if way := &r.m.classes[c].ways[w]; r.feet && way.mask != 0 {
			rd.until[way.Letter] = max(rd.until[way.Letter], ch.tones[ti].until)
		}
	}
	for l, ti := range d.first {
		if ti != 0 {
			rd.release[l] = ch.tones[ti-1].release
		}
	}
	rd.ways, rd.words = r.ways[from:], r.m.naming.wording(letters)
	return rd
}

// prune removes the readings that another is never worse than: it asks for no
// pedal that the other does not, holds no letter longer, in ticks and in seconds,
// and costs no more. Where feet count, it can be an advantage to ask for a pedal
// (see gain): then it keeps the reading, and marks the letters that it could do
// without. Where names count, a reading must make up for the switches that its
// wording may cost.
func (r *reader) prune(list []candidate) []candidate {
	if len(list) <= 1 {
		return list
	}
	kept := list[:0]
	for i := range list {
		x := list[i]
		beaten := false
		for j := range kept {
			beaten = beaten || r.beats(&kept[j], &x)
		}
		if !beaten {
			kept = slices.DeleteFunc(kept, func(o candidate) bool { return r.beats(&x, &o) })
			kept = append(kept, x)
		}
	}
	if !r.feet {
		return kept
	}
	for i := range kept {
		for j := range kept {
			if kept[i].mask != kept[j].mask && r.covers(&kept[j], &kept[i]) {
				kept[i].extra |= set(kept[i].req &^ kept[j].mask)
			}
		}
	}
	return slices.DeleteFunc(kept, func(c candidate) bool {
		return c.extra != 0 && !r.gain.all(c.req&(c.extra|c.extra<<1))
	})
}

// beats tells whether reading a is never worse than b.
func (r *reader) beats(a, b *candidate) bool {
	return (!r.feet || a.mask == b.mask) && r.covers(a, b)
}

// covers tells whether reading a is never worse than b, but for time that b may
// gain by asking for more pedals.
func (r *reader) covers(a, b *candidate) bool {
	if a.mask&^b.mask != 0 || (a.req^b.req)&a.mask != 0 || b.tally.less(a.tally) {
		return false
	}
	if a.words.letters != b.words.letters {
		if n := a.words.worse(&b.words); n > 0 && a.tally.hi+uint64(n*r.m.o.prices().turn) >= b.tally.hi {
			return false
		}
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
