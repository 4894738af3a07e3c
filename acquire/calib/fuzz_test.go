package calib

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzDecodeCheck wants no panic on any text, and the same check again from what
// it encodes to.
func FuzzDecodeCheck(f *testing.F) {
	f.Add(`{"check": "meter", "channel": "voltage", "done": "2026-05-04T07:40:00Z", "epoch": 3, "tick_ns": 7,
		"figures": [{"name": "reading", "unit": "V", "values": [10, 20.5]}],
		"outcomes": [{"name": "gain", "unit": "", "value": 1.01, "standard_uncertainty": null}],
		"calibration": {"channel": "voltage", "gain": 1.01, "offset": -0.1}}`)
	f.Add(`{}`)
	f.Add(`[1]`)
	f.Fuzz(func(t *testing.T, text string) {
		c, err := DecodeCheck(text)
		if err != nil {
			return
		}
		again, err := c.Encode()
		require.NoError(t, err)
		back, err := DecodeCheck(again)
		require.NoError(t, err)
		twice, err := back.Encode()
		require.NoError(t, err)
		require.Equal(t, again, twice)
	})
}
