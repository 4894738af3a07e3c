package arc

import (
	"arctally/acquire/series"
	"arctally/analyze/tape"
	"arctally/analyze/waveform"
)

// Player tells from a tape what a Taped detector told, and answers as it answered. It takes
// no samples.
type Player struct {
	from    tape.Reader
	tell    func(Event)
	idle    func(Idle)
	line    timeline
	sums    integrals
	bucket  Bucket
	skipped int64
}

// NewPlayer returns who tells what stands on a tape.
func NewPlayer(from tape.Reader, tell func(Event)) *Player { return &Player{from: from, tell: tell} }

// Play tells what a mark begins.
func (p *Player) Play(m tape.Mark) {
	switch {
	case m == likeBefore || m == tape.Mark(BucketClosed):
		p.playBucket(m)
	case m == outOfArc:
		p.playIdle()
	case m == samplesAre:
		var g Grain
		p.from.Value(&g)
		p.sums.are(g)
	case m >= tape.Mark(ArcOut) && m <= tape.Mark(ArcBack):
		p.playEvent(Event{Kind: Kind(m)})
	default:
		tape.Misfit("%d is nothing that an arc does", m)
	}
}

func (p *Player) tick() int64 {
	p.line.tick += p.from.Number(ticks)
	return p.line.tick
}

func (p *Player) playEvent(e Event) {
	e.Tick = p.tick()
	switch e.Kind {
	case ValuesHeld, ValuesMayBeHeld, ArcBack:
		e.From = e.Tick - p.from.Number(others)
	}
	switch e.Kind {
	case Cold, IntervalBegan, ArcBack:
		e.Missing = p.from.Number(others)
	}
	p.tell(e)
}

func (p *Player) playBucket(m tape.Mark) {
	b, line := &p.bucket, &p.line
	*b = Bucket{Start: line.bucketEnd, End: line.bucketEnd + line.length, Arc: line.length}
	if m != likeBefore {
		b.Start += p.from.Number(lengths)
		length := p.from.Number(lengths)
		b.End, b.Arc = b.Start+length, length-p.from.Number(others)
		b.Partial, b.Missing = p.from.Number(others), p.from.Number(others)
		p.look(b)
	}
	p.sums.read(p.from, b)
	line.after(b)
	p.tell(Event{Kind: BucketClosed, Tick: b.End, Bucket: b})
}

func (p *Player) look(b *Bucket) {
	switch p.from.Number(others) {
	case lookedAndUnknown:
		b.Looked = true
	case lookedAt:
		b.Looked, b.Waveform = true, new(waveform.Statistics)
		p.from.Value(b.Waveform)
	}
}

func (p *Player) playIdle() {
	i := Idle{Tick: p.tick()}
	i.From = i.Tick - p.from.Number(others)
	for _, x := range [...]*float64{&i.V, &i.I, &i.Wire} {
		*x = by(0, p.from.Number(meansOut))
	}
	p.idle(i)
}

// all tells all that one call had to tell.
func (p *Player) all() {
	for m := p.from.Mark(); m != allTold; m = p.from.Mark() {
		p.Play(m)
	}
}

// WhileOut is that of a Detector.
func (p *Player) WhileOut(tell func(Idle)) { p.idle = tell }

// Source is that of a Detector.
func (p *Player) Source(series.Source) { p.all() }

// Window is that of a Detector.
func (p *Player) Window(Window) { p.all() }

// Flush is that of a Detector.
func (p *Player) Flush() { p.all() }

// Finish is that of a Detector.
func (p *Player) Finish() { p.all() }

// Take takes nothing: whoever has samples has no use for a tape.
func (p *Player) Take([]Sample) int { panic("arc: samples for a player") }

// SkipCold takes nothing either.
func (p *Player) SkipCold([]Sample, int64) int { panic("arc: samples for a player") }

// WireSpeed has told already what came of it.
func (p *Player) WireSpeed(float64) {}

// Restart is that of a Detector.
func (p *Player) Restart(with Sums) {
	tape.Expect(p.from, begunAnew)
	p.line.arc = with.Arc
}

// Sums is that of a Detector.
func (p *Player) Sums() (s Sums) {
	tape.Expect(p.from, answerSums)
	p.from.Value(&s)
	return s
}

// ArcTime is that of a Detector.
func (p *Player) ArcTime() int64 {
	tape.Expect(p.from, answerArcTime)
	return p.line.arc + p.from.Number(others)
}

// Keep has been done already.
func (p *Player) Keep() {}

// Kept is that of a Detector.
func (p *Player) Kept() (s Sums) {
	tape.Expect(p.from, answerKept)
	p.from.Value(&s)
	return s
}

// Newest is that of a Detector.
func (p *Player) Newest() (tick int64, seen bool) {
	seen = p.yes(answerNewest, answerNothingSeen)
	return p.line.tick + p.from.Number(others), seen
}

// Open is that of a Detector.
func (p *Player) Open() bool { return p.yes(answerOpen, answerNotOpen) }

// Lit is that of a Detector.
func (p *Player) Lit() bool { return p.yes(answerLit, answerNotLit) }

func (p *Player) yes(yes, no tape.Mark) bool {
	m := p.from.Mark()
	if m != yes && m != no {
		tape.Misfit("%d or %d is asked for, and %d comes", yes, no, m)
	}
	return m == yes
}

// Last is that of a Detector.
func (p *Player) Last() int64 {
	tape.Expect(p.from, answerLast)
	return p.line.tick + p.from.Number(others)
}

// MarkWave is that of a Detector; a mark says only that there is one.
func (p *Player) MarkWave() *waveform.Mark {
	if p.yes(answerMark, answerNoMark) {
		return new(waveform.Mark)
	}
	return nil
}

// EndWave is that of a Detector.
func (p *Player) EndWave(at *waveform.Mark) (s *waveform.Statistics) {
	now := p.yes(answerWaveNow, answerWaveAt)
	if now != (at == nil) {
		tape.Misfit("the waveform of another moment is asked for")
	}
	p.from.Value(&s)
	return s
}

// Missing is asked for only by who looks on while a record is made, or has samples.
func (p *Player) Missing() int64 { panic("arc: a player is looked at") }

// Skipped is that of a Detector.
func (p *Player) Skipped() int64 { return p.skipped }

// HadSkipped says how many samples the detector had skipped in the end.
func (p *Player) HadSkipped(n int64) { p.skipped = n }
