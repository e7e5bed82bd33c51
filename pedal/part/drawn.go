package part

// A rest of several measures is one sign with a number: what stands in its measures is
// drawn at its start or, by some programs, not at all; see musicxml.Score.Edits.

// inRest tells which measure of such a rest a written one is, from 1; 0 for none, and
// where another part of the player has none there.
func (p *Part) inRest(measure int) int {
	in := measure + 1
	for _, q := range p.Player.Parts {
		if measure >= len(q.Measures) {
			return 0
		}
		in = min(in, q.Measures[measure].InRest)
	}
	return in
}

// unseen reports whether what stands at the start of a measure may not be drawn: it
// begins such a rest, and what says so says too much to have anything before it.
func (p *Part) unseen(measure int) bool {
	return p.inRest(measure) > 0 && p.Player.Parts[0].Measures[measure].RestHead == 0
}

// behind is the place after such a rest where one is; what is told at its start holds
// from there.
func (p *Part) behind(at Place) (after Place, rests bool) {
	after = Place{Measure: at.Measure}
	for p.inRest(after.Measure) == after.Measure-at.Measure+1 {
		after.Measure++
	}
	return after, after.Measure > at.Measure && len(p.Places.Playings(after)) > 0
}

// drawn is where a mark for a place is drawn: at the place or, inside such a rest, at the
// start of it. Nothing is played in between.
func (p *Part) drawn(at Place) Place {
	in := p.inRest(at.Measure)
	start := Place{Measure: at.Measure - in + 1}
	if in == 0 || p.Places.straight[at.Measure] > start.Measure || len(p.written[start.Measure].moments) == 0 || p.at(start).offset.Sign() > 0 {
		return at
	}
	return start
}
