package part

import (
	"errors"
	"fmt"
	"strings"

	"pedalogue/pedal"
)

// A Keep is what of the music is to stay as it is, and where. The zero value is none.
type Keep struct {
	Text string // as it was given

	pin    Pin // the place
	kind   KeepKind
	name   pedal.Pitch
	octave bool // the name is of one octave
}

// A KeepKind is what stays. The zero value is the melody.
type KeepKind uint8

// What can stay.
const (
	KeepMelody KeepKind = iota
	KeepBass
	KeepAll  // every note, with all that is done to it
	KeepName // the notes of one name
)

// ParseKeeps reads what is to stay: melody, bass, all or names of notes with commas
// between them, behind measures and a colon as pins have them, or for the whole score.
//
//	melody, bass
//	12-20: melody
//	33@2: C♯5, A♭      C♯5 in that octave, and every A♭
//	40: all            nothing is done there at all
func ParseKeeps(text string) (list []Keep, err error) {
	where, what, placed := strings.Cut(text, ":")
	pin := Pin{Text: text, where: everywhere}
	if !placed {
		what = text
	} else {
		at, beat, on := strings.Cut(where, "@")
		if pin.where = strings.TrimSpace(at); pin.where == "" {
			return nil, errors.New("no measure is named")
		}
		if pin.beat, placed = parseBeat(beat); on && !placed {
			return nil, fmt.Errorf("%q is no beat", strings.TrimSpace(beat))
		}
	}
	for item := range strings.SplitSeq(what, ",") {
		k := Keep{Text: text, pin: pin}
		switch item = strings.TrimSpace(item); item {
		case "melody":
			k.kind = KeepMelody
		case "bass":
			k.kind = KeepBass
		case "all":
			k.kind = KeepAll
		default:
			name, rest, ok := cutName(item)
			if !ok || rest != "" && (len(rest) != 1 || rest[0] < '0' || rest[0] > '9') {
				return nil, fmt.Errorf("%q is none of melody, bass, all and the name of a note", item)
			}
			if k.kind, k.name = KeepName, name; rest != "" {
				k.name.Octave, k.octave = int(rest[0]-'0'), true
			}
		}
		list = append(list, k)
	}
	return list, nil
}

// Kept lists the notes of the passage that something that is to stay is about, each with
// its kind: of the melody and the bass all notes at the place, of which the caller
// knows which are. The error is a place that the score has not.
func (p *Part) Kept(k *Keep) (notes []int, kind KeepKind, err error) {
	at, err := p.span(&k.pin)
	if err != nil {
		return nil, k.kind, err
	}
	for i := range p.Passage.Notes {
		n, note := &p.Passage.Notes[i], p.Note(i)
		if note == nil || n.Implied || note.Measure < at.first || note.Measure > at.last || !p.onBeat(&k.pin, note) {
			continue
		}
		if k.kind == KeepName && (n.Pitch.Letter != k.name.Letter || n.Pitch.Cents != k.name.Cents || k.octave && n.Pitch.Octave != k.name.Octave) {
			continue
		}
		notes = append(notes, i)
	}
	if len(notes) == 0 && k.pin.where != everywhere {
		return nil, k.kind, p.pinError(at.first, &k.pin, errors.New("nothing of the kind is struck there"))
	}
	return notes, k.kind, nil
}
