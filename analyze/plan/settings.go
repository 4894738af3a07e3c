package plan

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

// Settings are what the plan takes the machine to be set to; 0 is not known.
type Settings struct {
	Voltage   quantity.Volts
	Current   quantity.Amperes
	WireSpeed quantity.MetresPerSecond
	// Travel is kept through all layers. Where it is 0, Rotation is.
	Travel   quantity.MetresPerSecond
	Rotation quantity.TurnsPerSecond
	GasFlow  quantity.CubicMetresPerSecond
	// Efficiency is k, the share of the arc energy that counts as heat input.
	Efficiency quantity.Ratio
}

// setting takes what the job declares, else the middle of the procedure's window.
func setting[Q quantity.Quantity](p *planner, name, unit string, declared Q, window quantity.Range[Q]) Q {
	if declared > 0 {
		if window.Beyond(declared) != 0 {
			p.warn("setpoint", 0, fmt.Sprintf("the set-point of %s, %s, is outside the procedure's window, %s",
				name, quantity.PlainlyOutside(declared, window, unit), quantity.TextRange(window, unit, -1)))
		}
		return declared
	}
	middle, ok := middleOf(window)
	if !ok {
		return 0
	}
	p.warn("assumed", 0, fmt.Sprintf("no set-point of %s: the middle of the procedure's window, %s, stands in",
		name, quantity.Plainly(middle, unit)))
	return middle
}

// middleOf returns the middle of a window that has both limits.
func middleOf[Q quantity.Quantity](window quantity.Range[Q]) (Q, bool) {
	if !window.HasLow || !window.HasHigh {
		return 0, false
	}
	return (window.Low + window.High) / 2, true
}

func (p *planner) settings() Settings {
	set, limits := p.job.Setpoints, p.job.Procedure.Limits
	s := Settings{
		Voltage:   setting(p, "voltage", "V", set.Voltage, limits.Voltage),
		Current:   setting(p, "current", "A", set.Current, limits.Current),
		WireSpeed: setting(p, "wire speed", "m/min", set.WireSpeed, limits.WireSpeed),
		Travel:    p.travel(),
		Rotation:  p.job.Rotation.Speed,
	}
	s.GasFlow, _ = middleOf(limits.GasFlow)
	if s.GasFlow == 0 {
		p.warn("gas-flow", 0, "the procedure has no window of gas flow with two limits: the gas is not known")
	}
	if s.Voltage == 0 || s.Current == 0 {
		p.warn("heat-input", 0, "neither set-points nor a window tell voltage and current: the heat input is not known")
	}
	k, known := heat.ThermalEfficiency(p.job.Procedure.Process)
	if !known {
		p.warn("heat-input", 0, fmt.Sprintf("no thermal efficiency is known for the process %q: the heat input is not known", p.job.Procedure.Process))
	}
	s.Efficiency = k
	return s
}

// travel is the travel that every layer keeps, inside the window; 0 where neither
// the job nor a window with two limits tells it. One limit alone is no set-point.
func (p *planner) travel() quantity.MetresPerSecond {
	window := p.job.Procedure.Limits.TravelSpeed
	travel := setting(p, "travel speed", "mm/min", p.job.Setpoints.TravelSpeed, window)
	if travel == 0 {
		return 0
	}
	if beyond := window.Beyond(travel); beyond != 0 {
		travel -= beyond
		p.warn("travel-clipped", 0, "the plan keeps the travel at the limit of the window, "+quantity.Text(travel, "mm/min", -1))
	}
	return travel
}

// travelAt is the travel on a diameter.
func (s Settings) travelAt(diameter quantity.Metres) quantity.MetresPerSecond {
	if s.Travel > 0 {
		return s.Travel
	}
	return s.turningAt(diameter)
}

// turningAt is the travel that the declared rotation gives on a diameter.
func (s Settings) turningAt(diameter quantity.Metres) quantity.MetresPerSecond {
	return bore.SurfaceSpeed(diameter, s.Rotation)
}

// complete returns a *MissingError for what the layers cannot be computed without.
func (p *planner) complete() error {
	var missing []string
	need := func(known bool, key string) {
		if !known {
			missing = append(missing, key)
		}
	}
	b, d, s := p.job.Bore, p.job.Deposit, p.plan.Settings
	need(b.WornDiameter > 0, "bore.worn_diameter")
	need(b.WeldToDiameter > 0 || b.FinishDiameter > 0, "bore.weld_to_diameter")
	need(b.Length > 0, "bore.length")
	need(d.Pitch > 0, "deposit.pitch")
	need(d.WireDiameter > 0, "deposit.wire_diameter")
	need(s.WireSpeed > 0, "setpoints.wire_speed")
	need(s.Travel > 0 || s.Rotation > 0, "setpoints.travel_speed")
	if len(missing) > 0 {
		return &MissingError{missing}
	}
	return nil
}
