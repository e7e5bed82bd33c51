// Package remedy tries out what would mend a finding.
//
//	found, err := finding.All(music, plan, o)
//	…
//	ops, err := remedy.Try(ctx, music, plan, o, found)
//
// For each error and warning about a chord, a repetition, a leap, a clash, or a
// rushed or held change, [Try] proposes operations of package revise, those first that
// cost the music least. Each is applied to the music about the finding, which is planned
// and judged again: some seconds before and after, with the pedals as the plan has them
// at both ends and each other note on the plan's string. It is offered only if the finding goes,
// no other of its severity or a worse one comes, and no more notes are unsounded,
// held over or rushed. Where nothing was found, the finding says so.
//
// What is offered is not proved to cost least: the proposals are few. A plan of all the
// music can differ from that of the part that was tried.
package remedy
