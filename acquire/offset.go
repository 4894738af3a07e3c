package acquire

import (
	"fmt"
	"math"
	"time"

	"arctally/acquire/clock"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// Told anew is what has changed by so much. Ours, no source.
const (
	wider    = 1.5 // times what was told
	narrower = 0.7
	otherPPM = 0.2 // share of what was told
)

// toldClock is what the sinks were told of the clock of an epoch beside its fits.
type toldClock struct {
	half time.Duration // 0 is nothing
	fast float64       // parts per million; 0 is nothing
}

// hearAnswer takes a reading that answers what the host sent, as a round trip.
func (r *recorder) hearAnswer(reading *link.Reading) {
	if reading.Asked.IsZero() {
		return
	}
	tick := reading.Tick
	if reading.Pong != nil {
		tick = reading.Pong.Tick
	}
	r.clock.Asked(r.epoch, tick, r.all.steady(reading.Asked))
}

// tellClock tells what a fit says and no fit of a record keeps: what round trips leave
// open, and that the clock is further off its rate than a clock should be.
func (r *recorder) tellClock(fit clock.Fit) {
	told := &r.toldClock
	if half, before := float64(fit.Uncertainty), float64(told.half); half > 0 && (before == 0 || half > wider*before || half < narrower*before) {
		told.half = fit.Uncertainty
		r.event(series.Event{
			Kind: series.Offset, Tick: fit.Tick, Until: fit.Tick, Count: int64(fit.Uncertainty),
			Text: fmt.Sprintf("round trips bound the host times of the clock of %s to +-%.1f ms (k = 2)", r.place(), half/1e6),
		})
	}
	if fast := fit.Fast(); fast != 0 && math.Abs(fast-told.fast) > otherPPM*math.Abs(told.fast) {
		told.fast = fast
		r.event(series.Event{
			Kind: series.ClockRate, Tick: fit.Tick, Until: fit.Tick, Count: int64(fast), Text: tooFast(r.place(), fast),
		})
	}
}

// tooFast says what a clock that is off its rate means.
func tooFast(who string, fast float64) string {
	way := "fast"
	if fast < 0 {
		way = "slow"
	}
	return fmt.Sprintf("the clock of %s runs %.0f ppm %s by the host's: energy on its ticks is wrong by as much", who, math.Abs(fast), way)
}
