package finding

func ringingChecks() []check {
	on := func(_ *Music, o *Options) { o.Severities = map[Kind]Severity{"damp-bass": Note} }
	return []check{
		{name: "the bass moves by a step", source: "strings ring until they are stopped [BLI 5] [EIN-damp]", piece: piece{notes: "C5/G1 D5/A1"}, change: on,
			want: []string{"damp-bass@1"}, text: "G1 still rings, plucked 1 s before, when the bass goes to A1.", remedy: "Damp G1 here."},
		{name: "not reported unless asked for", source: "left to the player's taste [C&O-MUF]", piece: piece{notes: "C5/G1 D5/A1"}},
		{name: "the bass moves by a fifth", source: "common practice", piece: piece{notes: "C5/C2 D5/G2"}, change: on},
		{name: "the bass has faded", source: "longer strings ring longer [BLI 5]", piece: piece{notes: "C5/G2 C5 C5 C5 D5/A2"}, change: on},
	}
}
