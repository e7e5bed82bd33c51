package musicxml

import "pedalogue/musicxml/internal/xmltext"

// harmony reads a chord symbol. Nothing that sounds depends on it, so what cannot
// be read is left out without a word.
func (r *reader) harmony(p *partReader, e *xmltext.Element) error {
	h := Harmony{Measure: p.measure, Onset: p.cursor, Staff: 1, Start: e.Start}
	if o := e.Child("offset"); o != nil {
		var err error
		if h.Onset, err = p.offset(o); err != nil {
			return err
		}
	}
	if n, ok := whole(e.ChildText("staff")); ok && n >= 1 && n <= mostStaves {
		h.Staff = n
	}
	begun := false
	for c := e.First; c != nil; c = c.Next {
		switch c.Name {
		case "root", "numeral", "function":
			if begun {
				p.part.Harmonies = append(p.part.Harmonies, h)
			}
			begun = true
			h.Root, h.Kind, h.Text, h.Bass, h.Degrees = chordStep(c, "root"), "", "", nil, nil
		case "kind":
			h.Kind, h.Text = c.Trimmed(), c.Attr("text")
		case "bass":
			h.Bass = chordStep(c, "bass")
		case "degree":
			d := Degree{Type: c.ChildText("degree-type")}
			d.Value, _ = whole(c.ChildText("degree-value"))
			d.Alter, _ = ParseDecimal(c.ChildText("degree-alter"))
			h.Degrees = append(h.Degrees, d)
		}
	}
	if begun {
		p.part.Harmonies = append(p.part.Harmonies, h)
	}
	return nil
}

// chordStep reads the root or bass of a chord; nil if it is none.
func chordStep(e *xmltext.Element, name string) *KeyStep {
	step := e.ChildText(name + "-step")
	if len(step) != 1 || step[0] < 'A' || step[0] > 'G' {
		return nil
	}
	k := KeyStep{Step: step[0]}
	if a := e.Child(name + "-alter"); a != nil {
		alter, ok := ParseDecimal(a.Text)
		if !ok || !alter.OK() {
			return nil
		}
		k.Alter = alter
	}
	return &k
}
