// Package acquire knows how the bytes of sensor links become a record: it
// lets the boxes talk, keeps account of what is missing of each, and hands what was
// measured to its sinks in the order in which it arrived.
//
// Terms. A sink takes sources, blocks and events: the record is one, the
// analysis another. A talker brings what one box says; one of the boxes tells the arc, the
// others are its companions. An epoch is one boot of one box: another boot id, a sequence
// or a clock that went back begins the next. A frame that is missing by its
// sequence number is a gap, and the block after it is marked with a break.
//
// Nothing that came is held back. A frame that came twice is handed on twice,
// the second time with a break and an event, and with ticks that the sinks have
// seen before: a sink that adds up must not count them again.
//
// Consecutive frames of samples come in one block: up to 4096 samples, 100 ms,
// or all that one read brought. What one read brought has gone to the sinks
// before the next read begins, except for an event about flagged frames, which
// comes when the first one without the flag has come.
//
// Nothing that happens to a companion ends the recording, or changes what is recorded
// of another box.
//
// Errors: a link that brings bytes but no frame, or cannot be read, is an *Error
// with a hint; the error of a sink ends the recording and is returned as it is.
package acquire
