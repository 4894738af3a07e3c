package arc

import (
	"arctally/acquire/series"
	"arctally/analyze/tape"
	"arctally/analyze/waveform"
)

// Taped is a detector that writes on a tape what it tells and what it answers.
type Taped struct {
	*Detector
	to   tape.Writer
	tell func(Event)
	line timeline
	sums integrals
}

// timeline is what both sides of a tape know of the time: where the last tick stood that was
// told, where the last bucket ended and how long it was, and how much arc time the buckets
// since the sums were begun anew had.
type timeline struct{ tick, bucketEnd, length, arc int64 }

// NewTaped has a detector, which has heard nothing yet, write on a tape.
func NewTaped(d *Detector, to tape.Writer) *Taped {
	t := &Taped{Detector: d, to: to, tell: d.tell}
	d.tell = t.hear
	return t
}

// Are says what the codes of the samples that come are worth.
func (t *Taped) Are(g Grain) {
	t.sums.are(g)
	t.to.Mark(samplesAre)
	t.to.Value(&g)
}

// tick writes a tick by how far it is from the last one.
func (t *Taped) tick(at int64) {
	t.to.Number(ticks, at-t.line.tick)
	t.line.tick = at
}

// hear writes what the arc did, and tells it.
func (t *Taped) hear(e Event) {
	if e.Kind == BucketClosed {
		t.bucket(e.Bucket)
	} else {
		t.to.Mark(tape.Mark(e.Kind))
		t.tick(e.Tick)
		switch e.Kind {
		case ValuesHeld, ValuesMayBeHeld, ArcBack:
			t.to.Number(others, e.Tick-e.From)
		}
		switch e.Kind {
		case Cold, IntervalBegan, ArcBack:
			t.to.Number(others, e.Missing)
		}
	}
	t.tell(e)
}

// bucket writes a bucket.
func (t *Taped) bucket(b *Bucket) {
	length, line := b.End-b.Start, &t.line
	plain := b.Start == line.bucketEnd && length == line.length && b.Arc == length && b.Partial == 0 && b.Missing == 0 && !b.Looked
	if plain {
		t.to.Mark(likeBefore)
	} else {
		t.to.Mark(tape.Mark(BucketClosed))
		t.to.Number(lengths, b.Start-line.bucketEnd)
		t.to.Number(lengths, length)
		for _, x := range [...]int64{length - b.Arc, b.Partial, b.Missing} {
			t.to.Number(others, x)
		}
		t.look(b)
	}
	t.sums.write(t.to, b)
	line.after(b)
}

// after takes a bucket.
func (l *timeline) after(b *Bucket) {
	l.tick, l.bucketEnd, l.length = b.End, b.End, b.End-b.Start
	l.arc += b.Arc + b.Partial
}

// What a bucket says of the waveform.
const (
	notLooked = iota
	lookedAndUnknown
	lookedAt
)

func (t *Taped) look(b *Bucket) {
	switch {
	case !b.Looked:
		t.to.Number(others, notLooked)
	case b.Waveform == nil:
		t.to.Number(others, lookedAndUnknown)
	default:
		t.to.Number(others, lookedAt)
		t.to.Value(b.Waveform)
	}
}

// WhileOut is that of the detector.
func (t *Taped) WhileOut(tell func(Idle)) {
	t.Detector.WhileOut(func(i Idle) {
		t.to.Mark(outOfArc)
		t.tick(i.Tick)
		t.to.Number(others, i.Tick-i.From)
		for _, x := range [...]float64{i.V, i.I, i.Wire} {
			t.to.Number(meansOut, off(x, 0))
		}
		tell(i)
	})
}

// Source is that of the detector.
func (t *Taped) Source(src series.Source) {
	t.Detector.Source(src)
	t.to.Mark(allTold)
}

// Window is that of the detector.
func (t *Taped) Window(w Window) {
	t.Detector.Window(w)
	t.to.Mark(allTold)
}

// Flush is that of the detector.
func (t *Taped) Flush() {
	t.Detector.Flush()
	t.to.Mark(allTold)
}

// Finish is that of the detector.
func (t *Taped) Finish() {
	t.Detector.Finish()
	t.to.Mark(allTold)
}

// Restart is that of the detector.
func (t *Taped) Restart(with Sums) {
	t.to.Mark(begunAnew)
	t.line.arc = with.Arc
	t.Detector.Restart(with)
}

// Sums is that of the detector.
func (t *Taped) Sums() Sums {
	sums := t.Detector.Sums()
	t.to.Mark(answerSums)
	t.to.Value(&sums)
	return sums
}

// ArcTime is that of the detector.
func (t *Taped) ArcTime() int64 {
	arc := t.Detector.ArcTime()
	t.to.Mark(answerArcTime)
	t.to.Number(others, arc-t.line.arc)
	return arc
}

// Kept is that of the detector.
func (t *Taped) Kept() Sums {
	sums := t.Detector.Kept()
	t.to.Mark(answerKept)
	t.to.Value(&sums)
	return sums
}

// Newest is that of the detector.
func (t *Taped) Newest() (tick int64, seen bool) {
	if tick, seen = t.Detector.Newest(); seen {
		t.to.Mark(answerNewest)
	} else {
		t.to.Mark(answerNothingSeen)
	}
	t.to.Number(others, tick-t.line.tick)
	return tick, seen
}

// Open is that of the detector.
func (t *Taped) Open() bool { return t.yes(t.Detector.Open(), answerOpen, answerNotOpen) }

// Lit is that of the detector.
func (t *Taped) Lit() bool { return t.yes(t.Detector.Lit(), answerLit, answerNotLit) }

func (t *Taped) yes(is bool, yes, no tape.Mark) bool {
	if !is {
		yes = no
	}
	t.to.Mark(yes)
	return is
}

// Last is that of the detector.
func (t *Taped) Last() int64 {
	last := t.Detector.Last()
	t.to.Mark(answerLast)
	t.to.Number(others, last-t.line.tick)
	return last
}

// MarkWave is that of the detector.
func (t *Taped) MarkWave() *waveform.Mark {
	mark := t.Detector.MarkWave()
	t.yes(mark != nil, answerMark, answerNoMark)
	return mark
}

// EndWave is that of the detector.
func (t *Taped) EndWave(at *waveform.Mark) *waveform.Statistics {
	s := t.Detector.EndWave(at)
	t.yes(at == nil, answerWaveNow, answerWaveAt)
	t.to.Value(&s)
	return s
}
