package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// gapWeld strikes at 90 degrees, with a gap from 90.5 degrees to another angle. The
// torch turns by 7.5 degrees a second, 0.075 in a bucket, and deep in the gap is from 96.5
// degrees on until 6 degrees before its end.
func gapWeld(to quantity.Degrees) *weld {
	job := testJob()
	job.Deposit.Gaps = []bore.Gap{{From: 90.5, To: to}}
	return newWeld(job)
}

// An arc that burns on through a gap: bucket 87 is the first that ends deep in it, at
// 96.525 degrees, and 221 the first that ends beyond, at 106.575.
func TestGap_arcThroughAGap(t *testing.T) {
	w := gapWeld(112.53)
	w.burn(6)
	w.end()
	f := w.only(t)
	require.Equal(t, ArcInGap, f.Rule)
	require.Equal(t, pass.Moment{Epoch: 3, Tick: 12e9 + 87*step}, f.Start)
	require.InDelta(t, 96.525, float64(f.Place.Angle), 1e-9)
	require.InDelta(t, 7.5*1.34, float64(*f.Way), 1e-9)
	require.InDelta(t, 1.34, float64(f.Duration), 1e-9)
	require.InDelta(t, 1.34, f.Worst, 1e-9)
	require.Equal(t, 1.0, f.Limit)
}

// It is a finding from the dwell on, to the sample: from bucket 87 on until the arc goes
// out, 100 buckets later or one before that.
func TestGap_dwell(t *testing.T) {
	for buckets, want := range map[float64]int{186: 0, 187: 1, 188: 1} {
		w := gapWeld(200)
		w.burn(buckets / 100)
		open := w.Open(w.here(), 0)
		require.Len(t, open, 1)
		require.Equal(t, want == 1, open[0].Certain)
		require.InDelta(t, (buckets-87)/100, float64(open[0].Lasted), 1e-9)
		require.Equal(t, open[0].Value-1, open[0].Beyond)
		w.end()
		require.Len(t, w.Found(), want, buckets)
	}
}

// An arc-out ends it, and the next arc interval begins it anew.
func TestGap_arcOut(t *testing.T) {
	w := gapWeld(200)
	w.burn(1.86)
	w.rest(0.2)
	require.Empty(t, w.Open(w.here(), 0))
	w.burn(0.5)
	w.end()
	require.Empty(t, w.Found())
}

// Only counted turns tell where the arc burns.
func TestGap_onlyCounted(t *testing.T) {
	for _, basis := range []heat.TravelBasis{heat.TravelDerived, heat.TravelDeclared} {
		w := gapWeld(200)
		w.basis = basis
		w.burn(6)
		w.end()
		require.Empty(t, w.Found(), basis)
	}
}
