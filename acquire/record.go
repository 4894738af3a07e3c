package acquire

import (
	"time"

	"arctally/acquire/series"
)

// Limits of the Recorder.
const (
	readSize      = 64 << 10               // bytes of one Read
	emptyReads    = 100                    // empty reads in a row that are a broken reader
	provingBytes  = 4096                   // a link that has brought so many without a frame is a wrong one
	provingTime   = 3 * time.Second        // or has sent for so long
	longestPause  = 250 * time.Millisecond // between two reads that still count as sending
	fitEvery      = time.Second            // of host time, between two fits of the clock
	damageEvery   = time.Second            // of host time, between two events about damage
	longestBatch  = 4096                   // samples that one block of samples may hold
	widestBatch   = int64(100 * time.Millisecond)
	seenRemembers = 64 // frames among which a repeated one is recognised
)

// Config says for whom to record.
type Config struct {
	Sinks []series.Sink // each gets everything
	// Epoch is the number of the first epoch: one past those of a record that
	// is gone on with.
	Epoch int
	// Ended is called as soon as the recording is to end, so that lines end which a
	// context does not; nil is nothing.
	Ended func()
	// Beat comes once a second of host time, by which a silence is told; nil is a
	// clock of its own.
	Beat <-chan time.Time
}

// Tally counts what went through a Recorder.
type Tally struct {
	Box      int // whose it is, as in series.Source
	Bytes    int64
	Frames   int64 // valid ones
	Damaged  int64 // runs that failed their check, except what was cut by joining
	Lost     int64 // frames missing by their sequence number
	Gaps     int64 // stretches of them
	Repeated int64 // frames that came again
	Overruns int64 // frames before which the box lost samples
	Clipped  int64 // frames with a channel at its end stop
	Epochs   int64
	Samples  int64 // of voltage and current together
	Windows  int64 // of sums
}
