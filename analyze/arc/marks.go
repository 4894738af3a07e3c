package arc

import "arctally/analyze/tape"

// LastMark is the last of the marks that are those of this room; others begin behind it.
const LastMark tape.Mark = 39

// The marks of this room. Those below firstAnswer are events, by their Kind; but a bucket that
// is like the one before it has a mark of its own.
const (
	likeBefore tape.Mark = iota + 20 // BucketClosed, all in arc and as long as the bucket before
	outOfArc                         // an Idle
	allTold                          // all is told that one call had to tell
	samplesAre                       // what the codes of the samples that come are worth
	answerSums
	answerArcTime
	answerKept
	answerNewest
	answerNothingSeen
	answerOpen
	answerNotOpen
	answerLit
	answerNotLit
	answerLast
	answerMark
	answerNoMark
	answerWaveNow
	answerWaveAt
	begunAnew
)

// The columns of this room. The numbers of analysis behind it share them where they are alike.
const (
	ticks tape.Column = iota
	lengths
	others
	ofVoltage
	ofVoltageRest
	ofCurrent
	ofCurrentRest
	ofEnergy
	ofEnergyRest
	meansOut
)

// LastColumn is the last of the columns that are those of this room; others begin behind it.
const LastColumn = meansOut
