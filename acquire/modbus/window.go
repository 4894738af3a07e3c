package modbus

import (
	"math"

	"arctally/acquire/series"
)

// The scales of a window of the block map. Its step is 1 us, so that the sums of the map
// are the sums of codes, and stay whole:
//
//	V = sum of uV*s,  I = sum of uA*s,  VI = 1000 * mJ,  count = us
const (
	voltsPerCode   = 1
	amperesPerCode = 1
	stepNs         = 1000
	productPerMJ   = 1000
	usPerMs        = 1000
)

// longestWindow is the longest time, in us, over which a difference is taken for a
// window: nobody knows what an arc did for longer. The same as of a SUMS frame.
const longestWindow = 60_000_000

// bounds are what a window may hold on the mean: far more than any arc, and a little
// less than nothing, as what is zero is measured around zero. Ours, no source.
type bounds struct{ low, high int64 }

var (
	volts      = bounds{-5, 1_000}
	amperes    = bounds{-20, 20_000}
	watts      = bounds{-500, 5_000_000}
	wireCounts = bounds{-1_000_000, 1_000_000} // in a second
)

// order says how a state of the registers stands to an earlier one.
type order uint8

const (
	strange order = iota // it cannot come after it
	same                 // nothing has changed
	later
)

// after says how b stands to a.
func (b *Block) after(a *Block) order {
	ahead := int32(b.Seq - a.Seq)
	switch {
	case b.Boot != a.Boot || ahead < 0 || b.TickUS < a.TickUS:
		return strange
	case ahead == 0 && b.sums() == a.sums():
		return same
	case ahead == 0 || b.TickUS == a.TickUS:
		return strange
	}
	us := int64(b.TickUS - a.TickUS)
	d := difference(a, b)
	if volts.hold(d.volts, us) && amperes.hold(d.amperes, us) && watts.hold(d.mJ, us/productPerMJ+1) &&
		d.samples <= us && d.arcOn*usPerMs <= us+usPerMs && wireCounts.hold(d.wire, us/1_000_000+1) {
		return later
	}
	return strange
}

// sums are what of a state cannot change without its sequence number.
func (b *Block) sums() Block {
	s := *b
	s.Volts, s.Amperes, s.WireSpeed, s.Status = 0, 0, 0, 0
	return s
}

// delta is what was added between two states.
type delta struct{ mJ, volts, amperes, samples, arcOn, wire int64 }

// difference subtracts counters of 32 bits by their wrap; those of 64 bits never do.
func difference(a, b *Block) delta {
	return delta{
		mJ: int64(b.Energy - a.Energy), volts: int64(b.Voltage - a.Voltage), amperes: int64(b.Current - a.Current),
		samples: int64(b.Samples - a.Samples), arcOn: int64(b.ArcOn - a.ArcOn), wire: int64(int32(b.WireCount - a.WireCount)),
	}
}

// hold reports whether a sum over so many units of time is within its bounds.
func (b bounds) hold(sum, units int64) bool {
	return units <= math.MaxInt64/b.high && sum >= units*b.low && sum <= units*b.high
}

// trueRate is from how many samples in a second on their products give the true power
// of a dipping arc (analyze: 1 kHz).
const trueRate = 1000

// instantaneous reports whether the samples of a difference came so fast.
func (d delta) instantaneous(us int64) bool { return d.samples*1_000_000 >= us*trueRate }

// windower makes windows of the differences of consecutive states.
type windower struct {
	arcOn arcOn
	wire  int64 // counts that were drawn back, and are to be taken off those to come
}

// window returns what was summed up from one state to a later one, not longer than
// longestWindow. The map has no extremes: they are not known.
func (w *windower) window(a, b *Block) series.Block {
	us := int64(b.TickUS - a.TickUS)
	d := difference(a, b)
	fed := d.wire + w.wire
	w.wire = min(fed, 0)
	return series.Block{
		Kind: series.Sums, Tick: int64(a.TickUS) * stepNs, Step: stepNs,
		Sum: series.WindowSums{
			Count: uint32(us), V: d.volts, I: d.amperes, VI: d.mJ * productPerMJ,
			VMin: math.MaxInt16, VMax: math.MinInt16, IMin: math.MaxInt16, IMax: math.MinInt16,
			ArcOn: uint32(w.arcOn.in(us, d.arcOn*usPerMs)), WireCount: uint32(max(fed, 0)),
		},
	}
}

// arcOn follows the time in arc, of which the map counts whole ms only. Where all of a
// window, or none of it, is within a ms of what was counted so far, that is taken: a
// window between two polls has no whole number of ms, and would else look like one
// partly in arc, that gives no means.
//
// The time in arc of all windows together is within 2 ms of what the box counted.
type arcOn struct {
	ahead int64 // us by which what was said is ahead of the ms counted
}

// in returns the time in arc of a window, in us, for which so much was counted.
func (t *arcOn) in(window, counted int64) int64 {
	said := window
	switch left := t.ahead + window - counted; {
	case counted == 0:
		said = 0
	case left < -usPerMs || left > usPerMs:
		said = min(max(counted-t.ahead, 0), window)
	}
	t.ahead += said - counted
	return said
}
