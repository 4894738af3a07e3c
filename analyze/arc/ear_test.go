package arc

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// ms is a millisecond of ticks.
const ms = 1_000_000

// limits of these tests: 15 A, 8 V, and a hold of 300 ms.
var limits = Limits{Current: 15, Voltage: 8, Hold: 0.3}

// ear remembers what a detector tells.
type ear struct {
	events  []Event // without their buckets
	buckets []Bucket
}

func (e *ear) hear(event Event) {
	if event.Bucket != nil {
		e.buckets = append(e.buckets, *event.Bucket)
		event.Bucket = nil
	}
	e.events = append(e.events, event)
}

// but returns the events of other kinds.
func (e *ear) but(kinds ...Kind) (left []Event) {
	for _, event := range e.events {
		other := true
		for _, kind := range kinds {
			other = other && event.Kind != kind
		}
		if other {
			left = append(left, event)
		}
	}
	return left
}

// listen returns a detector of a source, and what it tells.
func listen(l Limits, src series.Source) (*Detector, *ear) {
	e := &ear{}
	d := NewDetector(l, e.hear)
	d.Source(src)
	return d, e
}

// play hands all samples on.
func play(d *Detector, x ...Sample) {
	for len(x) > 0 {
		x = x[d.Take(x):]
	}
}

// at is a sample at a time in ms.
func at(time int64, v, i float64, marks ...Mark) Sample {
	s := Sample{Tick: time * ms, V: v, I: i}
	for _, m := range marks {
		s.Mark |= m
	}
	return s
}

// burning and out are a sample in arc, 20 V and 100 A, and one without an arc.
func burning(time int64, marks ...Mark) Sample { return at(time, 20, 100, marks...) }
func out(time int64, marks ...Mark) Sample     { return at(time, 0, 0, marks...) }

// told wants events, times in ms, but for the buckets.
func told(t *testing.T, e *ear, want ...Event) {
	t.Helper()
	for k := range want {
		want[k].From, want[k].Tick, want[k].Missing = want[k].From*ms, want[k].Tick*ms, want[k].Missing*ms
	}
	require.Equal(t, want, e.but(BucketClosed))
}
