package engrave

// Style is the style sheet of drawings. Colours of concerns and feet may be set by
// the custom properties --error, --warning, --note, --left and --right.
const Style = `.music{color:inherit;fill:currentColor}` +
	`.music g>path{fill:none;stroke:currentColor}` +
	`.music .lines{stroke-width:5}.music .ledgers{stroke-width:6}.music .stems{stroke-width:5}.music .thin{stroke-width:6}` +
	`.music .dashes{stroke-width:6;stroke-dasharray:16 14}.music .solid{fill:currentColor;stroke:none}` +
	`.music use{stroke:none;fill:currentColor}` +
	`.music text{font-family:Georgia,"Noto Serif","DejaVu Serif",serif;stroke:none}` +
	`.music .italic,.music .tuplet{font-style:italic}` +
	`.music .tempo{font-style:normal}.music .rehearsal text{font-weight:700}` +
	`.music .rail{stroke-width:5}.music .strokes{stroke-width:13}` +
	`.music .ring{fill:none;stroke-width:6}.music .ring.warning{stroke-dasharray:16 10}.music .ring.note{stroke-dasharray:5 8}` +
	`.music use.error{fill:var(--error,#a3231b)}.music .ring.error{stroke:var(--error,#a3231b)}` +
	`.music use.warning{fill:var(--warning,#7d5200)}.music .ring.warning{stroke:var(--warning,#7d5200)}` +
	`.music use.note{fill:var(--note,#3f5c6b)}.music .ring.note{stroke:var(--note,#3f5c6b)}` +
	`.music .pedals .left{fill:var(--left,#0b5598)}.music .pedals .right{fill:var(--right,#9a4700)}` +
	`.music .pedals text{font-weight:600}` +
	`.music .pedals .error{fill:var(--error,#a3231b)}.music .pedals text.error{text-decoration:underline}` +
	`.music .pedals .warning{fill:var(--warning,#7d5200)}.music .pedals text.warning{text-decoration:underline}` +
	`.music .pedals .note{fill:var(--note,#3f5c6b)}`
