package sensorbox

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

// Every field may be as low and as high as its limits, and no further.
func TestPlanLimits(t *testing.T) {
	short := func(p *Plan) { p.Length, p.Pitch = 1e-3, 1e-3 }
	for _, c := range []struct {
		field     string
		low, high float64
		set       func(p *Plan, v float64)
		with      func(*Plan)
	}{
		{"WornDiameter", 0.02, 2, func(p *Plan, v float64) { p.WornDiameter = quantity.Metres(v) }, nil},
		{"Length", 1e-3, 5, func(p *Plan, v float64) { p.Length = quantity.Metres(v) }, func(p *Plan) { p.Pitch = 1e-3 }},
		{"Pitch", 0.5e-3, 20e-3, func(p *Plan, v float64) { p.Pitch = quantity.Metres(v) }, nil},
		{"Layers", 1, 50, func(p *Plan, v float64) { p.Layers = int(v) }, nil},
		{"RotationSpeed", 1e-4, 2, func(p *Plan, v float64) { p.RotationSpeed = quantity.TurnsPerSecond(v) }, nil},
		{"RotationSpeed", 1e-4, 2, func(p *Plan, v float64) { p.RotationSpeed = -quantity.TurnsPerSecond(v) }, nil},
		{"StartAngle", 0, 359.999999, func(p *Plan, v float64) { p.StartAngle = quantity.Degrees(v) }, nil},
		{"Standoff", 5e-3, 40e-3, func(p *Plan, v float64) { p.Standoff = quantity.Metres(v) }, nil},
		{"WireDiameter", 0.6e-3, 2e-3, func(p *Plan, v float64) { p.WireDiameter = quantity.Metres(v) }, nil},
		{"Voltage", 12, 40, func(p *Plan, v float64) { p.Voltage = quantity.Volts(v) }, nil},
		{"Current", 40, 450, func(p *Plan, v float64) { p.Current = quantity.Amperes(v) }, nil},
		{"WireSpeed", 0.01, 0.5, func(p *Plan, v float64) { p.WireSpeed = quantity.MetresPerSecond(v) }, nil},
		{"GasFlow", 0, 1e-3, func(p *Plan, v float64) { p.GasFlow = quantity.CubicMetresPerSecond(v) }, nil},
		{"Lead", 0.6, 3600, func(p *Plan, v float64) { p.Lead = quantity.Seconds(v) }, nil},
		{"LayerPause", 1, 3600, func(p *Plan, v float64) { p.LayerPause = quantity.Seconds(v) }, nil},
		{"RingPause", 1, 3600, func(p *Plan, v float64) { p.RingPause = quantity.Seconds(v) }, nil},
		{"Hold", 0.01, 10, func(p *Plan, v float64) { p.Hold = quantity.Seconds(v) }, nil},
		{"PlaySpeed", 0, 1e6, func(p *Plan, v float64) { p.PlaySpeed = v }, nil},
		{"Pitch", 0.5e-3, 1e-3, func(p *Plan, v float64) { p.Pitch = quantity.Metres(v) }, short},
	} {
		for value, fine := range map[float64]bool{
			c.low: true, c.high: true, c.low*(1-1e-9) - 1e-12: false, c.high*(1+1e-6) + 1e-12: false,
		} {
			if c.field == "Layers" {
				value = map[bool]float64{true: value, false: 51}[fine]
			}
			p := Demo()
			if c.with != nil {
				c.with(&p)
			}
			c.set(&p, value)
			_, err := New(p)
			if fine {
				require.NoError(t, err, "%s %g", c.field, value)
				continue
			}
			var flawed *PlanError
			require.ErrorAs(t, err, &flawed, "%s %g", c.field, value)
			assert.Equal(t, c.field, flawed.Field)
		}
	}
}

func TestFaultLimits(t *testing.T) {
	whole := Demo() // 20 turns, two passes
	for kind, limits := range amountRange {
		f := Fault{Kind: kind, Turn: 1, Duration: 20}
		for _, amount := range limits {
			f.Amount = amount
			require.NoError(t, whole.validateFault("f", f), "%s %g", kind, amount)
		}
		f.Amount = limits[0] - 1e-6
		require.Error(t, whole.validateFault("f", f), kind)
		f.Amount = limits[1] + 1e-6
		require.Error(t, whole.validateFault("f", f), kind)
	}
	whole = whole.withDefaults()
	for _, c := range []struct {
		fault Fault
		field string // "" is fine
	}{
		{Fault{Kind: WireSlip, Amount: 0.5}, ""},
		{Fault{Kind: WireSlip, Amount: 0.5, Pass: 2}, ""},
		{Fault{Kind: WireSlip, Amount: 0.5, Pass: 3}, "f.Pass"},
		{Fault{Kind: WireSlip, Amount: 0.5, Pass: -1}, "f.Pass"},
		{Fault{Kind: WireSlip, Amount: 0.5, Turn: 20, To: 1}, ""},
		{Fault{Kind: WireSlip, Amount: 0.5, Turn: 21, To: 1}, "f.Turn"},
		{Fault{Kind: WireSlip, Amount: 0.5, Turn: -1}, "f.Turn"},
		{Fault{Kind: WireSlip, Amount: 0.5, From: 1}, "f.Turn"},
		{Fault{Kind: WireSlip, Amount: 0.5, To: 1}, "f.Turn"},
		{Fault{Kind: WireSlip, Amount: 0.5, Duration: 1}, "f.Turn"},
		{Fault{Kind: LinkLoss}, "f.Turn"},
		{Fault{Kind: Reboot}, "f.Turn"},
		{Fault{Kind: Interruption}, "f.Turn"},
		{Fault{Kind: WireSlip, Amount: 0.5, Turn: 1, From: 360, To: 0}, ""},
		{Fault{Kind: WireSlip, Amount: 0.5, Turn: 1, To: 360.001}, "f"},
		{Fault{Kind: OffCentre, Turn: 1, To: 9, Toward: -0.001}, "f"},
		{Fault{Kind: WireSlip, Amount: 0.5, Turn: 1}, "f.Duration"},
		{Fault{Kind: WireSlip, Amount: 0.5, Turn: 1, Duration: 3600}, ""},
		{Fault{Kind: WireSlip, Amount: 0.5, Turn: 1, Duration: 3600.001}, "f.Duration"},
		{Fault{Kind: Interruption, Turn: 1, Duration: 15}, ""},
		{Fault{Kind: Interruption, Turn: 1, Duration: 14.999}, "f.Duration"},
	} {
		err := whole.validateFault("f", c.fault)
		if c.field == "" {
			require.NoError(t, err, "%+v", c.fault)
			continue
		}
		var flawed *PlanError
		require.ErrorAs(t, err, &flawed, "%+v", c.fault)
		assert.Equal(t, c.field, flawed.Field, "%+v", c.fault)
	}
	whole.Length = 58e-3 // 19.33 turns: the twentieth is begun
	require.NoError(t, whole.validateFault("f", Fault{Kind: WireSlip, Amount: 0.5, Turn: 20, To: 1}))
	require.Error(t, whole.validateFault("f", Fault{Kind: WireSlip, Amount: 0.5, Turn: 21, To: 1}))
}

// Gaps may touch one another, and leave ten degrees to weld, and no less.
func TestGapLimits(t *testing.T) {
	for _, c := range []struct {
		gaps  []Gap
		field string
	}{
		{[]Gap{{80, 116}, {116, 150}}, ""},
		{[]Gap{{80, 116}, {115.9, 150}}, "Gaps[1]"},
		{[]Gap{{80, 116}, {60, 80.1}}, "Gaps[1]"},
		{[]Gap{{80, 116}, {350, 80}}, "StartAngle"},
		{[]Gap{{1, 351}}, ""},
		{[]Gap{{1, 351.1}}, "Gaps"},
		{[]Gap{{1, 200}, {200, 351}}, ""},
		{[]Gap{{1, 200}, {200, 352}}, "Gaps"},
		{[]Gap{{0, 20}}, "StartAngle"},
		{[]Gap{{340, 0}}, ""},
		{[]Gap{{340, 360}}, ""},
		{[]Gap{{-1, 5}}, "Gaps[0]"},
		{[]Gap{{5, 5}}, "Gaps[0]"},
	} {
		p := Demo()
		p.Gaps = c.gaps
		_, err := New(p)
		if c.field == "" {
			require.NoError(t, err, "%v", c.gaps)
			continue
		}
		var flawed *PlanError
		require.ErrorAs(t, err, &flawed, "%v", c.gaps)
		assert.Equal(t, c.field, flawed.Field, "%v", c.gaps)
	}
}

func TestSampleRateLimits(t *testing.T) {
	for rate, fine := range map[quantity.Hertz]bool{
		100_000: true, 1000: true, 100_000.0 / 3: true, 100_000.0 / 99: true,
		100_001: false, 999.9: false, 33_000: false, -1000: false, 200_000: false, 990.099: false,
	} {
		p := Demo()
		p.SampleRate = rate
		_, err := New(p)
		assert.Equal(t, fine, err == nil, "%g Hz: %v", rate, err)
	}
}

func TestWrapAndContains(t *testing.T) {
	for angle, want := range map[float64]float64{0: 0, 360: 0, -10: 350, 725: 5, -720: 0} {
		assert.InDelta(t, want, wrap(angle), 1e-12, "%g", angle)
	}
	assert.True(t, onCircle(0) && onCircle(360) && !onCircle(360.01) && !onCircle(-0.01))
}
