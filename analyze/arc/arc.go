// Package arc knows when the arc burns: it makes arc intervals of samples of voltage
// and current, and sums up what burned. It knows nothing of passes, of where the
// torch is, or of files: samples go in, events come out.
//
// Terms. A sample is in arc from the first one with both current and voltage at
// their thresholds for as long as current flows: a short circuit is still arc on.
// The source's own flag rules over both. A break is where a sample does not follow
// the one before it: data is missing there. An arc interval goes from a first sample
// in arc to a last one; an arc-out no longer than the hold time, a brief one, does
// not end it, though it is not arc time. The arc is cold when it has been out for
// longer. Values are held where a source only repeats its last ones, which may be
// long after the arc went out; they may be held where a steady arc would look the same,
// and then count as arc. A window is what a source summed over a time by itself; a
// bucket is what burned in 10 ms. An idle is what the source showed in a tenth of a
// second without an arc.
//
// A step is from one sample to the next. It is arc time where both of them are in
// arc and no data is missing between; over those steps
//
//	W = sum( (p[k-1] + p[k])/2 * (t[k]-t[k-1]) )      p = v*i
//
// and in the same way the integrals of v and i. A window gives its own energy and
// arc time; where it is in arc all through, its means give the integrals.
//
// Everything is streaming and in constant memory, and depends on the samples alone:
// any division of them into blocks gives the same bits. How the arc burns, by its
// shorts, is told by package waveform, which sees each sample in arc (wave.go).
package arc

import "arctally/analyze/waveform"

// Mark says what is special about a sample.
type Mark = waveform.SampleMark

// The marks of a sample.
const (
	Break     Mark = 1 << iota // does not follow the sample before it
	FlagOn                     // the source's own flag says arc on
	FlagOff                    // the source's own flag says arc off
	Held                       // the source only repeats its last values
	Averaged                   // a mean, or sampled too slowly for true power
	MayBeHeld                  // the source repeats its last values, or the arc is that steady
)

// Sample is voltage and current at one tick, in V and A.
type Sample = waveform.Sample

// Window is what a source summed over a time by itself.
type Window struct {
	Start, End int64   // ticks
	Arc        int64   // ns of it in arc
	Energy     float64 // J
	V, I       float64 // means over the whole time
	Wire       float64 // m
	Break      bool
	Averaged   bool // its energy is of means, or of samples too slow for true power
}

// Kind tells what an event is about.
type Kind uint8

// The kinds of event, in the order in which those of one sample come.
const (
	ArcOut          Kind = iota + 1 // the last sample, Tick, was the last in arc; the interval stays open
	ValuesHeld                      // from From to Tick the values look like arc, and are not
	ValuesMayBeHeld                 // from From to Tick they count as arc, and may be held
	BucketClosed                    // Bucket is complete, or its interval ends
	IntervalEnded                   // at Tick, the last sample in arc
	Cold                            // the arc is out at Tick, and no interval is open
	IntervalBegan                   // at Tick, the first sample in arc
	ArcBack                         // the interval goes on at Tick; the arc was last on at From
)

// Event is something that the arc did.
type Event struct {
	Kind       Kind
	From, Tick int64
	Missing    int64   // IntervalBegan, ArcBack, Cold: ns without data since the last sample in arc
	Bucket     *Bucket // used again for the next one
}
