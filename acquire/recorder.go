package acquire

import (
	"math"
	"time"

	"arctally/acquire/clock"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// recorder keeps account of one box, and hands out what it says. All that it knows
// is guarded by the lock of the ensemble.
type recorder struct {
	all   *ensemble
	out   *fanout // that of the ensemble
	tally Tally

	now         time.Time // arrival of the bytes being decoded
	wrong       wrongLink
	quiet       quiet
	order       sequence
	source      series.Source
	announced   bool
	assumed     bool // that its scale is assumed was told
	begun       bool // it has an epoch
	epoch       int
	position    position
	breakNext   bool // the next block of arc or sums does not follow
	unsure      bool // something may be lost that only a sequence number shows
	joining     bool // the first damage is a frame cut by our coming late
	lines       bool // the link is text: one sample a line
	batch       batch
	gap         gap
	clipped     flagged
	overrun     flagged
	damage      damage
	mark        mark
	clock       clock.Tracker
	fitted      time.Time // when the last fit was handed out
	fittedEpoch int
	toldClock   toldClock
	newestTick  int64 // of this epoch
	hasTick     bool  // it is of the bytes being decoded
}

func newRecorder(all *ensemble, source series.Source) *recorder {
	return &recorder{
		all:        all,
		out:        &all.out,
		source:     source,
		joining:    true,
		lines:      source.Link != link.Binary,
		newestTick: math.MinInt64,
		clipped:    flagged{kind: series.Clipped, text: "a channel stood at its end stop"},
		overrun:    flagged{kind: series.Overrun, text: "the box lost samples before it could send them"},
	}
}

// take takes a frame or a damage.
func (r *recorder) take(reading *link.Reading, err error) {
	switch {
	case r.out.err != nil:
	case err != nil:
		r.takeDamage(err)
	default:
		r.takeReading(reading)
	}
}

func (r *recorder) takeReading(reading *link.Reading) {
	r.begin()
	r.tally.Frames++
	r.joining = false
	r.account(reading)
	r.heard()
	r.hearAnswer(reading)
	if reading.Source != nil {
		r.takeSource(*reading.Source)
	}
	r.position.sight(reading.Tick)
	r.noteTick(reading.Tick)
	r.flags(reading)
	for k := range reading.Blocks {
		r.takeBlock(&reading.Blocks[k])
	}
}

// takeSource announces a source that says something new of itself.
func (r *recorder) takeSource(s series.Source) {
	s.Box, s.Port = r.source.Box, r.source.Port
	if r.announced && r.source.Equal(s) {
		return
	}
	if s.CountsPerTurn != r.source.CountsPerTurn {
		r.mark = mark{}
	}
	r.flush()
	r.source = s
	r.all.described(r)
	r.announced = true
	r.out.source(r.source)
}

// announce gives the sinks the default source where none has described itself.
func (r *recorder) announce() {
	if r.announced {
		return
	}
	r.announced = true
	r.out.source(r.source)
}

// assume tells of samples whose scale is assumed.
func (r *recorder) assume() {
	if r.source.Assumed && !r.assumed {
		r.assumed = true
		r.event(series.Event{
			Kind: series.Remark, Tick: r.position.tick, Until: r.position.tick, Count: 1,
			Text: "the scale of voltage and current was assumed, until the box described itself",
		})
	}
}

// begin takes an epoch for the box, where it has none.
func (r *recorder) begin() {
	if !r.begun {
		r.begun, r.epoch = true, r.all.nextEpoch()
	}
}

// hand gives a block to the sinks.
func (r *recorder) hand(b *series.Block) {
	b.Box = r.source.Box
	r.out.block(b)
}

// noteTick keeps the newest tick for the fit of the clock.
func (r *recorder) noteTick(tick int64) {
	if tick > r.newestTick {
		r.newestTick, r.hasTick = tick, true
	}
}

// endOfRead hands out what must not wait for more bytes.
func (r *recorder) endOfRead() {
	r.flush()
	if r.damage.due(r.now) {
		r.reportDamage()
	}
	if !r.hasTick {
		return
	}
	r.hasTick = false
	r.clock.Observe(r.epoch, r.newestTick, r.all.steady(r.now))
	if r.announced && (r.now.Sub(r.fitted) >= fitEvery || r.epoch != r.fittedEpoch) {
		r.handOutFit()
	}
}

func (r *recorder) handOutFit() {
	if fit, ok := r.clock.Fit(); ok {
		r.fitted, r.fittedEpoch = r.now, r.epoch
		fit.Box = r.source.Box
		r.out.clock(fit)
		r.tellClock(fit)
	}
}

// finish hands out the events that were waiting for an end.
func (r *recorder) finish() {
	if r.out.err != nil {
		return
	}
	r.endEpoch()
	if r.announced {
		r.handOutFit()
	}
}
