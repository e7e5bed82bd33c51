// Package finding judges a plan: what of the music cannot be played on the
// harp, what a player should look at, and what to do about it.
//
// Findings are pure functions of a passage and its plan. Each kind is one Rule
// in the table that Rules returns; a family of kinds is one file. To add a kind,
// add a Rule with its function to its family's list, and a case to its test.
//
// The texts are for harpists: whole sentences without places, which the caller
// adds. A remedy is only offered where it has been checked against the plan: the
// string that it names is free, the split that it names lies in the hands.
// Hands are not staves: a chord may be shared in any way that fits.
package finding
