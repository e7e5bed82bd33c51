package extract

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"pedalogue/musicxml"
)

// cueMeasures is how many measures before an entrance have cues, where the rest is as
// long. Common practice: two.
const cueMeasures = 2

// A cue is what a player hears before an entrance: measures from up to but not
// including to, as one voice of another part plays them.
type cue struct {
	from, to int
	source   *musicxml.Part
	voice    string
}

// cues finds the entrances after so many measures of rest or more, in written order,
// and what can be heard before them. Where the player's own part has cues already, or
// nobody plays anything that could be followed, there are none.
func (l *layout) cues(player []*musicxml.Part, least int) []cue {
	if least <= 0 {
		return nil
	}
	var list []cue
	rest := 0
	for k := range l.score.Measures {
		if !plays(player, k) {
			rest++
			continue
		}
		if rest >= least {
			c := cue{from: k - min(rest, cueMeasures), to: k}
			if l.chooseSource(&c, player) {
				list = append(list, c)
			}
		}
		rest = 0
	}
	return list
}

// plays reports whether one of the parts has anything but rests in a measure.
func plays(parts []*musicxml.Part, measure int) bool {
	return slices.ContainsFunc(parts, func(p *musicxml.Part) bool {
		_, notes := p.NotesOf(measure)
		return slices.ContainsFunc(notes, func(n musicxml.Note) bool { return n.Kind != musicxml.Rest })
	})
}

// chooseSource chooses whose music a cue shows, by what stands out for a player in an
// orchestra: of the voices that move in each of its measures and sound for half of it
// or more, those of wind players and singers before strings, strings before all
// others, and among them the highest, by the mean of its notes. At the same height the
// part that stands first in the score. Common practice.
func (l *layout) chooseSource(c *cue, player []*musicxml.Part) bool {
	best := melody{family: len(families)}
	for _, p := range l.score.Parts {
		if slices.Contains(player, p) {
			continue
		}
		for _, voice := range voicesIn(p, c.from, c.to) {
			m, ok := l.melodyOf(p, voice, c)
			if ok && (m.family < best.family || m.family == best.family && best.height.Less(m.height)) {
				best = m
				c.source, c.voice = p, voice
			}
		}
	}
	return c.source != nil
}

// A melody is how a voice is heard.
type melody struct {
	family int
	height musicxml.Frac // the mean of its notes, in semitones from C0
}

// voicesIn are the voices of a part in measures, in the order in which they come.
func voicesIn(p *musicxml.Part, from, to int) []string {
	var list []string
	for k := from; k < to; k++ {
		_, notes := p.NotesOf(k)
		for i := range notes {
			if !slices.Contains(list, notes[i].Voice) {
				list = append(list, notes[i].Voice)
			}
		}
	}
	return list
}

// melodyOf tells how a voice is heard in the measures of a cue; ok is false where it
// cannot be followed.
func (l *layout) melodyOf(p *musicxml.Part, voice string, c *cue) (m melody, ok bool) {
	m.family = familyOf(p)
	var sounding, window, heights musicxml.Frac
	count := int64(0)
	for k := c.from; k < c.to; k++ {
		attacks := 0
		for _, n := range topLine(p, voice, k) {
			if n.Kind != musicxml.Sounding {
				if n.Kind == musicxml.Unpitched {
					return m, false
				}
				continue
			}
			sounding = sounding.Add(n.Length)
			heights = heights.Add(height(concert(p, n)))
			count++
			if !n.Tied {
				attacks++
			}
		}
		if attacks == 0 {
			return m, false
		}
		window = window.Add(l.score.Measures[k].Length)
	}
	m.height = heights.Div(musicxml.NewFrac(count, 1))
	return m, !sounding.Add(sounding).Less(window)
}

// topLine are the notes and rests of a voice in a measure, in order of time: of each
// chord the highest note, and no grace notes.
func topLine(p *musicxml.Part, voice string, measure int) []*musicxml.Note {
	_, notes := p.NotesOf(measure)
	var line []*musicxml.Note
	byHead := map[int]int{} // index into line
	for i := range notes {
		n := &notes[i]
		if n.Voice != voice || n.Length.Sign() == 0 || n.Kind == musicxml.Cue {
			continue
		}
		j, known := byHead[n.Head]
		switch {
		case !known:
			byHead[n.Head] = len(line)
			line = append(line, n)
		case height(line[j].Pitch).Less(height(n.Pitch)):
			line[j] = n
		}
	}
	slices.SortStableFunc(line, func(a, b *musicxml.Note) int { return a.Onset.Cmp(b.Onset) })
	return line
}

// height is how high a pitch is, in semitones from C0.
func height(p musicxml.Pitch) musicxml.Frac {
	steps := strings.IndexByte("C D EF G A B", p.Step)
	return musicxml.NewFrac(int64(12*p.Octave+steps), 1).Add(p.Alter)
}

// concert is the sounding pitch of a note of a transposing instrument, as it is
// written for one that does not.
func concert(p *musicxml.Part, n *musicxml.Note) musicxml.Pitch {
	var by musicxml.Interval
	for _, t := range p.Transposes {
		if n.Onset.Less(t.Onset) || t.Staff != 0 && t.Staff != n.Staff {
			continue
		}
		diatonic := t.Diatonic
		if diatonic == 0 && t.Chromatic%12 != 0 {
			diatonic = stepsOf(t.Chromatic)
		}
		by = musicxml.Interval{Semitones: t.Chromatic + 12*t.Octave, Steps: diatonic + 7*t.Octave}
	}
	return by.Move(n.Pitch)
}

// stepsOf is by how many steps instruments transpose that transpose by semitones, for
// files that do not say.
func stepsOf(semitones int) int {
	steps := [...]int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6}
	n := max(semitones, -semitones)
	n = n/12*7 + steps[n%12]
	if semitones < 0 {
		return -n
	}
	return n
}

// A family is what stands out alike. Sounds are the beginnings of an instrument-sound
// (MusicXML, sounds.xml), programs those of General MIDI level 1, from 1.
type family struct {
	sounds   []string
	programs [][2]int
	names    func() *regexp.Regexp
}

// families, those first that are heard best; what is in none of them comes last.
var families = []family{
	{[]string{"wind.", "brass.", "voice."}, [][2]int{{53, 55}, {57, 80}},
		onWish(`(?i)fl[uaö]|picc|\bob|haut|cor\b|horn|clar|klar|bas+o[on]|fag|basson|sax|tr[uo]m|posaun|tuba|` +
			`voice|voix|stimme|gesang|canto|sopr|mezzo|tenor|bariton|chor`)},
	{[]string{"strings."}, [][2]int{{41, 45}, {49, 52}}, onWish(`(?i)viol|vln|vla|alto|cell|vcl|bass|string|geige|bratsche|streich`)},
}

// familyOf is the index of a part's family: by the sound of its first instrument, else
// by the program, else by its name.
func familyOf(p *musicxml.Part) int {
	var in musicxml.Instrument
	if len(p.Instruments) > 0 {
		in = p.Instruments[0]
	}
	switch {
	case in.Sound != "":
		return familyWhere(func(f *family) bool {
			return slices.ContainsFunc(f.sounds, func(s string) bool { return strings.HasPrefix(in.Sound, s) })
		})
	case in.Program > 0:
		return familyWhere(func(f *family) bool {
			return slices.ContainsFunc(f.programs, func(r [2]int) bool { return r[0] <= in.Program && in.Program <= r[1] })
		})
	}
	return familyWhere(func(f *family) bool { return f.names().MatchString(p.Name) })
}

// familyWhere is the index of the first family that is so; that behind the last for
// what is in none, the keyboard and its like.
func familyWhere(is func(*family) bool) int {
	for i := range families {
		if is(&families[i]) {
			return i
		}
	}
	return len(families)
}

// cueName is how a cue says whose music it is.
func cueName(p *musicxml.Part) string { return cmp.Or(p.Name, p.Abbreviation, p.ID) }
