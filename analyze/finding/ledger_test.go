package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

func TestWatch_derivedRotationPlacesAnew(t *testing.T) {
	w := NewWatch(&procedure.Job{Deposit: bore.Deposit{Pitch: 3e-3}})
	p := tenTurns(1, heat.TravelDerived)
	p.Start, p.StartPlace = pass.Moment{Tick: 20e9}, &bore.Place{Angle: 10, Depth: 2e-3}
	p.Rotation.Speed = 1.0 / 48
	w.ledger.pass = p
	w.ledger.add(Finding{Rule: Voltage, Worst: 1, Duration: 4, Start: pass.Moment{Tick: 128e9}, Place: &bore.Place{Angle: 77, Depth: 1e-3}})
	w.ledger.placeAnew(p)
	f := w.Found()[0]
	assert.InDelta(t, 100, float64(f.Place.Angle), 1e-9)
	assert.InDelta(t, 8.75e-3, float64(f.Place.Depth), 1e-12)
	assert.InDelta(t, 30, float64(*f.Way), 1e-9)
	assert.Contains(t, f.Sentence, "100 deg at 8.8 mm depth")
	assert.NotContains(t, f.Sentence, "77 deg")
}

// What has no place, is of another pass, or of another clock stays where it is; so does
// everything where the rotation was not derived, or the place of the strike is not known.
func TestLedger_placeAnewLeavesTheRest(t *testing.T) {
	for name, edit := range map[string]func(f *Finding, p *pass.Pass){
		"another pass":     func(f *Finding, _ *pass.Pass) { f.Pass = 2 },
		"no place":         func(f *Finding, _ *pass.Pass) { f.Place = nil },
		"another clock":    func(f *Finding, _ *pass.Pass) { f.Start.Epoch = 1 },
		"measured":         func(_ *Finding, p *pass.Pass) { p.TravelBasis = heat.TravelMeasured },
		"no place to seek": func(_ *Finding, p *pass.Pass) { p.StartPlace = nil },
	} {
		p := tenTurns(1, heat.TravelDerived)
		p.StartPlace, p.Rotation.Speed = &bore.Place{}, 1.0/48
		f := Finding{Pass: 1, Place: &bore.Place{Angle: 77}, Sentence: "as it was"}
		edit(&f, p)
		l := &ledger{job: testJob(), found: []Finding{f}}
		l.placeAnew(p)
		require.Equal(t, f, l.found[0], name)
	}
}

// A finding about a pass that is no longer open is late: somebody else counts it.
func TestLedger_late(t *testing.T) {
	l := &ledger{job: testJob(), pass: &pass.Pass{Number: 2}}
	require.Zero(t, l.file(Finding{Pass: 2, Worst: 5, Limit: 3}))
	require.Equal(t, 1, l.file(Finding{Pass: 1}))
	require.Equal(t, 1, l.pass.Findings)
	l.pass = nil
	require.Equal(t, 1, l.file(Finding{Pass: 2}))
	require.Equal(t, 2.0, l.found[0].Beyond)
	require.Equal(t, 3, l.found[2].Number)
}

// What lasted from the first seconds of a pass to its last has no place: it concerns the whole pass. A
// twentieth of the pass may be missing at either end, here a second of 20, and two seconds at most.
func TestLedger_wholePass(t *testing.T) {
	for name, c := range map[string]struct {
		good, bad, rest float64
		start, end      bool
	}{
		"all of it":            {0, 20, 0, true, true},
		"but for a second":     {0.5, 18.5, 1, true, true},
		"not its end":          {0.5, 18, 1.5, true, false},
		"not its start":        {1.5, 18, 0.5, false, true},
		"in its middle":        {5, 10, 5, false, false},
		"a long one, 2 s less": {1.9, 76.2, 1.9, true, true},
		"a long one, 3 s less": {3, 97, 0, false, true},
	} {
		w := newWeld(testJob())
		w.burn(c.good)
		w.volts = 15
		w.burn(c.bad)
		w.volts = 17.5
		w.burn(c.rest)
		w.end()
		f := w.only(t)
		require.Equal(t, []bool{c.start, c.end}, []bool{f.FromStart, f.ToEnd}, name)
		if f.Whole() {
			require.Nil(t, f.Place, name)
			require.Nil(t, f.Way, name)
			require.Contains(t, f.Sentence, " s, through all of the pass; look", name)
			continue
		}
		require.NotNil(t, f.Place, name)
		require.InDelta(t, 7.5*float64(f.Duration), float64(*f.Way), 1, name)
		require.Contains(t, f.Sentence, " deg at ", name)
	}
}

// A pass over two clocks began on the one and ended on the other.
func TestLedger_wholePassOnItsOwnClock(t *testing.T) {
	l := &ledger{job: testJob(), found: []Finding{{Pass: 1, Duration: 20, Start: pass.Moment{Tick: 5e9}}, {Pass: 1, Duration: 20, Start: pass.Moment{Epoch: 1, Tick: 5e9}}, {Pass: 2, Duration: 20, Start: pass.Moment{Tick: 5e9}}}}
	l.lasted(&pass.Pass{Number: 1, Elapsed: 40, Start: pass.Moment{Tick: 5e9}, End: pass.Moment{Epoch: 1, Tick: 25e9}})
	var ends []bool
	for _, f := range l.found {
		ends = append(ends, f.FromStart, f.ToEnd)
	}
	require.Equal(t, []bool{true, false, false, true, false, false}, ends)
}
