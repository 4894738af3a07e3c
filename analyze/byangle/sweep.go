package byangle

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/harmonic"
)

// Which swings are told. Ours; common practice, no source.
const (
	certain   = 1e-4  // the chance of noise alone, for each harmonic of a sweep
	leastOnce = 0.004 // of the current: less is no matter, however sure
	leastTwo  = 0.0018
	// mostTurns bounds what is kept turn by turn.
	mostTurns = 500
)

// sweep sums up the points.
func (w *Watch) sweep(all []harmonic.Point) Sweep {
	s := Sweep{Layer: w.layer, First: w.first, Last: w.last, Start: w.start, Depth: w.depth, Basis: w.basis}
	start := float64(w.job.Rotation.StartAngle) / 360
	var c harmonic.Curve
	first := all[0].Turns
	for k := range all {
		p := &all[k]
		x := p.Turns + start
		c.Add(x, p.Mean[current], p.Weight)
		s.Mean.add(p)
		s.Bins[int((x-math.Floor(x))*Bins)%Bins].add(p)
		s.addTurn(int(math.Abs(p.Turns-first)), p)
	}
	s.Turns = c.Turns()
	if p := w.job.Deposit.Pattern; p == bore.Helix || p == bore.Rings {
		s.swings(&c) // strokes go back and forth over a part of the turn
	}
	known := hypot(w.wander, w.astray)
	s.OffCentre.CrestDoubt, s.Oval.CrestDoubt = hypot(s.OffCentre.CrestDoubt, known), hypot(s.Oval.CrestDoubt, known)
	w.distances(&s)
	w.heldAgainstLast(&s)
	s.Mean.finish()
	for k := range s.Bins {
		s.Bins[k].finish()
	}
	for k := range s.ByTurn {
		s.ByTurn[k].finish()
	}
	return s
}

func (s *Sweep) addTurn(number int, p *harmonic.Point) {
	if number >= mostTurns {
		return
	}
	for len(s.ByTurn) <= number {
		s.ByTurn = append(s.ByTurn, Turn{Number: len(s.ByTurn) + 1})
	}
	s.ByTurn[number].add(p)
}

// add sums up in ns; finish makes means of it.
func (b *Bin) add(p *harmonic.Point) {
	b.ArcTime += quantity.Seconds(p.Weight)
	b.Voltage += quantity.Volts(p.Mean[voltage] * p.Weight)
	b.Current += quantity.Amperes(p.Mean[current] * p.Weight)
	b.Power += quantity.Watts(p.Mean[power] * p.Weight)
	b.WireSpeed += quantity.MetresPerSecond(p.Mean[wire] * p.Weight)
}

func (b *Bin) finish() {
	weight := float64(b.ArcTime)
	if weight == 0 {
		return
	}
	b.ArcTime = quantity.Seconds(weight * 1e-9)
	b.Voltage /= quantity.Volts(weight)
	b.Current /= quantity.Amperes(weight)
	b.Power /= quantity.Watts(weight)
	b.WireSpeed /= quantity.MetresPerSecond(weight)
}

// swings fits both harmonics of the current together.
func (s *Sweep) swings(c *harmonic.Curve) {
	mean := c.Mean()
	noise := c.Noise(1)
	waves, ok := c.Fit(1, 2)
	if !ok || noise.Places < leastPlaces || mean <= 0 {
		return
	}
	s.OffCentre = swing(waves[0], noise, mean, 1, leastOnce)
	s.Oval = swing(waves[1], noise, mean, 2, leastTwo)
	s.cos, s.sin, s.doubt = waves[0].Cos/mean, waves[0].Sin/mean, noise.Uncertainty()/mean
}

func hypot(a, b quantity.Degrees) quantity.Degrees {
	return quantity.Degrees(math.Hypot(float64(a), float64(b)))
}

// leastPlaces is how many places of the spectrum tell what noise is: those of
// about four turns.
const leastPlaces = 6

func swing(wave harmonic.Wave, noise harmonic.Noise, mean float64, order int, least float64) Swing {
	u := noise.Uncertainty()
	s := Swing{
		Known: true, Amplitude: quantity.Ratio(wave.Amplitude() / mean), Uncertainty: quantity.Ratio(u / mean),
		Least:  quantity.Ratio(max(least, math.Sqrt(noise.PowerAt(certain))/mean)),
		Chance: noise.Chance(wave.Power()),
		Crest:  quantity.Degrees(wave.Crest() * 360 / float64(order)),
	}
	if a := wave.Amplitude(); a > 0 {
		s.CrestDoubt = quantity.Degrees(min(180, u/a*180/math.Pi) / float64(order))
	}
	s.Found = s.Chance < certain && float64(s.Amplitude) >= least
	return s
}

// distances turns swings into lengths, where the job says how.
func (w *Watch) distances(s *Sweep) {
	sensitivity := math.Abs(float64(w.job.Setpoints.CurrentPerDistance))
	if sensitivity == 0 {
		return
	}
	mean := float64(s.Mean.Current) / float64(s.Mean.ArcTime)
	for _, one := range []*Swing{&s.OffCentre, &s.Oval} {
		if one.Known {
			one.Distance = new(quantity.Metres(float64(one.Amplitude) * mean / sensitivity))
			one.DistanceDoubt = new(quantity.Metres(math.Hypot(
				float64(one.Uncertainty)*mean/sensitivity, float64(*one.Distance)*sensitivityDoubt)))
		}
	}
}

// sensitivityDoubt is how well a sensitivity is known that was measured once, by
// moving the torch and reading the current: 10 %. Ours; no source.
const sensitivityDoubt = 0.10

// heldAgainstLast looks whether the once-a-turn swing is where it was in the sweep before.
func (w *Watch) heldAgainstLast(s *Sweep) {
	if len(w.sweeps) == 0 {
		return
	}
	before := w.sweeps[len(w.sweeps)-1]
	if !before.OffCentre.Known || !s.OffCentre.Known {
		return
	}
	moved := math.Hypot(s.cos-before.cos, s.sin-before.sin)
	s.Moved = quantity.Ratio(moved)
	// Of two components with the standard uncertainty u each, the length has a
	// chance of exp(-r^2/2) to be r*u or more.
	u := math.Hypot(s.doubt, before.doubt)
	s.Shifted = moved >= leastOnce && moved > u*math.Sqrt(-2*math.Log(certain))
}
