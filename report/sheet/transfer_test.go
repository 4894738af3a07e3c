package sheet_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/waveform"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// Each mode says what means something in it, and nothing else.
func TestTransfers(t *testing.T) {
	in := sheettest.Input()
	p := in.Result.Passes
	require.GreaterOrEqual(t, len(p), 3)
	require.Empty(t, sheet.New(in).Transfers(), "nothing is known")
	p[0].Waveform, p[1].Waveform, p[2].Waveform = sheettest.Shorting(), sheettest.Shorting(), sheettest.Pulsing()
	p[1].Waveform.Transfer, p[1].Waveform.ShortShare = 90.2, 0.21
	said := func() (all []string) {
		for _, b := range sheet.New(in).Transfers() {
			all = append(all, b.Text())
		}
		return all
	}
	require.Equal(t, []string{
		"passes 1 to 2 dip (82 to 90 shorts over 1 ms a second, 18 to 21 % of the time in the short)",
		"pass 3 pulsed (122 pulses a second, 402 A peak, 79 A background, 25 % of the time in the pulse)",
	}, said())
	p[1].Waveform = &waveform.Statistics{Mode: waveform.Spray, Step: 1e-4, Unrest: new(quantity.Ratio(0.004))}
	p[2].Waveform = &waveform.Statistics{Mode: waveform.Globular, Step: 1e-4}
	require.Equal(t, []string{
		"pass 1 dip (82 shorts over 1 ms a second, 18 % of the time in the short)", "pass 2 spray (0.4 % unrest of the voltage)", "pass 3 globular",
	}, said())
}

// What has no meaning in a mode is null.
func TestWaveformRow_pulsed(t *testing.T) {
	in := sheettest.Input()
	in.Result.Passes[0].Waveform = sheettest.Pulsing()
	w := sheet.New(in).Passes[0].WaveformRow()
	require.Equal(t, "pulsed", *w.Mode)
	require.InDelta(t, 121.5, *w.PulseRate, 1e-9)
	require.InDelta(t, 79, *w.Background, 1e-9)
	require.Nil(t, w.Transfers)
	require.Nil(t, w.ShortShare)
	require.Nil(t, w.Stubs)
	require.Nil(t, w.ShortLevel)
}
