package procedure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/heat"
)

func jobWith(signals string) (*Job, error) {
	return ParseJob("job.yaml", []byte("job: J\nprocedure: p.yaml\ndeposit: {pattern: straight}\nsignals: "+signals+"\n"))
}

func TestParseJob_Signals(t *testing.T) {
	said := func(v float64) series.Stated { return series.Stated{Value: v, Known: true} }
	for text, want := range map[string]heat.Signals{
		"{}":                                   {},
		"{voltage_tap: feeder, leads: 5 mohm}": {Tap: heat.AtFeeder, Leads: said(5e-3)},
		"{leads: 0 ohm, clock: 0 ppm}":         {Leads: said(0), Clock: said(0)},
		"{skew: -20 us, clock: 50ppm}":         {Skew: said(-20e-6), Clock: said(50e-6)},
		"{skew: 0 us}":                         {Skew: said(0)},
		"{skew: alternating}":                  {Alternates: true},
		"{voltage_bandwidth: 2.5 kHz, current_bandwidth: 50 kHz}": {VoltageBandwidth: 2500, CurrentBandwidth: 50e3},
	} {
		job, err := jobWith(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, job.Signals, text)
	}
}

func TestParseJob_SignalsErrors(t *testing.T) {
	for text, want := range map[string]string{
		"{voltage_tap: gun}":        `job.yaml:4:24: signals.voltage_tap cannot be "gun"; write torch, feeder or source`,
		"{leads: 5}":                `job.yaml:4:18: signals.leads "5": no unit; write mohm, ohm or uohm`,
		"{leads: -1 mohm}":          "job.yaml:4:18: signals.leads must be from 0 mohm to 100 mohm, not -1 mohm",
		"{leads: 101 mohm}":         "job.yaml:4:18: signals.leads must be from 0 mohm to 100 mohm, not 101 mohm",
		"{skew: 101 ms}":            "job.yaml:4:17: signals.skew must be from -100 ms to 100 ms, not 101 ms",
		"{skew: -101 ms}":           "job.yaml:4:17: signals.skew must be from -100 ms to 100 ms, not -101 ms",
		"{clock: 50}":               `job.yaml:4:18: signals.clock "50": write it in ppm, from 0 to 100000 ppm`,
		"{clock: NaN ppm}":          `job.yaml:4:18: signals.clock "NaN ppm": write it in ppm, from 0 to 100000 ppm`,
		"{clock: -1 ppm}":           `job.yaml:4:18: signals.clock "-1 ppm": write it in ppm, from 0 to 100000 ppm`,
		"{voltage_bandwidth: 0 Hz}": "job.yaml:4:30: signals.voltage_bandwidth must be above zero, not 0 Hz",
	} {
		_, err := jobWith(text)
		require.EqualError(t, err, want, text)
	}
}
