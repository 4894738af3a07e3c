package finding

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/finding/chart"
	"arctally/analyze/waveform"
)

// feature is one figure of the waveform that is held against the good passes.
type feature uint8

const (
	transfers  feature = iota // a second
	shortShare                // of time
	voltage95                 // V, 95 % point
	unrest                    // of the voltage, over its mean
	pulseRate                 // Hz
	features
)

// featuresOf are those by which an arc of a mode is judged.
var featuresOf = map[waveform.Mode][]feature{
	waveform.Dip:      {transfers, shortShare, voltage95},
	waveform.Spray:    {unrest, voltage95},
	waveform.Globular: {unrest, voltage95},
	waveform.Pulsed:   {pulseRate, unrest, voltage95},
}

var featureNames = [features]string{
	transfers: "the rate of shorts", shortShare: "the share of time in the short", voltage95: "the 95 % point of the voltage",
	unrest: "the unrest of the voltage", pulseRate: "the rate of pulses",
}

// leastSpread is taken for the standard deviation of a feature, over its mean,
// where the good passes show less: an arc may run more evenly than anybody needs.
// Of the unrest it is so much of the voltage. Ours, no source.
var leastSpread = [features]float64{transfers: 0.08, shortShare: 0.08, voltage95: 0.01, unrest: 0.003, pulseRate: 0.05}

// fewestGlances is how many looks make a reference. Ours, no source.
const fewestGlances = 20

// reference is what the waveform looks like where nothing is wrong.
type reference struct {
	mode waveform.Mode // of what was seen
	seen [features]chart.Moments
	law  waveform.Law
}

// valueOf is a feature of a look that shows it.
func valueOf(f feature, s *waveform.Statistics) float64 {
	switch f {
	case transfers:
		return float64(s.Transfer)
	case shortShare:
		return float64(s.ShortShare)
	case unrest:
		return float64(*s.Unrest)
	case pulseRate:
		return float64(*s.PulseRate)
	default:
		return float64(s.Voltage95)
	}
}

func (r *reference) count() int  { return r.seen[voltage95].Count() }
func (r *reference) empty() bool { return r.count() == 0 }

// add takes in a look of a mode; what was seen of another one is forgotten.
func (r *reference) add(g glance, mode waveform.Mode) {
	if r.mode != mode {
		*r = reference{mode: mode}
	}
	for _, f := range featuresOf[mode] {
		r.seen[f].Add(valueOf(f, g.waveform))
	}
	if g.wire > 0 {
		r.law.Add(quantity.MetresPerSecond(g.wire), g.waveform)
	}
}

func (r *reference) join(next reference) {
	if next.empty() {
		return
	}
	if r.mode != next.mode {
		*r = reference{mode: next.mode}
	}
	for f := range features {
		r.seen[f].Join(next.seen[f])
	}
	r.law.Join(next.law)
}

// spread returns the standard deviation that limits of a feature rest on, false
// where its values follow one another too closely for any.
func (r *reference) spread(f feature) (float64, bool) {
	widen, ok := r.seen[f].Widening()
	least := leastSpread[f]
	if f != unrest {
		least *= r.seen[f].Mean()
	}
	return max(r.seen[f].Deviation(), least) * widen, ok
}

// limit returns three standard deviations above or below the mean.
func (r *reference) limit(f feature, side float64) float64 {
	s, _ := r.spread(f)
	return r.seen[f].Mean() + math.Copysign(3*s, side)
}
