package inspect

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
)

func TestSize(t *testing.T) {
	m := machining(0.09002, 0.09004, 0.09001, 0.09002)
	s := m.Size()
	require.Equal(t, m.Stations[2], s.Least)
	require.Equal(t, m.Stations[1], s.Greatest)
	require.Len(t, s.Round, 2)
	require.InDelta(t, 20e-6, float64(*s.Round[0].OutOfRound), 1e-12)
	require.InDelta(t, 10e-6, float64(*s.Round[1].OutOfRound), 1e-12)
	require.InDelta(t, 20e-6, float64(*s.OutOfRound()), 1e-12)
	require.InDelta(t, 0.090015-0.09003, float64(*s.Taper), 1e-12)
	require.Empty(t, s.Verdict, "without limits there is nothing to judge")

	one := machining(0.09).Size()
	require.Nil(t, one.OutOfRound())
	require.Nil(t, one.Taper)
	require.Nil(t, new(Machining).Size())
}

// The uncertainty is a guard band inside and outside of each limit.
func TestSize_FourVerdicts(t *testing.T) {
	wanted := quantity.Range[quantity.Metres]{Low: 0.09, High: 0.0901, HasLow: true, HasHigh: true}
	for _, test := range []struct {
		diameter quantity.Metres
		want     heat.Verdict
		beyond   float64
	}{
		{0.09005, heat.Within, 0},
		{0.090095, heat.WithinNearLimit, 0},
		{0.090005, heat.WithinNearLimit, 0},
		{0.090105, heat.OutsideNearLimit, 5e-6},
		{0.089995, heat.OutsideNearLimit, -5e-6},
		{0.09012, heat.Outside, 20e-6},
		{0.08998, heat.Outside, -20e-6},
	} {
		m := machining(test.diameter, 0.09005)
		m.Wanted, m.Expanded = wanted, new(quantity.Metres(0.00001))
		require.Equal(t, test.want, m.Size().Verdict, "%v", test.diameter)
		require.InDelta(t, test.beyond, float64(m.Size().Beyond), 1e-12)
		m.Expanded = nil
		require.Empty(t, m.Size().Verdict, "what is not known proves nothing")
		require.InDelta(t, test.beyond, float64(m.Size().Beyond), 1e-12)
	}
}

// Of diameters alike the first one measured is named; as far out on both sides is named
// as too wide.
func TestSize_Alike(t *testing.T) {
	m := machining(0.09, 0.09, 0.09)
	s := m.Size()
	require.Equal(t, m.Stations[0], s.Least)
	require.Equal(t, m.Stations[0], s.Greatest)
	m = machining(0.5, 2.5)
	m.Wanted = quantity.Range[quantity.Metres]{Low: 1, High: 2, HasLow: true, HasHigh: true}
	require.Equal(t, quantity.Metres(0.5), m.Size().Beyond)
}
