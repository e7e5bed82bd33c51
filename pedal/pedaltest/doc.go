// Package pedaltest checks the planner from outside, for tests. It is written from
// the rules of plan costs alone and shares no code with the search:
//
//   - [Random] writes music, and Music.Passage lays it out in playing order;
//   - [Best] tries every plan of a short passage;
//   - [Optimum] asks a general-purpose solver of integer programs;
//   - [Judge] reckons every number of a plan anew;
//   - [Compare] does all that for the planner's plans.
//
// Best and Optimum agree, though they have nothing in common but the rules, the ways
// to play a note and what is one tone.
package pedaltest
