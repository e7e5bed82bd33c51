package report

import (
	"fmt"
	"strconv"

	"pedalogue/pedal"
)

// demo is the report on an invented piece: a key change, a repeat, a glissando
// and one place that cannot be played.
func demo() *Score {
	start := setting("D C B♭ | E♭ F G A♭")
	p := Part{
		ID: "P1", Name: "Harp", Staves: 2, Measures: 8, Notes: 214, Moments: 96,
		Options: Options{Respell: "needed", ChangePrice: 6, SwitchPrice: 2, FootTime: 0.5, MoveTime: 0.2, SoundingTime: 0.1, Implied: true, Strings: "C1-G7", Pins: []string{"6: G♯=A, D♯=E", "6@2½: A♭"}},
		Start:   start,
		Cost:    Cost{Unsounded: 2, Rushed: 2, Respelt: 2, Switches: 2, Changes: 12, Notches: 13},
		Unlike:  1, PinsCost: &Cost{Respelt: 2, Changes: -1},
		Proof: Proof{Minimal: true, Covers: []string{"unsounded", "held", "respelt", "changes"},
			Bound: Cost{Unsounded: 2, Respelt: 2, Switches: 2, Changes: 12, Notches: 13}},
		Choices: []Choice{
			{"written", Cost{Unsounded: 6, Held: 1, Rushed: 2, Changes: 14, Notches: 16}},
			{"needed", Cost{Unsounded: 2, Rushed: 2, Respelt: 2, Switches: 2, Changes: 12, Notches: 13}},
			{"balanced", Cost{Unsounded: 2, Rushed: 2, Respelt: 6, Switches: 3, Changes: 9, Notches: 10}},
			{"free", Cost{Unsounded: 2, Respelt: 18, Switches: 11, Changes: 4, Notches: 4}},
		},
		Curve: []Point{{24, 4, 18, 11, true}, {6, 9, 6, 3, true}, {2, 12, 2, 2, false}},
	}
	p.Changes = []Change{
		demoChange(pedal.F, 0, 1, 1, "2", 1, "1", "3/2", 3.0, 4.25, false),
		demoChange(pedal.B, -1, 0, 1, "4", 3, "3", "7/2", 8.75, 9.75, false),
		demoChange(pedal.E, -1, 0, 1, "4", 3, "3", "7/2", 8.75, 9.75, false),
		demoChange(pedal.F, 1, 0, 1, "4", 3, "15/4", "15/4", 9.75, 9.9, true),
		demoChange(pedal.B, 0, -1, 2, "2", 1, "0", "1/2", 10.5, 12.8, false),
		demoChange(pedal.E, 0, -1, 2, "2", 1, "0", "1", 10.5, 13.1, false),
		demoChange(pedal.F, 0, 1, 2, "2", 1, "1", "3/2", 13.1, 14.25, false),
		demoChange(pedal.B, -1, 0, 2, "4", 3, "3", "7/2", 18.75, 19.75, false),
		demoChange(pedal.E, -1, 0, 2, "4", 3, "3", "7/2", 18.75, 19.75, false),
		demoChange(pedal.F, 1, 0, 2, "4", 3, "15/4", "15/4", 19.75, 19.9, true),
		demoChange(pedal.C, 0, 1, 1, "6", 5, "2", "3", 23, 24.5, false),
		demoChange(pedal.A, -1, 1, 1, "X1", 7, "1", "2", 27, 28.75, false),
	}
	p.Bars = demoBars(start, p.Changes)
	p.Respelt = []Respelt{
		{Place{"6", 5, "1/2"}, 1, "G♯4", "A♭4"},
		{Place{"6", 5, "5/2"}, 2, "D♯3", "E♭3"},
	}
	p.Findings = []Finding{
		{"string-clash", SeverityError, Place{"3", 2, "1"}, 1, 2, []string{"C4", "C♯4"},
			"C and C♯ are asked of the C string at once, and D♭ is not free, as the D string plays D.",
			"Leave out the C, or play it an octave lower a beat later.", 1, nil, nil},
		{"rushed", SeverityWarning, Place{"4", 3, "15/4"}, 1, 0, nil,
			"The right foot has 0.2 s for F♮ and needs 0.5 s.", "Take F♮ with the chord before, or slow down.", 3, nil, nil},
		{"string-clash", SeverityError, Place{"3", 2, "1"}, 2, 2, []string{"C4", "C♯4"},
			"C and C♯ are asked of the C string at once, and D♭ is not free, as the D string plays D.",
			"Leave out the C, or play it an octave lower a beat later.", 2, nil, nil},
		{"rushed", SeverityWarning, Place{"4", 3, "15/4"}, 2, 0, nil,
			"The right foot has 0.2 s for F♮ and needs 0.5 s.", "Take F♮ with the chord before, or slow down.", 4, nil, nil},
		{"glissando-setting", SeverityNote, Place{"5", 4, "0"}, 1, 1, []string{"C4", "C6"},
			"The glissando is set from the key signature: no setting is printed and no octave written out.", "", 5, nil, nil},
	}
	lies := LiesOf(40, 5, 2)
	lies.Feet.ToDecide, lies.Hands.ToDecide, lies.Strings.Cannot = ShareOf(3, 40), ShareOf(2, 40), ShareOf(2, 40)
	p.Lies = &lies
	return &Score{
		Head: Head{
			Format: Format, Tool: "pedalogue", Version: "v0.0.0", Path: "scores/evening.musicxml",
			Title: "Evening on the Lake", Output: "scores/evening.pedals.musicxml",
			PlayingOrder: &PlayingOrder{Written: 8, Played: 12},
		},
		Parts: []Part{p},
		Warnings: []Warning{
			{"backup-before-start", "P1", "3", 2, 142, "A backup goes 2 divisions before the start of the measure; the start was taken."},
		},
	}
}

func setting(text string) pedal.Setting {
	s, err := pedal.ParseSetting(text)
	if err != nil {
		panic(err)
	}
	return s
}

// demoBars plays measures 1 to 4 twice, then 5 to 7 and the unnumbered last one.
func demoBars(start pedal.Setting, changes []Change) []Bar {
	order := []struct {
		index, pass     int
		section, repeat string
	}{
		{0, 1, "start", "start"}, {1, 1, "", ""}, {2, 1, "", ""}, {3, 1, "", "end"},
		{0, 2, "repeat", "start"}, {1, 2, "", ""}, {2, 2, "", ""}, {3, 2, "", "end"},
		{4, 1, "glissando", ""}, {5, 1, "key", ""}, {6, 1, "", ""}, {7, 1, "B", "jump"},
	}
	var bars []Bar
	s := start
	for i, o := range order {
		label := strconv.Itoa(o.index + 1)
		if o.index == 7 {
			label = "X1"
		}
		bars = append(bars, Bar{
			Place: Place{label, o.index, "0"}, Pass: o.pass, Length: "4", Beat: "1",
			Setting: s, Sounds: []string{"C", "D", "E♭", "G"}, Section: o.section, Repeat: o.repeat,
			Start: Seconds(2.5 * float64(i)),
		})
		for _, c := range changes {
			if c.Marked.Index == o.index && c.Pass == o.pass {
				s[c.Pedal] = c.To
			}
		}
	}
	return bars
}

func demoChange(l pedal.Letter, from, to pedal.Position, pass int, label string, index int, marked, needed string, free, at Seconds, rushed bool) Change {
	start := max(free, at-0.2)
	if rushed {
		start = at
	}
	return Change{
		Pedal: l, From: from, To: to, Foot: l.Foot(), Pass: pass,
		Marked: Place{label, index, marked}, Needed: Place{label, index, needed},
		Window: [2]Seconds{free, at - 0.2}, At: [2]Seconds{start, start + 0.2}, Rushed: rushed,
	}
}

// long is the report on n measures with three changes in each, and a finding in
// every fourth.
func long(n int) *Score {
	s := demo()
	s.Title, s.PlayingOrder = "The Long Road", &PlayingOrder{n, n}
	p := &s.Parts[0]
	p.Measures, p.Bars, p.Changes, p.Findings, p.Respelt = n, nil, nil, nil, nil
	now := p.Start
	for i := range n {
		label, t := strconv.Itoa(i+1), Seconds(2*i)
		bar := Bar{Place: Place{label, i, "0"}, Pass: 1, Length: "4", Beat: "1", Setting: now,
			Sounds: []string{"D", "E♭", "F", "G", "A♭", "B♭", "C"}, Start: t}
		if i%16 == 0 {
			bar.Section = string(rune('A' + i/16%26))
		}
		p.Bars = append(p.Bars, bar)
		for j := range 3 {
			l := pedal.Letter((i*3 + j*2) % pedal.Letters)
			to := now[l] + 1
			if to > pedal.Sharp {
				to = pedal.Flat
			}
			p.Changes = append(p.Changes, demoChange(l, now[l], to, 1, label, i, strconv.Itoa(j), strconv.Itoa(j+1), t, t+1, false))
			now[l] = to
		}
		if i%4 == 1 {
			p.Findings = append(p.Findings, Finding{"string-clash", SeverityWarning, Place{label, i, "2"}, 1, 1, []string{fmt.Sprintf("C%d", i)},
				fmt.Sprintf("The C string is still held when its pedal moves in measure %s.", label), "Let it go early.", len(p.Findings) + 1, nil, nil})
		}
	}
	p.Bars[0].Section = "start"
	p.Cost = Cost{Changes: len(p.Changes), Notches: len(p.Changes)}
	return s
}
