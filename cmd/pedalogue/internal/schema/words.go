package schema

import (
	"pedalogue/cmd/pedalogue/internal/look"
	"pedalogue/report"
)

// documents are what the commands print.
func documents() []document {
	return []document{
		{"mark", "The report on one score whose pedals are planned.", report.Score{}, true, "parts"},
		{"look", "What is read in one score.", look.Sight{}, false, ""},
		{"check", "The pedal marks that stand in one score, followed.", report.Check{}, true, "parts"},
		{"keys", "One score in other keys.", report.Keys{}, true, "parts"},
		{"gliss", "The answer to how a glissando can be set.", report.Gliss{}, false, ""},
		{"reduce", "What was done so that one score can be played.", report.Reduce{}, true, "parts"},
		{"part", "The parts that were made of one score.", report.PartFiles{}, true, "files"},
	}
}

// none is for a number that may be less than nothing.
const none = -1 << 30

// nullable are lists that may be null.
var nullable = map[string]bool{"seenMark.against": true}

// least are the least values of numbers, where that is not 0.
var least = map[string]int{
	"pass": 1, "Finding.pass": 0, "Point.change_price": 1, "Warning.index": -1,
	"semitones": none, "steps": none, "fifths": none, "diatonic": none, "chromatic": none, "octave": none,
}

// values are those that texts can have.
var values = map[string][]string{
	"respell":  {"written", "needed", "balanced", "free"},
	"covers[]": {"unsounded", "held", "rushed", "respelt", "switches", "changes", "notches"},
	"newline":  {"lf", "crlf", "cr"},

	"verdict": {"clean", "faults", "no marks"}, "as": {"setting", "change", "warning", "not a pedal mark"},
	"CheckFault.pedal": {"", "D", "C", "B", "E", "F", "G", "A"}, "do": {"add", "strike", "move", "write"},
	"op": {"leave-out", "octave", "roll", "other-hand", "other-string", "shorten", "grace"},
}

// meanings say what fields hold, by the struct and the name in JSON, or by the name
// alone.
var meanings = map[string]string{
	"format": "the version of this layout", "tool": "the program's name", "version": "the program's version",
	"score": "the path as given", "title": "empty if the score has none", "output": "the path written to; empty if nothing was written",
	"error":         "why the score could not be read, led by file and line",
	"playing_order": "counts of measures", "measures_written": "as they are written", "measures_played": "with repeats, endings and jumps followed",
	"parts": "the harps", "warnings": "about reading the file",
	"made": "in report files only: SHA-256 checksums of what the results were made from and of the results themselves, which --resume and overwriting rely on",

	"id": "P1, or P1+P2 for one harp in two parts", "name": "as printed", "staves": "of the part", "measures": "as written",
	"notes": "attacked, in playing order", "moments": "with at least one note attacked, in playing order",
	"options": "with which it was planned", "start": "the first setting", "cost": "what the plan costs",
	"unlike": "measures played on other strings than the same notes before", "proof": "what is proved of the plan",
	"pins_cost": "what the pins add to each cost", "choices": "what each way of respelling costs",
	"curve": "what plans cost as a change gets cheaper, the dearest price first", "changes": "pedals moved, in playing order",
	"respelt": "notes played on another string than the written one", "findings": "what a player or arranger should know",

	"rank": "from 1, the most important of the part first", "lies": "how much of the music lies on the harp, as shares of the moments",
	"as_it_stands": "of the moments", "to_decide": "a player must decide something", "cannot": "be played as planned", "Lies.hands": "for the hands", "Lies.feet": "for the feet",
	"Lies.strings": "for the strings",

	"unsounded": "notes that no string sounds", "held": "changes under a tone that still sounds", "rushed": "changes for which a foot has no time",
	"switches": "names that go to another string within three measures", "notches": "by how many notches pedals move",
	"Cost.respelt": "notes on another string than the written one", "Cost.changes": "pedals moved", "Point.changes": "pedals moved",
	"Point.respelt": "notes on another string than the written one", "proved": "no plan costs less at this price",
	"minimal": "an exhaustive search has found nothing cheaper", "covers": "the parts of the cost for which that holds", "bound": "no plan costs less",
	"respell": "the mode", "change_price": "respelt notes that one change is worth", "switch_price": "respelt notes that one switch is worth",
	"foot_time": "seconds from one change of a foot to its next; 0 if the feet were left out", "move_time": "seconds in which a foot makes a change",
	"sounding_time": "seconds that a string sounds before its pedal moves", "implied": "what is not written out was counted",
	"strings": "the compass of the harp, C1-G7", "pins": "what the player has decided, as given",
	"why": "what was the matter, in sentences", "hand_signs": "signs of the hands that were written", "sign": "m.d. for the right hand, m.g. for the left", "held_strings": "notes that a reduction of the score holds to strings",

	"pedal": "the letter", "from": "where it stood", "to": "where it stands then", "foot": "that moves it", "pass": "which playing of the measure, from 1",
	"marked": "where it is printed", "needed": "the first note that needs it", "window": "seconds from the start of the music: first and last start of the move",
	"at": "seconds from the start of the music: start and end of the move", "Change.rushed": "a foot has no time for it",
	"measure": "the printed number, which need not be a number", "index": "the measure's place in the part, from 0",
	"offset": "quarter notes from the start of the measure, as a fraction", "staff": "from 1",
	"written": "the pitch as written", "played": "the string's pitch as played",
	"kind": "the name of the rule", "severity": "error: cannot be played as planned; warning: a player should look; note: information",
	"Finding.staff": "from 1; 0 where it concerns the whole harp", "Finding.notes": "pitches", "text": "in words", "remedy": "what to do, or empty",
	"Warning.code": "a fixed word for the kind", "Warning.part": "id; empty where it is about the whole file",
	"Warning.measure": "printed number; empty outside a measure", "Warning.index": "the measure's place, from 0; -1 outside a measure",
	"line": "of the file, from 1; 0 if unknown", "Warning.text": "in words", "code": "a fixed word for the kind",

	"Keys.parts": "the harps in all keys", "chosen": "the key in which a copy is written", "keys": "those first that suit the harp best",
	"Key.name": "of the major key with this signature, with up or down where two rows share it", "semitones": "up from the original",
	"steps": "letters up from the original", "fifths": "sharps of the key signature at the start, or flats where negative", "original": "the key as it is written",
	"outside": "notes beyond the strings, or on a string without discs that is tuned otherwise", "Key.findings": "by severity",
	"respelt_sections": "later key signatures that a copy spells otherwise", "KeyCounts.error": "findings", "KeyCounts.warning": "findings", "note": "findings",
	"ChosenKey.name": "of the row", "ChosenKey.marked": "with the pedals", "only_harp": "the other parts have stayed",
	"struck": "pedal marks by others that are not in the copy", "respelt_keys": "key signatures spelt otherwise in the copy", "left": "to be mended by hand",
	"StruckMark.part": "id", "StruckMark.text": "as printed", "RespeltKey.part": "id", "RespeltKey.fifths": "as it is written in the copy",

	"want": "names of the pitch classes that are wanted", "Gliss.from": "how the pedals stand before", "exact": "settings that sound nothing else",
	"nearest": "where there is none, those with the fewest pitch classes foreign and missing", "Gliss.score": "the file that the pedals stand in",
	"Gliss.part": "the id of its harp", "Gliss.at": "the place in it", "back": "pedals that must move after the first setting, in order of need",
	"setting": "of the pedals", "foreign": "pitch classes that sound and are not wanted", "missing": "that are wanted and do not sound",
	"moved": "pedals that stand elsewhere before", "rounds": "moves of the busier foot", "sharps": "pedals at sharp", "doubled": "pitch classes that two strings sound",
	"GlissBack.to": "where it must stand", "seconds": "from the start of the glissando to the note that needs it", "GlissBack.rushed": "its foot has no time for it",

	"files": "the parts that were made", "path": "empty if it was not written", "player": "whose it is", "PartFile.parts": "ids of the parts of the score that it is made of",
	"multiple_rests": "rests of several measures put together", "cues": "entrances before which cues were put in", "page_turns": "page ends that were put in",
	"PartFile.findings": "those on the pedals, by severity", "PartFile.measures": "of the part",

	"root": "the root element", "encoding": "how the text is written", "container": "the zip around it; null for none", "players": "of harps, each with the parts that are played as one",
	"Sight.parts": "all parts of the score", "Sight.measures": "as written", "events": "what the harp strikes", "Sight.keys": "key signatures of the harp", "transpose": "transpositions of the harp",
	"harp_pedals": "pedal diagrams", "marks": "pedal marks, as texts and diagrams", "tremolo_pairs": "tremolos between two notes or chords", "glissandi": "lines from note to note",
	"directions": "texts at the harp", "playback": "printed numbers of the measures, as they are played", "playback_index": "indexes of the measures, as they are played",
	"playback_literal": "the same, by the letter of the signs", "playback_literal_index": "the same, by index",
	"seenEncoding.name": "of the encoding", "bom": "it begins with a byte order mark", "declared": "as the file declares it; null without a declaration", "newline": "what ends most lines",
	"rootfile": "the score in the zip", "entries": "names of all", "stored": "names of those that are not compressed", "descriptors": "sizes stand behind the data",
	"harp": "it is played by a harp", "clue": "what tells so", "seenPlayer.parts": "ids", "number": "as printed", "seenMeasure.start": "quarter notes from the start of the score",
	"length": "in quarter notes", "implicit": "it is not counted", "part": "id", "onset": "quarter notes from the start of the measure", "seenEvent.kind": "sounding, grace, cue, unpitched and so on",
	"pitches": "C♯5 is written C#5", "grace_order": "before the note, from 1", "tied": "those held over", "hidden": "those not printed", "ends": "by pitch, when it ends",
	"seenEvent.staves": "by staff, its pitches", "count": "of unpitched notes", "instrument": "of several", "seenKey.staff": "null for all", "seenTranspose.staff": "null for all",
	"diatonic": "steps", "chromatic": "semitones", "octave": "octaves", "tunings": "by step", "complete": "all seven pedals", "duplicates": "steps named twice", "end": "when it ends",
	"seenGlissando.from": "pitch", "seenGlissando.to": "pitch", "words": "as printed", "language": "en, fr or de", "ambiguous": "can be read in English and in German", "own": "written by this program",
	"against": "the first note of each pedal that wants it elsewhere; null for our own", "seenKey.steps": "by step, for a signature of single signs",
	"seenAgainst.marked": "the pedal as it is marked", "seenAgainst.written": "the note",

	"verdict": "faults if there is an error or a warning", "CheckPart.marks": "all texts and diagrams, in written order", "CheckPart.cost": "of playing by the marks",
	"best": "of the plan that would be written; null if none was made", "faults": "where marks and notes disagree, in playing order",
	"fixes": "what the mended copy has otherwise, in written order", "CheckMark.text": "empty for a diagram", "as": "how it is read", "pedals": "by letter",
	"CheckFault.staff": "from 1; 0 where it concerns the whole harp", "CheckFault.pedal": "empty where it concerns no single one", "stands": "where the pedal stands",
	"CheckFault.needed": "where it should", "CheckFault.notes": "pitches", "mark": "that stands wrong; null for none", "planned": "the plan that made the marks has it too",
	"do": "what was done", "was": "the mark as it stood; empty for one that is added", "Alteration.text": "what stands now; empty for one that is struck",

	"before": "findings in the score", "after": "findings in the copy", "cost_before": "of the plan of the score", "cost_after": "of the plan of the copy",
	"reductions": "in playing order", "unsolved": "places for which no way was found", "GraveCounts.error": "findings", "GraveCounts.warning": "findings",
	"for": "the kinds of findings that are treated", "ops": "what is done to notes", "loses": "what it costs the music", "verified": "in the plan of the whole, nothing that is treated is found there",
	"heuristic": "something cheaper may exist", "op": "what is done", "ReduceOp.note": "pitch", "ReduceOp.to": "the pitch, the length in quarter notes or the staff",
	"ReduceOp.index": "where it is not the reduction's", "ReduceOp.offset": "where it is not the reduction's", "grace": "it is a grace note as it is written",
	"melody": "notes of it", "bass": "notes of it", "pitch_classes": "that are not heard at the moment any more", "Loses.notes": "left out, all of them", "Loses.moved": "notes by an octave",
	"Loses.doubled": "of those left out", "rolled": "chords", "hands": "notes that go to the other",
}
