package finding

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/finding/chart"
	"arctally/analyze/waveform"
)

// wavering returns looks half a second apart at an arc of 80 transfers a second,
// with a little scatter of its own.
func wavering(n int, alter func(k int, s *waveform.Statistics)) []glance {
	var all []glance
	for k := range n {
		s := &waveform.Statistics{
			Transfer: quantity.Hertz(80 + 2*math.Sin(float64(k)*2.1)), ShortShare: quantity.Ratio(0.18 + 0.005*math.Sin(float64(k)*1.7)),
			Voltage95: quantity.Volts(21.9 + 0.05*math.Sin(float64(k)*2.9)), Current: 140, RMS: 144, Known: 0.5,
		}
		if alter != nil {
			alter(k, s)
		}
		all = append(all, glance{start: int64(k) * 5e8, end: int64(k+1) * 5e8, wire: 0.09, waveform: s})
	}
	return all
}

// followed returns what a signature finds in looks, against a clean reference.
func followed(looks []glance) []oddity {
	var good reference
	for _, g := range wavering(100, nil) {
		good.add(g, waveform.Dip)
	}
	var found []oddity
	s := signature{changed: func(c oddity) { found = append(found, c) }}
	for _, g := range looks {
		s.follow(g, &good)
	}
	s.end()
	return found
}

func TestSignature_nothingInTheGoodArc(t *testing.T) {
	require.Empty(t, followed(wavering(10_000, nil)))
}

func TestSignature_bareArc(t *testing.T) {
	found := followed(wavering(60, func(k int, s *waveform.Statistics) {
		if k >= 30 && k < 38 {
			s.Transfer, s.Voltage95 = 120, 25
		}
	}))
	require.Len(t, found, 1)
	require.True(t, found[0].bareArc())
	require.EqualValues(t, 30*5e8, found[0].from.start)
	require.EqualValues(t, 38*5e8, found[0].to.end)
	require.Equal(t, 25.0, found[0].most[voltage95])
}

// A lasting shift of two deviations is found, and dated to where it began.
func TestSignature_smallShift(t *testing.T) {
	found := followed(wavering(100, func(k int, s *waveform.Statistics) {
		if k >= 40 && k < 80 {
			s.Transfer *= 1 + quantity.Hertz(2.2*leastSpread[transfers])
		}
	}))
	require.Len(t, found, 1)
	require.False(t, found[0].bareArc())
	require.True(t, found[0].signalled[transfers][0])
	require.InDelta(t, 40*5e8, float64(found[0].from.start), 3*5e8)
}

func TestSignature_oneOddLookIsNothing(t *testing.T) {
	require.Empty(t, followed(wavering(60, func(k int, s *waveform.Statistics) {
		if k == 30 || k == 45 {
			s.Transfer, s.Voltage95 = 0, 30
		}
	})))
}

// steadily returns a reference of looks that are all alike: the spread of a feature is
// then the least one, 8 % of 80 a second, 8 % of 0.2 and 1 % of 22 V.
func steadily() *reference {
	r := new(reference)
	for range fewestGlances {
		r.add(glance{waveform: &waveform.Statistics{Transfer: 80, ShortShare: 0.2, Voltage95: 22}}, waveform.Dip)
	}
	return r
}

// followedBy returns what a signature finds, against the steady reference, in looks
// that lie so many spreads of each feature off it.
func followedBy(off ...[features]float64) (found []oddity) {
	good := steadily()
	s := signature{changed: func(c oddity) { found = append(found, c) }}
	for k, z := range off {
		s.follow(glance{start: int64(k) * 5e8, end: int64(k+1) * 5e8, waveform: &waveform.Statistics{
			Transfer: quantity.Hertz(80 + 6.4*z[transfers]), ShortShare: quantity.Ratio(0.2 + 0.016*z[shortShare]), Voltage95: quantity.Volts(22 + 0.22*z[voltage95]),
		}}, good)
	}
	s.end()
	return found
}

// looks are so many at one offset of the transfers, and so many more at the next ...
func looks(countAndOffset ...float64) (off [][features]float64) {
	for k := 0; k < len(countAndOffset); k += 2 {
		off = append(off, slices.Repeat([][features]float64{{transfers: countAndOffset[k+1]}}, int(countAndOffset[k]))...)
	}
	return off
}

// One odd look counts for 5 spreads at most, less the slack of 1: two of them are 8, three
// are 12, which is above 10. At 2.01 spreads it takes ten looks, 10.1; at 1.99 eleven.
func TestSignature_signals(t *testing.T) {
	for name, c := range map[string]struct {
		off  [][features]float64
		want int
	}{
		"two odd looks":            {looks(9, 0, 2, 40), 0},
		"three odd looks":          {looks(9, 0, 3, 40), 1},
		"three odd looks below":    {looks(9, 0, 3, -12), 1},
		"ten looks just above two": {looks(9, 0, 10, 2.01), 1},
		"ten looks just below two": {looks(9, 0, 10, 1.99), 0},
		"eleven of them":           {looks(9, 0, 11, 1.99), 1},
		"nothing":                  {looks(99, 0.9), 0},
	} {
		found := followedBy(c.off...)
		require.Len(t, found, c.want, name)
		for _, o := range found {
			require.EqualValues(t, 9*5e8, o.from.start, name)
			require.EqualValues(t, len(c.off)*5e8, o.to.end, name)
		}
	}
	found := followedBy(looks(9, 0, 3, -12)...)
	require.Equal(t, [2]bool{false, true}, found[0].signalled[transfers])
	require.InDelta(t, 3.2, found[0].least[transfers], 1e-9)
	require.InDelta(t, 3.2, found[0].most[transfers], 1e-9)
	found = followedBy(looks(9, 0, 5, 6, 1, 9, 2, 6)...)
	require.Equal(t, [2]bool{true, false}, found[0].signalled[transfers])
	require.InDelta(t, 80+9*6.4, found[0].most[transfers], 1e-9)
}

// Four looks in a row like the good ones end a change, three do not; on the side of the
// change only a look within the slack is like them, on the other one of three spreads.
func TestSignature_ends(t *testing.T) {
	for name, c := range map[string]struct {
		off  [][features]float64
		want []float64 // looks at which they end
	}{
		"three good looks":         {looks(8, 7, 3, 0, 8, 7), []float64{19}},
		"four":                     {looks(8, 7, 4, 0, 8, 7), []float64{8, 20}},
		"not quite back":           {looks(8, 7, 9, 1.01), []float64{17}},
		"back":                     {looks(8, 7, 9, 0.99), []float64{8}},
		"far to the other side":    {looks(8, 7, 4, -3.01, 4, 0), []float64{12}},
		"a bit to the other side":  {looks(8, 7, 4, -2.99), []float64{8}},
		"below":                    {looks(30, -7, 4, 0), []float64{30}},
		"below, not quite back":    {looks(8, -7, 9, -1.01), []float64{17}},
		"good ones now and again":  {looks(8, 7, 2, 0, 1, 7, 2, 0, 1, 7, 4, 0), []float64{14}},
		"of another feature a bit": {append(looks(8, 7), [features]float64{voltage95: 2.9}, [features]float64{voltage95: 2.9}, [features]float64{voltage95: 2.9}, [features]float64{voltage95: 2.9}), []float64{8}},
	} {
		var ends []float64
		for _, o := range followedBy(c.off...) {
			ends = append(ends, float64(o.to.end)/5e8)
		}
		require.Equal(t, c.want, ends, name)
	}
}

// A change begins with the first feature that steps, though another one may signal
// before it: the voltage is 1.9 spreads off from look 30 on and signals with its
// twelfth, the rhythm is 7 off from look 34 on and signals with its third.
func TestSignature_beginsWithTheFirst(t *testing.T) {
	off := looks(30, 0, 4, 0, 10, 7)
	for k := 30; k < len(off); k++ {
		off[k][voltage95] = 1.9
	}
	found := followedBy(off...)
	require.Len(t, found, 1)
	require.EqualValues(t, 30*5e8, found[0].from.start)
	require.True(t, found[0].bareArc())
}

// Voltage that goes up with the rhythm changed either way is an arc without its gas;
// voltage alone, or going down, is none.
func TestOddity_bareArc(t *testing.T) {
	for name, c := range map[string]struct {
		z    [features]float64
		want bool
	}{
		"more shorts":        {[features]float64{7, 0, 7}, true},
		"fewer shorts":       {[features]float64{-7, 0, 7}, true},
		"longer shorts":      {[features]float64{0, 7, 7}, true},
		"shorter shorts":     {[features]float64{0, -7, 7}, true},
		"voltage alone":      {[features]float64{0, 0, 7}, false},
		"voltage down":       {[features]float64{7, 0, -7}, false},
		"nothing but shorts": {[features]float64{7, 0, 0}, false},
	} {
		found := followedBy(slices.Repeat([][features]float64{c.z}, 5)...)
		require.Len(t, found, 1, name)
		require.Equal(t, c.want, found[0].bareArc(), name)
	}
}

// What gives no limits is not followed.
func TestSignature_leavesOutWhatGivesNoLimits(t *testing.T) {
	good := new(reference)
	for k := range 40 {
		good.add(glance{waveform: &waveform.Statistics{Transfer: quantity.Hertz(60 + k), ShortShare: 0.2, Voltage95: 22}}, waveform.Dip)
	}
	s := signature{changed: func(oddity) { t.Fatal("there is no limit") }}
	for range 9 {
		s.follow(glance{waveform: &waveform.Statistics{Transfer: 500, ShortShare: 0.2, Voltage95: 22}}, good)
	}
	s.end()
}

// No more than 64 looks are gone back to, and never beyond the first.
func TestSignature_dated(t *testing.T) {
	found := followedBy(looks(70, 1.02, 70, 1.3)...) // in all 1.4 by look 70, and 10.1 with look 99
	require.Len(t, found, 1)
	require.EqualValues(t, 70*5e8, found[0].from.start)
	found = followedBy(looks(2, 0, 3, 9)...)
	require.EqualValues(t, 2*5e8, found[0].from.start)
}

// To the very limit: three spreads off a look is like the good ones, and one spread off on
// the side to which the arc has changed; a sum on its decision limit signals nothing.
func TestSignature_onTheLimits(t *testing.T) {
	s := &signature{}
	require.True(t, s.within(transfers, 0, 3))
	require.False(t, s.within(transfers, 0, math.Nextafter(3, 4)))
	s.now = &oddity{}
	s.now.signalled[transfers][1] = true
	require.True(t, s.within(transfers, 1, 1))
	require.False(t, s.within(transfers, 1, math.Nextafter(1, 2)))
	require.True(t, s.within(transfers, 0, 3))

	s = &signature{looks: 1}
	s.recent[0].waveform = &waveform.Statistics{}
	s.signal(transfers, &chart.CUSUM{Decision: 10, High: 10.5, HighRun: 1, Low: 10, LowRun: 1}, steadily())
	require.Equal(t, [2]bool{true, false}, s.now.signalled[transfers])
}
