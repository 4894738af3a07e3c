// Package join makes of what several boxes say what one box would have said: the box
// that tells the arc (box 0) as it is, and of every other one, a companion, its slow
// channels and turn counts on the clock of the first.
//
// Terms. A fit relates the clock of a box to the host's (package clock). An epoch is a
// run of ticks of one box. The place of something a companion measured is its epoch and
// tick on the clock of box 0. A lane is what one box brings of one kind, in the order in
// which it brings it; a key says when something of a lane is handed on, and never falls
// within a lane.
//
// A tick of a companion is mapped by two fits, from its clock to the host's and from
// there to that of box 0:
//
//	host = wall(c) + (tick - tick(c)) * slope(c)
//	tick = tick(a) + (host - wall(a)) / slope(a)
//
// The fits are taken from what is recorded, and not by when it came: c is the first fit
// of the epoch at or after the tick, a the first of box 0 at or after the host time, each
// no earlier than 10 s after the first of its epoch, while the line is short; where there
// is none, the last one. The epoch of box 0 is the one under way at the host time.
//
// Lanes are merged by their keys, so that what is handed on is the same for any order
// in which the boxes are heard. While a recording goes on, nothing is handed on before
// each box is heard to have come past it, by its fits; but for a box that is silent or
// late, nothing waits longer than 15 s of the host's time. What comes later still is
// handed on, and Late says so: then the record must be read, where all is known.
//
// What is wrong with a companion is a remark that names it, and never a gap in the arc.
// Its voltage and current are not used. No function fails but as the sink does.
package join
