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
	w.ledger.add(Finding{Rule: Voltage, Worst: 1, Start: pass.Moment{Tick: 128e9}, Place: &bore.Place{Angle: 77, Depth: 1e-3}})
	w.ledger.placeAnew(p)
	f := w.Found()[0]
	assert.InDelta(t, 100, float64(f.Place.Angle), 1e-9)
	assert.InDelta(t, 8.75e-3, float64(f.Place.Depth), 1e-12)
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
