package arc

import "arctally/analyze/waveform"

// bucketLength is the grain, in ns, at which means and angles are handed to
// the rules: fine against any window, coarse against the sample interval.
const bucketLength = 10_000_000

// Bucket holds the steps in arc that ended in one short time of an arc interval.
type Bucket struct {
	Start, End int64   // ticks
	Arc        int64   // ns in arc
	V, I       float64 // integrals over the arc time, in V*ns and A*ns
	Energy     float64 // over the arc time and Partial, in W*ns
	Partial    int64   // ns in arc of windows that are only partly in arc: they give no V and I
	Missing    int64   // ns without data

	// Looked is set at the end of every half second of arc. Waveform then says
	// what the shorts since the last time, or since the pass began, come to; nil
	// where that is not known.
	Looked   bool
	Waveform *waveform.Statistics
}

func (d *Detector) openBucket(tick int64) {
	d.bucket = Bucket{Start: tick}
	d.bucketEnd = (tick/bucketLength + 1) * bucketLength
}

func (d *Detector) closeBucket(tick int64) {
	if b := &d.bucket; tick > b.Start {
		b.End = tick
		b.V, b.I, b.Energy = b.V/2, b.I/2, b.Energy/2
		d.wave.look(b)
		d.tell(Event{Kind: BucketClosed, Tick: tick, Bucket: b})
	}
	d.openBucket(tick)
}
