// Package pedal plans the pedals of a double-action harp.
//
// A passage goes in: everything that one harp plays, in playing order. A plan
// comes out: how the seven pedals stand at every moment, which string plays each
// note, and when each foot makes each change. No plan costs less, and the plan
// says how far that is proved.
//
//	b := pedal.Builder{Tick: 250 * time.Millisecond, Beat: 2}
//	b.Strike(2, "C3", "E4")
//	b.Wait(2)
//	b.Strike(2, "C♯5")
//	passage, err := b.Passage()
//	...
//	plan, err := pedal.Solve(ctx, passage, pedal.Options{})
//
// Plans plans a passage in all four modes at once; Verify replays a plan. Package
// part makes passages of scores.
//
// # What a plan costs
//
// Costs are counted one after another; a lower one never outweighs a higher.
//
//	unsounded  tones that get no string
//	held       changes of a letter on which a note is still held
//	rushed     changes that a foot has no time for
//	respelt    tones played on the other string, C♯ as D♭
//	switches   names that go to another string than they were on
//	changes    pedals moved
//	notches    semitones that pedals travel
//
// That is the order of the modes Written, which knows no respelling but for
// double accidentals, and Needed, which respells only what could not be played
// or timed otherwise. Mode Free counts changes before respelt tones; Balanced
// counts a change as ChangePrice and a switch as SwitchPrice respelt tones, then
// changes, then switches. Other modes do not weigh switches, only count them.
//
// A name is a letter with its alteration, such as C♭, in any octave. The letters of
// the strings that play it at a moment are its spelling there. The spelling before
// is that of the last moment at which it sounded, in this measure or one of the two
// played before it; else the name is at home, on its written letter (a double sharp
// or flat has no home: its first letter is free). Each letter of the spelling that
// is not in the spelling before is a switch, and so is each letter past the first.
//
// A tone is what notes of the same letter, alteration and octave at one moment
// are together. Notes that are one tone anywhere are spelt alike everywhere, and
// so is a printed note in all its passes, since it is printed once; a Fixed note
// keeps its whole tone on the written string. A note goes unsounded in all its
// passes or in none. Where the place of the first setting is played again, all
// pedals are brought back to it: changes like any other, needed at that moment; and
// none that is needed later begins before it.
//
// Where plans cost the same, the one is taken whose passes agree, then one in which
// measures with the same written notes are played on the same strings, as far as one
// is found (alike.go; no proof speaks of it), then the one with fewer tones on
// strings at sharp, since flats ring best [GOSS-66] [PHI-tips]. What is left falls
// the same way every time. No pedal moves that
// no note needs, and none is told twice.
//
// Source keys in brackets, here and elsewhere, stand for: [BLI n] E. Volpé Bligh,
// Writing for the Pedal Harp; [BAL] A. Balcomb, instrumentation notes;
// [C&O-PED] Canton and Overlach, composing for harp; [EIN-x] G. Einarsdóttir,
// harp notation manual; [EVELIN] evelin-harp.cz; [FACKLER-ENH] B. A. Fackler,
// enharmonic spelling; [GLOSS] 44 to 47 string harps, a glossary; [GOSS-n]
// T. Goss, 100 Orchestration Tips; [GROVE] Grove's Dictionary, Harp; [HC-x] Harp
// Column; [HIO] harpinsideout.com; [HOADLEY], [INM] instrumentation courses;
// [JERDOL] youngcomposers.com; [PHI-tips] Philharmonia Orchestra, The Sound
// Exchange; [WIKI] Wikipedia, Pedal harp.
//
// # How it is found
//
// The search goes through the chords once, from first to last. It keeps a
// frontier of states, each with the least that a plan can have cost to reach it.
// A state is what the past means to the future and no more: where each pedal
// stands, or that nothing has needed it yet (its first position is free), and
// until when each letter is held. Pedals are lazy: one moves when a note asks
// for it. When in the window between its notes the foot really goes down is
// settled at the end (comfort.go), where it no longer changes any cost.
//
// Three observations keep the frontier small.
//
// As long as passes are free to drop what they like, dropping a tone never pays
// later. A pedal can always be moved to where the next chord wants it, and all that
// this can cost ranks below an unsounded tone. So every chord sounds as many tones
// as it can, whatever came before; the ways to do so are its readings (reading.go),
// a handful in real music. Where tones exclude each other, the most that can sound
// are found by trying all settings (clash.go).
//
// A cheap state can stand in for a dear one. From state a one can play whatever
// is played from state b, by moving each pedal that stands elsewhere once, when
// b's plan first uses it. If a's cost and those moves are no more than b's cost,
// b is forgotten. As a pedal has two other places at most and a letter can be
// held once, only states within seven changes of the cheapest survive; most
// frontiers hold fewer than ten (dominance.go).
//
// In mode Balanced a state also tells how names were last spelt, as long as they can
// be heard again before that lapses. From state a, a plan that spells all as one
// from b has one switch more at most for each name that they remember otherwise,
// when it next sounds, for then both remember the same (habit.go).
//
// Much of a state is of no use any more. A pedal's position is worthless if every
// reading of a coming chord asks for the letter before anything can ask for it
// there; a held note is no hindrance if nothing can ask for another position
// until it ends. One pass backwards finds both out (ahead.go).
//
// Costs are packed into 128-bit numbers, most important first, so that they add
// and compare in one go (weight.go).
//
// Repeats tie chords together that lie far apart. The search first lets every
// pass spell as it likes, and drop what it likes, and come to the first place again
// with any setting, which can only be cheaper (restart.go). If the passes of the best
// plan agree, it stands. If not, the search is asked to follow the majority among
// equals, which settles nearly all; else something is decided in one way in one
// branch and otherwise in the others, best bound first: which string a note is on,
// whether it sounds, where a pedal begins (branch.go).
//
// # Feet
//
// A change needed at second d, of a letter last plucked at p whose notes end at
// e, can start from min(e, max(p+SoundingTime, d-FootTime)) on, up to MoveTime
// before d: the player may let a note go up to a foot time early, but not before it
// has sounded. Changes of one foot start a foot time apart. So the changes of a
// foot are jobs of equal length, FootTime, on one machine, each with a release and
// a deadline, which is as long after the last start. Those that find no place are
// rushed, and start when they are needed.
//
// For a plan that is given, the fewest rushed changes are found exactly, stretch by
// stretch of windows that overlap (schedule.go): those of one letter never do, so
// a foot never has more than four changes to choose from.
//
// A tone that its chord's pedals offer already, by another octave, needs no other
// string, but for time: asking for a pedal earlier than need be can gain some. The
// search tries it where it can (gain.go).
//
// To find the plan, the search takes both feet into its states (feet.go), at
// first with little care: loosely, a letter counts as ready for its next change as
// soon as its foot has once had the time for it, whatever else it did in that
// time; in music that hardly ever rushes a foot, it counts as ready at once. The
// plan so found is scheduled for good. If no more is rushed than the search knew,
// no plan is better. If more is, the feet are followed more closely around the
// changes that were in one another's way, and nowhere else (zone.go), and the
// search is run again, until it knows all that its plan rushes. Zones are few
// and short even where the music is fast; and within one, only letters that can be
// asked for before it ends are followed exactly.
//
// Where in its window each change of the plan is made is one-machine scheduling once
// more, with every job to be done now, and as many as can be in rests, then on beats,
// then with notes (comfort.go). Changes whose best places are in one another's way
// are settled together by labels, few at a time (together.go).
//
// # Running it again
//
// Repeats and zones make the search run many times, and each run differs from
// one before it only in places. What a chord makes of a frontier depends on the
// frontier, on the chord's readings and on little else, so a run walks along
// what earlier runs found and searches only where something has changed, until
// its frontier is again one that is known (memory.go).
//
// The plan for Written comes first, since it is quickly found. Where nothing in it
// could be better, it is the plan for other modes too; and it tells where the music
// is in a hurry, so that searches in other modes begin with zones there; that for
// Balanced with those that the first search for Needed came to. Workers do not take
// a mode each but one search at a time of the mode whose turn it is (refine.go).
//
// # Proof
//
// Each pruning step above throws away only what something kept is no worse than,
// so a search that runs to its end proves its plan. Proof.Covers names the costs
// for which the plan and the bound agree, from the first on. There are limits of
// work, far above what real music needs; a search that meets them goes on with a
// narrow frontier, and its bound is what the exhaustive part cost, and after it,
// stretch by stretch, what the rest would cost if every pedal were free at the
// start of each stretch. Nothing found by a narrow frontier is called proved
// unless it meets such a bound.
//
// The package knows no files, no notation and no printing.
package pedal
