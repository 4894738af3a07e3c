// Package clock knows how ticks on the clock of a source map to host time.
//
// Bytes arrive late, by a delay of the link that jitters and now and then
// stalls, and never early. So the true line of arrival over tick lies below all
// points, and the least delayed ones show it:
//
//	arrival = offset + slope*tick + delay, delay >= 0
//
// with arrival in host nanoseconds, tick in nanoseconds of the source, and slope
// the ratio of the two rates. Of the points of each half second the least
// delayed is kept, for 120 s; the line is the edge of their lower convex hull
// over their mean tick, which of all lines below the points is the one with the
// least sum of delays. Its slope is kept within 500 ppm of 1. (The method and
// its limits: sensor-link, "Clock".)
//
// A slope that is seen for long and is steeper than that is told (Fit.Seen): no quartz
// is so far off.
//
// The least delay that ever occurs cannot be told from an offset of the clocks:
// every host time is late by it. Only a round trip bounds it: a box that read its clock
// after it was asked cannot have read it before. So at a tick that answers what was
// sent at a host time,
//
//	sent <= true host time of the tick <= line(tick)
//
// and the middle between the two is taken, with half of what is between them for its
// uncertainty. Without round trips the worst case of a link stands in (Unbounded).
//
// Arrivals are handed in, and are compared by their monotonic reading where they
// have one: setting the host's clock does not bend a fit. No function fails.
package clock
