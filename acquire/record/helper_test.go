package record

import (
	"math"
	"math/rand/v2"
	"time"

	"arctally/acquire/series"
)

// codesPerVolt and codesPerAmpere are the scales of the binary link before HELLO: 10 mV and 0.1 A.
const (
	codesPerVolt   = 100
	codesPerAmpere = 10
)

// box is a source as the binary link describes one.
func box() series.Source {
	return series.Source{
		Name: "box", Serial: "17", Firmware: "1.0", Calibration: "2026-01, certificate 5", Link: "binary",
		CountsPerTurn: 1024, WirePerCount: 0.001, MaxStep: 150_000,
		Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: 1.0 / codesPerVolt, Bits: 16, Basis: series.Instantaneous},
			{Name: "current", Unit: "A", Scale: 1.0 / codesPerAmpere, Bits: 16, Basis: series.Instantaneous},
			{Name: "wire_speed", Unit: "m/s", Scale: 1, Basis: series.Average},
			{Name: "temperature", Unit: "degC", Scale: 1, Basis: series.Instantaneous},
		},
	}
}

// dippingArc makes n samples at 10 kHz of a short-circuit arc, as codes: a
// source of 21 V behind 0.3 mH, about 70 shorts a second, noise of a few
// codes on both channels. It is on for on seconds of every period seconds.
func dippingArc(n int, on, period float64) (v, i []int32) {
	const (
		dt          = 1e-4
		inductance  = 0.3e-3
		opening     = 21.5 // V of the source, without load
		resistance  = 0.014
		arcVoltage  = 16.0
		arcSlope    = 0.012 // V/A
		shortOhms   = 0.035
		noiseVolts  = 0.06
		noiseAmpere = 0.35
	)
	r := rand.New(rand.NewPCG(1, 2))
	v, i = make([]int32, n), make([]int32, n)
	current, short, next := 0.0, 0, 60
	for k := range n {
		volts := 0.0
		if math.Mod(float64(k)*dt, period) < on {
			load := arcVoltage + arcSlope*current
			if short > 0 {
				load = shortOhms * current
				short--
			} else if next--; next <= 0 {
				short, next = 18+r.IntN(25), 60+r.IntN(110)
			}
			current += dt / inductance * (opening - resistance*current - load)
			volts = load + 0.4*r.NormFloat64()*min(1, float64(next)/30)
		} else {
			current *= 0.6
		}
		v[k] = int32(math.Round((volts + noiseVolts*r.NormFloat64()) * codesPerVolt))
		i[k] = int32(math.Round((current + noiseAmpere*r.NormFloat64()) * codesPerAmpere))
	}
	return v, i
}

// Entry adds one entry that is an act of its own.
func (w *Writer) Entry(kind, by string, at time.Time, text string) (int64, error) {
	return w.Entries([]Entry{{Kind: kind, At: at, By: by, Text: text}})
}
