//go:build linux

package main

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
)

// How long the signals are, in s; where they are slow, a record needs to be longer to be
// more than its own beginning.
const (
	signalLength = 60
	slowLength   = 900
)

// signal is what is recorded: all blocks of a source, and its codes.
type signal struct {
	source series.Source
	blocks []series.Block
	v, i   []int32
}

// signalNamed makes the arc of our own box, or one of five signals that are unlike it.
func signalNamed(name string) (signal, error) {
	r := rand.New(rand.NewPCG(1, 2))
	noise := func(half float64) func() float64 { return func() float64 { return r.NormFloat64() * half } }
	even := func(v, i func(t float64) float64) signal {
		return signalOf(signalLength*10_000, func(k int) int64 { return int64(k) * 100_000 }, false, v, i)
	}
	switch name {
	case "box":
		return boxSignal()
	case "noisy-12-bit":
		twelve := noise(20)
		return even(func(float64) float64 { return 2000 + twelve() }, func(float64) float64 { return 1500 + twelve() }), nil
	case "noisy-16-bit":
		sixteen := func(float64) float64 { return float64(int16(r.Uint32())) }
		return even(sixteen, sixteen), nil
	case "irregular-45-hz":
		ticks := irregularTicks(r, 45*slowLength)
		three, four := noise(3), noise(4)
		return signalOf(len(ticks), func(k int) int64 { return ticks[k] }, true,
			func(float64) float64 { return math.Round(200 + three()) }, func(float64) float64 { return math.Round(140 + four()) }), nil
	case "pulsed":
		return even(pulse(700, 300, noise(4)), pulse(3000, 500, noise(6))), nil
	case "tiled-50-khz":
		box, err := boxSignal()
		return tiled(box, 50_000), err
	}
	return signal{}, fmt.Errorf("there is no signal %q", name)
}

// boxSignal is what the box says in the first minutes of its demo.
func boxSignal() (s signal, err error) {
	box, err := sensorbox.New(sensorbox.Demo())
	if err != nil {
		return s, err
	}
	s.source = box.Plan().Source()
	s.blocks, err = firstOf(box)
	for k := range s.blocks {
		s.v, s.i = append(s.v, s.blocks[k].V...), append(s.i, s.blocks[k].I...)
	}
	return s, err
}

// pulse is high for 2 ms of every 8.
func pulse(high, low float64, noise func() float64) func(t float64) float64 {
	return func(t float64) float64 {
		if math.Mod(t, 0.008) < 0.002 {
			return high + noise()
		}
		return low + noise()
	}
}

// irregularTicks are those of a logger that comes to it when it can.
func irregularTicks(r *rand.Rand, n int) []int64 {
	ticks, tick := make([]int64, n), int64(0)
	for k := range ticks {
		tick += 15_000_000 + r.Int64N(15_000_000)
		ticks[k] = tick
	}
	return ticks
}

// signalOf is a signal of functions of time, in blocks of a tenth of a second or so.
func signalOf(n int, tick func(k int) int64, own bool, v, i func(t float64) float64) signal {
	s := signal{source: sensorbox.Demo().Source()}
	step := tick(1) - tick(0)
	per := max(1, int(100_000_000/step))
	for from := 0; from < n; from += per {
		b := series.Block{Kind: series.Arc, Tick: tick(from), Step: step}
		for k := from; k < min(from+per, n); k++ {
			t := float64(tick(k)) * 1e-9
			b.V, b.I = append(b.V, int32(v(t))), append(b.I, int32(i(t)))
			if own {
				b.Ticks = append(b.Ticks, tick(k))
			}
		}
		if own {
			b.Step = 0
		}
		s.blocks, s.v, s.i = append(s.blocks, b), append(s.v, b.V...), append(s.i, b.I...)
	}
	return s
}

// tiled is the voltage and current of a signal at another pace.
func tiled(of signal, rate int) signal {
	at := func(codes []int32) func(t float64) float64 {
		return func(t float64) float64 { return float64(codes[int(math.Round(t*float64(rate)))%len(codes)]) }
	}
	n := min(len(of.v), signalLength*rate)
	return signalOf(n, func(k int) int64 { return int64(k) * 1e9 / int64(rate) }, false, at(of.v), at(of.i))
}

// entropyOf is the order-0 entropy of codes in bytes a value: of themselves, or of their
// differences of an order,
//
//	H = -sum p(c)*log2 p(c) / 8
//
// with p(c) the share of the code c.
func entropyOf(codes []int32, order int) float64 {
	if order > 0 {
		left := make([]int32, len(codes)-1)
		for k := range left {
			left[k] = codes[k+1] - codes[k]
		}
		return entropyOf(left, order-1)
	}
	counts, h := map[int32]float64{}, 0.0
	for _, c := range codes {
		counts[c]++
	}
	for _, c := range counts {
		p := c / float64(len(codes))
		h -= p * math.Log2(p)
	}
	return h / 8
}

// recordSignal records a signal as live ones are, and reads it back.
func recordSignal(name, file string) (took said, err error) {
	s, err := signalNamed(name)
	if err != nil {
		return took, err
	}
	took.Values = int64(len(s.v) + len(s.i))
	for k, order := range []int{0, 2} {
		took.Entropy[k] = (entropyOf(s.v, order) + entropyOf(s.i, order)) / 2
	}
	w, err := record.Create(file, record.Meta{Job: name, Created: began})
	if err != nil {
		return took, err
	}
	begun := processorTime()
	if err := errors.Join(s.write(w), w.Close()); err != nil {
		return took, err
	}
	took.Seconds = processorTime() - begun
	begun = processorTime()
	if err := eachGroup(file, func(*record.Group) {}); err != nil {
		return took, err
	}
	took.Reading = processorTime() - begun
	return took, sizeOf(file, &took)
}

// write records a signal and commits once a second of it.
func (s *signal) write(w *record.Writer) error {
	if err := w.Source(s.source); err != nil {
		return err
	}
	next := afterSecond
	for k := range s.blocks {
		if at := s.blocks[k].At(0); at >= next {
			next += second
			if err := commit(w, at); err != nil {
				return err
			}
		}
		if err := w.Block(&s.blocks[k]); err != nil {
			return err
		}
	}
	return nil
}
