package finding

func harmonicChecks() []check {
	const low, high, many = "low-harmonic@0", "high-harmonic@0", "harmonics-together@0"
	return []check{
		{name: "harmonic from C3 to A5", source: "[GOSS-68]", piece: piece{notes: "C3o - A5o"}},
		{name: "harmonic above A5", source: "[GOSS-68]", piece: piece{notes: "B5o"}, want: []string{high}, text: "The harmonic on B5 is high, above A5, and will hardly sound."},
		{name: "harmonic below C3", source: "[GOSS-68] [EIN-triple]", piece: piece{notes: "B2o"}, want: []string{low}, text: "The harmonic on B2 is low, below C3, and will be dull."},
		{name: "two harmonics in the right hand", source: "one in the right hand [GOSS-68]", piece: piece{notes: "C5o+E5o/C3"},
			want: []string{many}, text: "The right hand has two harmonics at once, and can play one."},
		{name: "one in each hand", source: "[GOSS-68]", piece: piece{notes: "E5o/C4o"}},
		{name: "three in the left hand, one in the right", source: "four in all [GOSS-68] [EIN-triple]", piece: piece{notes: "C5o/A3o+C4o+E4o"}},
		{name: "three that lie too high", source: "up to E4 [GOSS-68] [EIN-triple]", piece: piece{notes: "C5o/C4o+E4o+G4o"},
			want: []string{many}, text: "Four harmonics at once, C4, E4, G4 and C5, do not lie in the hands"},
		{name: "three that lie too wide", source: "within six adjacent strings [EIN-triple]", piece: piece{notes: "C5o/E3o+A3o+D4o"},
			want: []string{many}, text: "Four harmonics at once"},
		{name: "two in the left hand up to G4", source: "[GOSS-68]", piece: piece{notes: "C5o/C4o+G4o"}},
		{name: "a third in the left hand up to C5", source: "[GOSS-68]", piece: piece{notes: "E5o/A4o+C5o"}},
		{name: "a fourth in the left hand above G4", source: "[GOSS-68]", piece: piece{notes: "E5o/G4o+C5o"},
			want: []string{many}, text: "Three harmonics at once"},
	}
}
