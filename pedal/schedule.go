package pedal

func (m *music) schedule(list []*task) {
	for _, t := range list {
		t.End = t.WindowEnd
		if b := m.beatBefore(t); b >= 0 {
			t.End = m.p.Moments[b].At
		}
		t.Start = t.End
	}
}
