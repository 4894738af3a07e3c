package heat

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// said is a number that was said.
func said(value float64) series.Stated { return series.Stated{Value: value, Known: true} }

// whole are signals of which everything is known.
func whole() Signals {
	return Signals{Skew: said(20e-6), VoltageBandwidth: 2500, CurrentBandwidth: 2500, Tap: AtTorch, Clock: said(50e-6)}
}

// dip is the waveform of an arc of 3000 W at 20 V and 150 A, sampled at 5 kHz.
func dip() Swing {
	return Swing{Loop: 50, Jumps: 20, Step: 200e-6, Most: 0.2, PerOhm: 8}
}

// of returns the component of a name in the budget of a pass with such signals.
func of(t *testing.T, s Signals, w Swing, name string) Component {
	t.Helper()
	return component(t, Doubt{}.Budget(Circumstances{Travel: TravelMeasured, Signals: s, Swing: w, Voltage: 20, Current: 150}), name)
}

// All that is said, by hand. The slope of the waveform is 50 + 20/2 = 60 /s; filters of
// 2.5 kHz have a time of 63.66 us, of which (sqrt(2) - 1) = 26.37 us may part them, and
// they lose 20/s*63.66us/2.
func TestSignals_allThatIsSaid(t *testing.T) {
	b := Doubt{}.Budget(Circumstances{Travel: TravelMeasured, Signals: whole(), Swing: dip()})
	filter := 1 / (2 * math.Pi * 2500)
	for name, want := range map[string]float64{
		Skew:    60 * math.Hypot(20e-6, 1e-6/math.Sqrt(12)),
		Filters: (60*(math.Sqrt2-1)*filter + 20*filter/2) / math.Sqrt(3),
		Leads:   0.5e-3 * 8 / math.Sqrt(3),
		Clock:   50e-6 / math.Sqrt(3),
	} {
		c := component(t, b, name)
		assert.InDelta(t, want, c.Uncertainty, 1e-12, name)
		assert.Equal(t, Declared, c.Basis, name)
		assert.Empty(t, c.Unknown, name)
		assert.False(t, c.Divisor, name)
	}
}

// What nobody said is named, and the worst stands in.
func TestSignals_whatNobodySaid(t *testing.T) {
	for name, c := range map[string]struct {
		change    func(*Signals)
		component string
		unknown   string
		limit     float64
	}{
		"skew":                   {func(s *Signals) { s.Skew = series.Stated{} }, Skew, "the skew between voltage and current is not declared", 0.08},
		"skew of 150 us":         {func(s *Signals) { s.Skew.Value = -150e-6 }, Skew, "what the skew between voltage and current of 150 us costs is not known", 0.08},
		"skew of 1.5 ms":         {func(s *Signals) { s.Skew.Value = 1.5e-3 }, Skew, "the skew between voltage and current, 1.5 ms, is too long for a mean of their product", 0.3},
		"bandwidths":             {func(s *Signals) { s.VoltageBandwidth, s.CurrentBandwidth = 0, 0 }, Filters, "the bandwidth of voltage and current is not known", 0.04},
		"bandwidth of voltage":   {func(s *Signals) { s.VoltageBandwidth = 0 }, Filters, "the bandwidth of voltage is not known", 0.04},
		"bandwidth of current":   {func(s *Signals) { s.CurrentBandwidth = 0 }, Filters, "the bandwidth of current is not known", 0.04},
		"bandwidth of 499 Hz":    {func(s *Signals) { s.VoltageBandwidth = 499 }, Filters, "a bandwidth of 499 Hz does not follow a dipping arc", 0.3},
		"bandwidths that differ": {func(s *Signals) { s.VoltageBandwidth, s.CurrentBandwidth = 1e6, 2000 }, Filters, "the filters may delay voltage and current by 112 us apart, and what that costs is not known", 0.04},
		"tap":                    {func(s *Signals) { s.Tap = "" }, Leads, "where the voltage is taken is not said", 0.04},
		"leads":                  {func(s *Signals) { s.Tap = AtSource }, Leads, "the voltage is taken at the source, and the resistance of the leads from there is not said", 0.04},
		"clock":                  {func(s *Signals) { s.Clock = series.Stated{} }, Clock, "how far the clock of the source may be off is not said", 0.005},
	} {
		t.Run(name, func(t *testing.T) {
			s := whole()
			c.change(&s)
			got := of(t, s, dip(), c.component)
			require.Equal(t, c.unknown, got.Unknown)
			require.Equal(t, StandIn, got.Basis)
			require.Contains(t, got.Source, c.unknown)
			require.InDelta(t, c.limit/math.Sqrt(3), got.Uncertainty, 1e-12)
		})
	}
}

// A skew of 100 us is the longest of which its cost is known; bandwidths of 500 Hz of
// which the filters differ least would still part them by more than that.
func TestSignals_limits(t *testing.T) {
	s := whole()
	s.Skew = said(-100e-6)
	require.Empty(t, of(t, s, dip(), Skew).Unknown)
	require.InDelta(t, 60*100e-6, of(t, s, dip(), Skew).Uncertainty, 1e-6)
	s.Skew = said(100.1e-6)
	require.NotEmpty(t, of(t, s, dip(), Skew).Unknown)
	s.VoltageBandwidth, s.CurrentBandwidth = 660, 660
	require.Empty(t, of(t, s, dip(), Filters).Unknown, "(sqrt(2) - 1)*241 us")
	s.VoltageBandwidth, s.CurrentBandwidth = 658, 658
	require.NotEmpty(t, of(t, s, dip(), Filters).Unknown)
	s.VoltageBandwidth, s.CurrentBandwidth = 500, 500
	require.InDelta(t, 0.04/math.Sqrt(3), of(t, s, dip(), Filters).Uncertainty, 1e-12, "it follows a dipping arc, just")
}

// Without a skew that is known, a waveform that hardly moves bounds it, and one of which
// the samples show more raises it.
func TestSignals_anySkew(t *testing.T) {
	s := whole()
	s.Skew = series.Stated{}
	w := dip()
	w.Most = 0.001
	require.InDelta(t, 0.001/math.Sqrt(3), of(t, s, w, Skew).Uncertainty, 1e-12)
	w.Most, w.Loop = 1, 150
	require.InDelta(t, 160*1e-3/math.Sqrt(3), of(t, s, w, Skew).Uncertainty, 1e-12)
	require.InDelta(t, 0.08/math.Sqrt(3), of(t, s, Swing{}, Skew).Uncertainty, 1e-12, "sums show no waveform")
}

// An order that alternates takes the slope away, and leaves what is lost at the jumps.
func TestSignals_orderAlternates(t *testing.T) {
	s := whole()
	s.Skew, s.Alternates = series.Stated{}, true
	require.InDelta(t, 10*100e-6/math.Sqrt(3), of(t, s, dip(), Skew).Uncertainty, 1e-12)
	quiet := dip()
	quiet.Jumps = 0
	require.InDelta(t, 0.0002/math.Sqrt(3), of(t, s, quiet, Skew).Uncertainty, 1e-12)
	s.Skew = said(-200e-6)
	require.InDelta(t, 0.0008/math.Sqrt(3), of(t, s, quiet, Skew).Uncertainty, 1e-12, "four times for twice")
	require.Empty(t, of(t, s, quiet, Skew).Unknown)
	s.Skew = said(1.1e-3)
	require.NotEmpty(t, of(t, s, quiet, Skew).Unknown)
}

// Sums of a box show no waveform: a hard dip is taken for it, and the leads for what
// the means say.
func TestSignals_withoutSamples(t *testing.T) {
	require.InDelta(t, 110*20e-6, of(t, whole(), Swing{}, Skew).Uncertainty, 1e-5)
	filter := 1 / (2 * math.Pi * 2500)
	require.InDelta(t, (110*(math.Sqrt2-1)*filter+0.04*filter*filter*1e6)/math.Sqrt(3), of(t, whole(), Swing{}, Filters).Uncertainty, 1e-12)
	require.InDelta(t, 0.5e-3*7.5/math.Sqrt(3), of(t, whole(), Swing{}, Leads).Uncertainty, 1e-12)
}

// Filters much slower than the samples come spread a jump over several of them: there
// 20/s * t^2/step is more than 20/s * t/2.
func TestSignals_filtersThatSpreadAJump(t *testing.T) {
	w, filter := dip(), 1/(2*math.Pi*2500)
	w.Step = 20e-6
	require.InDelta(t, (60*(math.Sqrt2-1)*filter+20*filter*filter/20e-6)/math.Sqrt(3), of(t, whole(), w, Filters).Uncertainty, 1e-12)
}

// Leads that are said are not taken off, and count in full: 5 mohm at 8 A/V are 4 %.
func TestSignals_leadsThatAreSaid(t *testing.T) {
	for _, tap := range []string{AtTorch, AtFeeder, AtSource, ""} {
		s := whole()
		s.Tap, s.Leads = tap, said(5e-3)
		c := of(t, s, dip(), Leads)
		require.InDelta(t, 8*math.Hypot(5e-3, 0.5e-3/math.Sqrt(3)), c.Uncertainty, 1e-12)
		require.Empty(t, c.Unknown)
		require.Equal(t, "leads of 5 mohm as declared, and not taken off", c.Source)
	}
}

// A product of means knows no moments: neither skew nor filters matter.
func TestSignals_ofMeans(t *testing.T) {
	b := Doubt{}.Budget(Circumstances{Travel: TravelMeasured, Means: true, Voltage: 20, Current: 150})
	for _, c := range b {
		require.NotEqual(t, Skew, c.Name)
		require.NotEqual(t, Filters, c.Name)
	}
	require.InDelta(t, 5e-3*7.5/math.Sqrt(3), component(t, b, Leads).Uncertainty, 1e-12)
}

func TestSignalsOf(t *testing.T) {
	src := series.Source{
		Skew: said(-20), SkewAlternates: true, ClockDeviation: said(50),
		Channels: []series.Channel{{Bandwidth: 2000, Tap: "feeder"}, {Bandwidth: 3000, Tap: "torch"}},
	}
	require.Equal(t, Signals{
		Skew: said(-20e-6), Alternates: true, VoltageBandwidth: 2000, CurrentBandwidth: 3000, Tap: AtFeeder, Clock: said(50e-6),
	}, SignalsOf(src))
	src.Channels[0].Tap = "somewhere"
	require.Empty(t, SignalsOf(src).Tap, "a word that nobody knows says nothing")
	require.Equal(t, Signals{}, SignalsOf(series.Source{}))
}

// What a job says rules, and what it does not say the box does; an order that the one
// says alternates does not get the skew of the other.
func TestSignals_Or(t *testing.T) {
	require.Equal(t, whole(), Signals{}.Or(whole()))
	require.Equal(t, whole(), whole().Or(Signals{Skew: said(1), Alternates: true, VoltageBandwidth: 1, CurrentBandwidth: 1, Tap: AtSource, Clock: said(1)}))
	require.Equal(t, Signals{Alternates: true}, Signals{Alternates: true}.Or(Signals{Skew: said(1)}))
	require.Equal(t, said(0), Signals{}.Or(Signals{Leads: said(0)}).Leads)
}

// Of two sources in one pass, what one of them does not say is not known.
func TestSignals_Worse(t *testing.T) {
	require.Equal(t, whole(), whole().Worse(whole()))
	require.Equal(t, Signals{}, whole().Worse(Signals{}))
	require.Equal(t, Signals{}, Signals{}.Worse(whole()))
	other := Signals{Skew: said(-30e-6), VoltageBandwidth: 2000, CurrentBandwidth: 3000, Tap: AtFeeder, Clock: said(10e-6)}
	want := Signals{Skew: said(-30e-6), VoltageBandwidth: 2000, CurrentBandwidth: 2500, Clock: said(50e-6)}
	require.Equal(t, want, whole().Worse(other))
	require.Equal(t, want, other.Worse(whole()))
}

// A clock that was seen to be off is not what it says of itself: the doubt is what was
// seen, at least that of a resonator, and it bars a proof by name.
func TestSignals_clockSeen(t *testing.T) {
	for seen, half := range map[float64]float64{0.02: 0.02, -0.02: 0.02, 600e-6: standInClock} {
		s := whole()
		s.ClockSeen = seen
		c := of(t, s, dip(), Clock)
		require.InDelta(t, half/math.Sqrt(3), c.Uncertainty, 1e-12)
		require.Contains(t, c.Unknown, "ppm off by the host's")
	}
	require.Empty(t, of(t, whole(), dip(), Clock).Unknown)
}
