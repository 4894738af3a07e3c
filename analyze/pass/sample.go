package pass

import (
	"arctally/analyze/heat"
	"arctally/analyze/waveform"
)

// Mark says what is special about a sample.
type Mark uint8

// The marks of a sample.
const (
	Break    Mark = 1 << iota // does not follow the sample before it
	FlagOn                    // the source's own flag says arc on
	FlagOff                   // the source's own flag says arc off
	Held                      // the source only repeats its last values
	Averaged                  // a mean, or sampled too slowly for true power
)

// Sample is voltage and current at one tick, in V and A.
type Sample struct {
	Tick int64
	V, I float64
	Mark Mark
}

// Window is what a source summed over a stretch of time by itself.
type Window struct {
	Start, End int64   // ticks
	Arc        int64   // ns of it in arc
	Energy     float64 // J
	V, I       float64 // means over the whole stretch
	Wire       float64 // m
	Break      bool
}

// bucketLength is the grain, in ns, at which means and angles are handed to
// the rules: fine against any window, coarse against the sample interval.
const bucketLength = 10_000_000

// Bucket holds the arc steps that ended in one short stretch of an arc interval.
type Bucket struct {
	Start, End int64   // ticks
	Arc        int64   // ns in arc
	V, I       float64 // integrals over the arc time, in V*ns and A*ns
	Energy     float64 // over the arc time and Partial, in W*ns
	Partial    int64   // ns in arc of windows that are only partly in arc: they give no V and I
	Gap        int64   // ns without data
	Turns      float64 // at End; meaningful where TurnsBasis is set
	TurnsBasis heat.TravelBasis

	// Looked is set at the end of every half second of arc. Waveform then says
	// what the shorts since the last time, or since the pass began, come to; nil
	// where that is not known.
	Looked   bool
	Waveform *waveform.Statistics
}

// tally is what a pass sums up; it is zero at the start of each.
type tally struct {
	arc      int64   // ns in arc
	energy   float64 // 2*J*1e9: the halving and the scale wait until the end
	v, i     float64 // 2*V*ns
	meanTime int64   // ns that v and i stand for
	gap      int64   // ns without data
	held     int64   // ns at arc-like values that were only repeated
	averaged bool
}
