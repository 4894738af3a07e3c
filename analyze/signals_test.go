package analyze

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/heat"
)

// aSecond is a pass of a second on a plate that is judged with a job and a source.
func aSecond(t *testing.T, said heat.Signals, change func(*series.Source)) Result {
	t.Helper()
	job, src := coupon(), source(0)
	job.Signals = said
	change(&src)
	r := New(job, nil)
	require.NoError(t, r.Source(src))
	b := second()
	require.NoError(t, r.Block(&b))
	return r.Finish()
}

// What nobody says is warned of in one line, and what the job says in place of the box
// is known.
func TestRun_warnsOfWhatNobodySaid(t *testing.T) {
	all := kind(aSecond(t, heat.Signals{}, func(*series.Source) {}), "not-said")
	require.Len(t, all, 1)
	require.EqualValues(t, 1, all[0].Count)
	require.Equal(t, "the worst case stands in, and nothing that rests on it is proved, in 1 of 1 passes: "+
		"the skew between voltage and current is not declared; the bandwidth of voltage and current is not known; "+
		"where the voltage is taken is not said; how far the clock of the source may be off is not said", all[0].Text)

	job := heat.Signals{Alternates: true, VoltageBandwidth: 2000, Leads: series.Stated{Known: true}}
	all = kind(aSecond(t, job, func(s *series.Source) {
		s.Channels[1].Bandwidth, s.ClockDeviation = 2000, series.Stated{Known: true}
	}), "not-said")
	require.Empty(t, all, "the one says what the other does not")
}

// Two boxes in one pass: what the second does not say is not known of the pass, though
// the first said it. A description that comes in place of one that was assumed is
// that of the same box.
func TestRun_anotherBoxWithinAPass(t *testing.T) {
	for name, test := range map[string]struct {
		first, second func(*series.Source)
		unknown       bool
	}{
		"both say it":           {saysAll, saysAll, false},
		"the second does not":   {saysAll, func(*series.Source) {}, true},
		"the first does not":    {func(*series.Source) {}, saysAll, true},
		"the first was assumed": {func(s *series.Source) { s.Assumed = true }, saysAll, false},
	} {
		t.Run(name, func(t *testing.T) {
			r := New(coupon(), nil)
			for k, change := range []func(*series.Source){test.first, test.second} {
				src := source(0)
				change(&src)
				require.NoError(t, r.Source(src))
				b := second()
				b.Tick = int64(k) * 1000 * ms
				require.NoError(t, r.Block(&b))
			}
			res := r.Finish()
			require.Len(t, res.Passes, 1)
			require.Equal(t, test.unknown, len(kind(res, "not-said")) > 0)
		})
	}
}
