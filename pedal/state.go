package pedal

import (
	"math/bits"
)

const (
	lowBits = 0x1555 // the lower bit of each letter in a packed setting
	unset   = 0      // a pedal that nothing has needed yet
)

// A state is all that the past of a plan can mean to its future.
type state struct {
	pos     uint16         // packed setting; unset where a pedal may still stand anywhere
	held    uint16         // low bit of each letter that is still held, as release tells
	feet    [2]int32       // index of each foot's state; 0 where feet do not count
	habit   int32          // index of how names were last spelt; 0 where names do not count
	release [Letters]int32 // the chord that frees each letter; 0 if it is free
}

// set returns the low bit of each letter that is set in a packed setting.
func set(pos uint16) uint16 { return (pos | pos>>1) & lowBits }

// apart returns the low bits of the letters that stand at flat, natural and sharp.
func apart(pos uint16) (flat, natural, sharp uint16) {
	a, b := pos&lowBits, pos>>1&lowBits
	return a &^ b, b &^ a, a & b
}

// moved compares two packed settings within the letters of mask: the low bit of
// each letter that differs and was set before, and how far they move in all.
func moved(from, to, mask uint16) (letters uint16, notches int) {
	x := (from ^ to) & mask
	letters = (x | x>>1) & set(from)
	// Flat, natural and sharp are 1, 2 and 3: only flat and sharp differ by 2.
	far := x >> 1 &^ x & letters
	return letters, bits.OnesCount16(letters) + bits.OnesCount16(far)
}

func pack(s Setting) (pos uint16) {
	for l, p := range s {
		pos |= uint16(p+2) << (2 * l)
	}
	return pos
}

// An entry is a state with the least that a plan can have cost to reach it.
type entry struct {
	state
	wanted uint16 // see mentions.wanted
	cost   weight
}

// A node is the way to an entry: from which entry before the chord, by which
// reading of the chord, and how many changes each foot rushes for it.
type node struct {
	parent, reading int32
	rushed          [2]uint8
}

// An arrival is an entry and the way to it.
type arrival struct {
	entry
	node
}

// A frontier collects the states that a chord leads to.
type frontier struct {
	list  []arrival
	table []int32 // open addressing; index into list + 1
}

func (f *frontier) reset() {
	if len(f.list)*4 > len(f.table) || len(f.table) > 1<<12 && len(f.list)*64 < len(f.table) {
		size := 64
		for size < len(f.list)*4 {
			size *= 2
		}
		f.table = make([]int32, size)
	} else {
		clear(f.table)
	}
	f.list = f.list[:0]
}

// add puts an entry into the frontier unless its state is there at no more cost.
func (f *frontier) add(e *arrival) {
	if len(f.list)*2 >= len(f.table) {
		f.grow()
	}
	for h := e.hash() & uint32(len(f.table)-1); ; h = (h + 1) & uint32(len(f.table)-1) {
		i := f.table[h]
		if i == 0 {
			f.list = append(f.list, *e)
			f.table[h] = int32(len(f.list))
			return
		}
		if old := &f.list[i-1]; old.same(&e.state) {
			if e.cost.less(old.cost) {
				*old = *e
			}
			return
		}
	}
}

func (f *frontier) grow() {
	f.table = make([]int32, max(64, 2*len(f.table)))
	for i := range f.list {
		h := f.list[i].hash() & uint32(len(f.table)-1)
		for f.table[h] != 0 {
			h = (h + 1) & uint32(len(f.table)-1)
		}
		f.table[h] = int32(i + 1)
	}
}

func (s *state) same(o *state) bool {
	return s.pos == o.pos && s.held == o.held && s.feet == o.feet && s.habit == o.habit && (s.held == 0 || s.release == o.release)
}

// Odd factors, without a pattern, that spread the bits of what is hashed.
var spread = [...]uint64{0x9e3779b97f4a7c15, 0xc2b2ae3d27d4eb4f, 0x165667b19e3779f9, 0xd6e8feb86659fd93}

func (s *state) hash() uint32 {
	h := (uint64(s.pos)|uint64(s.held)<<16|uint64(uint32(s.feet[0]))<<32)*spread[0] + (uint64(uint32(s.feet[1]))|uint64(uint32(s.habit))<<32)*spread[1]
	if s.held != 0 {
		r := &s.release
		h ^= h >> 29
		h += (uint64(r[0])|uint64(r[1])<<32)*spread[0] + (uint64(r[2])|uint64(r[3])<<32)*spread[1] +
			(uint64(r[4])|uint64(r[5])<<32)*spread[2] ^ uint64(r[6])
		h *= spread[0]
	}
	return uint32(h >> 32)
}
