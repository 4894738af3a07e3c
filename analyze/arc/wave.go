package arc

import (
	"arctally/acquire/series"
	"arctally/analyze/waveform"
)

// waveLook is how much arc time, in ns, one look at the waveform takes: long
// against a cycle, short against what a torch turns meanwhile.
const waveLook = 500_000_000

// slowestWave is the longest refresh, in ns, of a source that can show shorts.
const slowestWave = 500_000

// wave follows how the arc burns.
type wave struct {
	meter   *waveform.Meter // nil as long as no source was fast enough
	hearing *waveform.Meter // the same, nil while the source is averaged or too slow
	arc     int64           // ns since the last look
}

// source decides whether a source's samples go to the meter. The step of the
// samples themselves is seen to by the meter.
func (w *wave) source(src series.Source) {
	w.hearing = nil
	for _, c := range src.Channels[:min(2, len(src.Channels))] {
		if c.Basis != series.Instantaneous {
			return
		}
	}
	if src.Refresh > slowestWave {
		return
	}
	if w.meter == nil {
		w.meter = waveform.NewMeter()
	}
	w.hearing = w.meter
}

// hear takes samples that follow one another, and the one at a tick, in arc.
func (w *wave) hear(x []Sample, tick int64) {
	if w.hearing != nil {
		w.hearing.Run(x, tick)
	}
}

// look looks at the waveform when enough arc time has gone by.
func (w *wave) look(b *Bucket) {
	w.arc += b.Arc
	if w.meter != nil && w.arc >= waveLook {
		b.Waveform, b.Looked, w.arc = w.meter.Take(), true, 0
	}
}

// interrupt says that the next sample in arc does not follow the last.
func (w *wave) interrupt() {
	if w.hearing != nil {
		w.hearing.Break()
	}
}

// MarkWave returns the state of the waveform at a moment that may turn out to be
// where the sums should have been begun anew; nil where there is none.
func (d *Detector) MarkWave() *waveform.Mark {
	if d.wave.meter == nil {
		return nil
	}
	return d.wave.meter.Mark()
}

// EndWave returns the waveform since it was last ended, up to a mark, nil for up to
// now; what came after it counts for the next time.
func (d *Detector) EndWave(at *waveform.Mark) *waveform.Statistics {
	d.wave.arc = 0
	switch {
	case d.wave.meter == nil:
		return nil
	case at != nil:
		return d.wave.meter.EndPassAt(at)
	default:
		return d.wave.meter.EndPass()
	}
}
