package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/procedure"
)

// By hand, for 1.2 mm wire at 0.08 m/s: b*L = 5e-5*0.0144 = 7.2e-7, and
//
//	I = (sqrt(0.296e-3^2 + 4*7.2e-7*0.08) - 0.296e-3)/(2*7.2e-7)
//	  = (sqrt(8.7616e-8 + 2.304e-7) - 2.96e-4)/1.44e-6 = 186.062 A
//
// and for 0.6 mm, with a four and b sixteen times, over half the extension.
func TestCurrentToMelt(t *testing.T) {
	assert.InDelta(t, 186.062, float64(currentToMelt(0.0012, 0.08)), 1e-3)
	a, bL := 4*0.296e-3, 16*5e-5*0.0072
	assert.InDelta(t, (math.Sqrt(a*a+4*bL*0.08)-a)/(2*bL), float64(currentToMelt(0.0006, 0.08)), 1e-9)
	for _, feed := range []quantity.MetresPerSecond{0.01, 0.1, 0.3} {
		i := float64(currentToMelt(0.0009, feed))
		section := 16.0 / 9
		assert.InEpsilon(t, float64(feed), 0.296e-3*section*i+5e-5*section*section*0.0108*i*i, 1e-12)
	}
}

// The rule of the shop floor, 2, 1.6, 1 and 0.5 in/min for an ampere with .030, .035,
// .045 and 1/16 in wire (common practice, no source), lies inside what is let through.
func TestCurrentToMelt_AsTheShopFloorHasIt(t *testing.T) {
	for wire, rule := range map[float64]float64{0.030: 2, 0.035: 1.6, 0.045: 1, 0.0625: 0.5} {
		for _, amperes := range []float64{80, 120, 160, 200} {
			feed := quantity.Of[quantity.MetresPerSecond](rule*amperes, "in/min")
			got := currentToMelt(quantity.Of[quantity.Metres](wire, "in"), feed)
			assert.False(t, farApart(got, quantity.Amperes(amperes)), "%g in, %g A: %.0f A", wire, amperes, float64(got))
		}
	}
}

func melts(p *Plan) (texts []string) {
	for _, w := range p.Warnings {
		if w.Kind == "melting" {
			texts = append(texts, w.Text)
		}
	}
	return texts
}

func TestMake_Melting(t *testing.T) {
	lawful := func(j *procedure.Job) { // 124 A at 5.5 m/min of 0.9 mm wire
		j.Setpoints.WireSpeed, j.Setpoints.Current = quantity.Of[quantity.MetresPerSecond](5.5, "m/min"), 124
		j.Procedure.Limits.WireSpeed, j.Procedure.Limits.Current = quantity.Range[quantity.MetresPerSecond]{}, quantity.Range[quantity.Amperes]{}
	}
	window := func(wireLow, wireHigh, low, high float64) func(*procedure.Job) {
		return func(j *procedure.Job) {
			lawful(j)
			j.Procedure.Limits.WireSpeed = quantity.Range[quantity.MetresPerSecond]{
				Low: quantity.MetresPerSecond(wireLow / 60), High: quantity.MetresPerSecond(wireHigh / 60), HasLow: wireLow > 0, HasHigh: wireHigh > 0,
			}
			j.Procedure.Limits.Current = quantity.Range[quantity.Amperes]{
				Low: quantity.Amperes(low), High: quantity.Amperes(high), HasLow: low > 0, HasHigh: high > 0,
			}
		}
	}
	amperes := func(i quantity.Amperes) func(*procedure.Job) {
		return func(j *procedure.Job) { lawful(j); j.Setpoints.Current = i }
	}
	const expected = "wire speed and current do not belong together: by the melting law I would expect about 120 A at 5.5 m/min of 0.90 mm wire, with 11 mm of it beyond the contact tip, not "
	for _, test := range []struct {
		name   string
		change func(*procedure.Job)
		want   []string
	}{
		{"they belong together", lawful, nil},
		{"a third more", amperes(165), nil},
		{"a third less", amperes(93), nil},
		{"far too much", amperes(180), []string{expected + "180 A"}},
		{"far too little", amperes(80), []string{expected + "80 A"}},
		{"a thicker wire than said", func(j *procedure.Job) { lawful(j); j.Deposit.WireDiameter = 0.0012 }, []string{"about 210 A at 5.5 m/min of 1.20 mm wire"}},
		{"no current", func(j *procedure.Job) { lawful(j); j.Setpoints.Current = 0 }, nil},
		{"cored wire is another law", func(j *procedure.Job) { lawful(j); j.Setpoints.Current, j.Procedure.Process = 300, "cored wire" }, nil},
		{"windows that belong together", window(4.5, 6.5, 110, 160), nil},
		{"a wide window of current", window(4.5, 6.5, 40, 300), nil},
		{"slow wire", window(3, 6.5, 110, 160), []string{"at its lowest wire speed by the melting law I would expect about 76 A at 3.0 m/min of 0.90 mm wire, with 11 mm of it beyond the contact tip, and its lowest current is 110 A"}},
		{"fast wire", window(4.5, 12, 100, 150), []string{"about 220 A at 12.0 m/min of 0.90 mm wire, with 11 mm of it beyond the contact tip, and its highest current is 150 A"}},
		{"half a window", window(3, 0, 0, 160), nil},
		{"the other half", window(0, 12, 110, 0), nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			j := job(t)
			test.change(j)
			got := melts(made(t, j, Options{}))
			require.Len(t, got, len(test.want), got)
			for k, want := range test.want {
				assert.Contains(t, got[k], want)
				assert.Contains(t, got[k], "the constants of the law are memory")
			}
		})
	}
}
