package waveform

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// lively is a signal of all kinds: shorts of any length, grazes, spikes, pulses, a steady
// arc, steps of no length and such as are too long, samples on the levels themselves.
func lively(dice *rand.Rand, n int) []Sample {
	x := make([]Sample, 0, n)
	tick, left, v, i := int64(dice.IntN(1000)), 0, 20.0, 150.0
	kind := dice.IntN(3)
	for len(x) < n {
		if left--; left < 0 {
			left = 1 + dice.IntN(120)
			switch low := dice.IntN(2) == 0; {
			case kind == 0 && low:
				v, i, left = 3, 150, 1+dice.IntN(60)
			case kind == 1 && low:
				v, i = 18, 60
			case kind == 1:
				v, i = 32, 350
			default:
				v, i = 22, 130
			}
			if dice.IntN(300) == 0 {
				kind = dice.IntN(3)
			}
		}
		if kind == 0 && v < 10 {
			i += dice.Float64() * 5
		}
		noise := float64(dice.IntN(9)) / 4
		x = append(x, Sample{Tick: tick, V: v + noise, I: i + noise*3})
		switch dice.IntN(2000) {
		case 0:
		case 1:
			tick += slowest
		case 2:
			tick += slowest + 1
		default:
			tick += 100_000
		}
	}
	return x
}

// Runs of any length give the same bits as sample by sample.
func TestMeter_runIsStepByStep(t *testing.T) {
	quiet := 0
	for seed := range uint64(12) {
		dice := rand.New(rand.NewPCG(seed, 12))
		x := lively(dice, 30_000)
		plain, quick := NewMeter(), NewMeter()
		tick := x[0].Tick
		for rest := x; len(rest) > 0; {
			run := rest[:min(len(rest), 1+dice.IntN(150))]
			rest = rest[len(run):]
			at := tick
			for _, s := range run {
				plain.Step(s.V, s.I, s.Tick-at)
				at = s.Tick
			}
			probe := *quick
			quiet += probe.quiet(run, tick)
			quick.Run(run, tick)
			tick = at
			require.Equal(t, plain, quick)
			if plain.window.time > 500_000_000 {
				require.Equal(t, plain.Take(), quick.Take())
			}
			if dice.IntN(200) == 0 {
				plain.Break()
				quick.Break()
			}
		}
		require.Equal(t, plain.EndPass(), quick.EndPass())
	}
	require.Greater(t, quiet, 10_000, "the short cut was taken")
}
