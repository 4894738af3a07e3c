package main

import (
	"bytes"
	"errors"
	"io"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox/firmware/bench"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile/jobtest"
)

// The firmware of the sensor box, on an emulated processor with an arc on its pins, is
// recorded with the command, whichever way it sends: the pass has the energy of the
// signal on the pins, and the record holds.
func TestRecord_firmware(t *testing.T) {
	if testing.Short() {
		t.Skip("it emulates a processor")
	}
	const (
		seconds       = 3.0
		wirePerSecond = 100 // pulses, of a millimetre
	)
	for name, changes := range map[string][]string{
		"samples": nil,
		"sums":    {"MODE SAMPLES", "MODE SUMS", "BAUD 500000", "BAUD 115200", "PER_WINDOW 32", "PER_WINDOW 100"},
	} {
		t.Run(name, func(t *testing.T) {
			arc := bench.Silence(seconds).Dipping(0.3, seconds-0.3, 11).Filtered()
			script := bench.Script{Hex: bench.Build(t, changes...), Arc: arc, Third: 3, Until: seconds * 1e6}
			for at := 0.1e6; at < script.Until; at += 1e6 / wirePerSecond {
				script.Pins = append(script.Pins, bench.Pin{At: at, Bit: bench.Wire}, bench.Pin{At: at + 500, Bit: bench.Wire, High: true})
			}
			box := bench.Start(t, script)
			r := repair{record: filepath.Join(t.TempDir(), "repair.arctally")}
			var printed bytes.Buffer
			job := jobtest.Short(t, "helix", jobtest.OneTurn)
			ended := make(chan error, 1)
			go func() {
				_, err := box.Wait()
				ended <- errors.Join(err, box.Unplug())
			}()
			status := run(t.Context(), []string{"record", job, "--port", box.Port, "-o", r.record, "--patience", "100ms"}, &printed, &printed)
			require.NoError(t, <-ended)
			require.Contains(t, []int{explain.Done, explain.Open}, status, printed.String())
			r.readBack(t, "passes", &r.passes)
			require.Len(t, r.passes.Passes, 1, printed.String())
			pass := r.passes.Passes[0]
			require.NotNil(t, pass.Energy)
			t.Logf("energy off by %.4f %%", 100*(*pass.Energy/arc.Energy(0, seconds)-1))
			assert.InEpsilon(t, arc.Energy(0, seconds), *pass.Energy, energyTolerance)
			assert.InDelta(t, seconds-0.6, *pass.ArcTime, 2e-3)
			require.NotNil(t, pass.PowerBasis)
			assert.Equal(t, "instantaneous", *pass.PowerBasis)
			assert.Zero(t, *pass.GapTime)
			require.NotNil(t, pass.Wire)
			assert.InEpsilon(t, (seconds-0.6)*wirePerSecond*1e-3, *pass.Wire, 0.01)
			assert.Zero(t, run(t.Context(), []string{"verify", r.record}, io.Discard, &printed), printed.String())
		})
	}
}
