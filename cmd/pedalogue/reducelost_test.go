package main

import (
	"fmt"
	"io"
	"math/big"
	"strings"
	"testing"

	"github.com/beevik/etree"
)

// What follows tells, from the score's own notes and time signatures, which notes are of the
// melody and of the bass: at every attack.

// isMelody tells whether a note is the highest that is attacked on staff 1, and no higher one
// is held there. Grace notes are attacks of their own; of those in two voices at one
// place, whose order the file does not tell, the highest alone is.
func isMelody(notes []plainNote, i int) bool {
	n := notes[i]
	if n.pitch == "" || n.tied || n.staff != 1 {
		return false
	}
	for k, o := range notes {
		if k == i || o.pitch == "" || o.staff != 1 || o.measure != n.measure || semitones(o.pitch) <= semitones(n.pitch) {
			continue
		}
		together := o.onset == n.onset && o.grace == n.grace && (o.voice != n.voice || o.turn == n.turn)
		if together || !o.grace && spans(o, n.onset) {
			return false
		}
	}
	return true
}

// isBass tells whether a note is the lowest that is attacked at a beat.
func isBass(notes []plainNote, beats []plainBeat, i int) bool {
	n := notes[i]
	if n.pitch == "" || n.tied || n.grace || n.measure >= len(beats) || !beats[n.measure].at(n.onset) {
		return false
	}
	for _, o := range notes {
		if o.pitch != "" && !o.tied && !o.grace && o.measure == n.measure && o.onset == n.onset && semitones(o.pitch) < semitones(n.pitch) {
			return false
		}
	}
	return true
}

// spans tells whether a note sounds at a time of its measure, after its beginning.
func spans(n plainNote, at string) bool {
	from, _ := new(big.Rat).SetString(n.onset)
	length, _ := new(big.Rat).SetString(n.length)
	time, _ := new(big.Rat).SetString(at)
	return from.Cmp(time) < 0 && time.Cmp(new(big.Rat).Add(from, length)) < 0
}

// A plainBeat is where the beats of a measure are, in quarter notes: the first, and from
// one to the next.
type plainBeat struct{ first, step *big.Rat }

func (b plainBeat) at(onset string) bool {
	at, _ := new(big.Rat).SetString(onset)
	at.Sub(at, b.first)
	return at.Sign() >= 0 && at.Quo(at, b.step).IsInt()
}

// plainBeats reads the beats of a part's measures: the unit of the time signature, three of
// them where the upper number is 6, 9, 12 … over 8 or more; counted from the barline, in a
// short first measure from its end.
func plainBeats(t *testing.T, data []byte, id string) (list []plainBeat) {
	t.Helper()
	doc := etree.NewDocument()
	doc.ReadSettings.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil }
	if err := doc.ReadFromBytes(scoreBytes(t, data)); err != nil {
		t.Fatal(err)
	}
	_, ends := plainScore(t, data, id)
	now, whole := plainBeat{new(big.Rat), big.NewRat(1, 1)}, new(big.Rat)
	for _, p := range doc.Root().SelectElements("part") {
		if p.SelectAttrValue("id", "") != id {
			continue
		}
		for k, m := range p.SelectElements("measure") {
			for _, sign := range m.FindElements("attributes/time") {
				upper, unit := 0, 0
				for _, e := range sign.SelectElements("beats") {
					for _, n := range strings.Split(e.Text(), "+") {
						var by int
						if _, err := fmt.Sscan(n, &by); err == nil {
							upper += by
						}
					}
				}
				if e := sign.SelectElement("beat-type"); e == nil {
					continue
				} else if _, err := fmt.Sscan(e.Text(), &unit); err != nil || upper == 0 {
					continue
				}
				now.step, whole = big.NewRat(4, int64(unit)), big.NewRat(4*int64(upper), int64(unit))
				if upper%3 == 0 && upper > 3 && unit >= 8 {
					now.step = big.NewRat(12, int64(unit))
				}
			}
			b := now
			if length, _ := new(big.Rat).SetString(strings.Fields(ends[k])[0]); k == 0 && length.Cmp(whole) < 0 {
				for length.Cmp(b.step) >= 0 {
					length.Sub(length, b.step)
				}
				b.first = length
			}
			list = append(list, b)
		}
	}
	return list
}

// lost lists the notes of some kind that the copy has not at their place, each pitch once.
func lost(was, is []plainNote, of func(i int) bool) (list []plainNote) {
	key := func(n plainNote) string { return fmt.Sprint(n.measure, " ", n.onset, " ", semitones(n.pitch), n.grace) }
	there := map[string]bool{}
	for _, n := range is {
		if n.pitch != "" && !n.tied {
			there[key(n)] = true
		}
	}
	for i, n := range was {
		if k := key(n); !there[k] && of(i) {
			there[k] = true
			list = append(list, n)
		}
	}
	return list
}

// A plainLoss is how many notes of the melody and of the bass a reduction says that it
// changes, and the notes that it names.
type plainLoss struct {
	left  map[string]int
	names map[string]bool
}

type plainLosses []plainLoss

func lossesOf(t *testing.T, doc *reduceDoc, part int) (list plainLosses) {
	t.Helper()
	for _, r := range doc.Parts[part].Reductions {
		l := plainLoss{map[string]int{"melody": r.Loses.Melody, "bass": r.Loses.Bass}, map[string]bool{}}
		for _, op := range r.Ops {
			index, offset := r.Index, r.Offset
			if op.Index != nil {
				index, offset = *op.Index, op.Offset
			}
			if op.Op != "other-string" && op.Op != "other-hand" && op.Op != "roll" && op.Op != "shorten" {
				l.names[fmt.Sprint(index, " ", offset, " ", op.Note, " ", op.Staff)] = true
			}
		}
		list = append(list, l)
	}
	return list
}

// told tells whether a reduction names a note and has one more of its kind to tell.
func (l plainLosses) told(n plainNote, kind string) bool {
	for _, r := range l {
		if r.names[fmt.Sprint(n.measure, " ", n.onset, " ", n.pitch, " ", n.staff)] && r.left[kind] > 0 {
			r.left[kind]--
			return true
		}
	}
	return false
}
