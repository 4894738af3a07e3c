package plan

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
)

// weldTo is the diameter to be reached: as declared, else what leaves the least
// allowance below the finish diameter.
func (p *planner) weldTo() quantity.Metres {
	b := p.job.Bore
	if b.WeldToDiameter > 0 {
		return b.WeldToDiameter
	}
	p.warn("assumed", 0, fmt.Sprintf("no diameter to weld to is declared: the finish diameter less %s on a side stands in",
		quantity.Text(p.options.LeastAllowance, "mm", 1)))
	return b.FinishDiameter - 2*p.options.LeastAllowance
}

// reached is how far above its goal a diameter may be and count as there: binary
// fractions of a millimetre do not add up evenly.
const reached quantity.Metres = 1e-9

// layers lays one layer on the other until the bore is closed far enough, each at
// the travel of its own diameter.
func (p *planner) layers(travelAt func(quantity.Metres) quantity.MetresPerSecond) ([]Layer, error) {
	var layers []Layer
	diameter := p.job.Bore.WornDiameter
	for diameter > p.plan.WeldTo+reached {
		if n := len(layers); n == mostLayers {
			return nil, &TooManyLayersError{n, diameter, p.plan.WeldTo, layers[n-1].Thickness}
		}
		layer, err := p.layer(diameter, travelAt(diameter))
		if err != nil {
			return nil, fmt.Errorf("layer %d: %w", len(layers)+1, err)
		}
		layer.Number = len(layers) + 1
		layers = append(layers, layer)
		diameter = layer.After
	}
	return layers, nil
}

// layer lays one layer on a diameter.
func (p *planner) layer(diameter quantity.Metres, travel quantity.MetresPerSecond) (Layer, error) {
	d, s := p.job.Deposit, p.plan.Settings
	l := Layer{
		Diameter: diameter, Travel: travel,
		Rotation: bore.RotationFor(diameter, travel),
		Window:   rotationWindow(diameter, p.job.Procedure.Limits.TravelSpeed),
		Turns:    bore.TurnsPerLayer(p.job.Bore, d),
		BeadArea: bore.BeadArea(d.WireDiameter, s.WireSpeed, travel, d.Efficiency),
	}
	thickness, err := bore.LayerThickness(diameter, l.BeadArea, d.Pitch)
	if err != nil {
		return Layer{}, err
	}
	l.Thickness, l.After = thickness, diameter-2*thickness
	around := quantity.Metres(l.Turns) * bore.PathPerTurn(d.Pattern, diameter, d.Pitch)
	l.Path = around * quantity.Metres(d.WeldedShare())
	l.ArcTime = quantity.Seconds(float64(l.Path) / float64(travel))
	l.Elapsed = elapsed(d, l.ArcTime, quantity.Seconds(float64(around)/float64(travel)))
	if s.Voltage > 0 && s.Current > 0 {
		power := quantity.Watts(float64(s.Voltage) * float64(s.Current))
		energy := heat.ArcEnergy(power, travel)
		l.ArcEnergy = &energy
		if s.Efficiency > 0 {
			q := heat.HeatInput(s.Efficiency, energy)
			l.HeatInput = &q
		}
	}
	return l, nil
}

// elapsed is how long the torch moves in a layer. A helix and rings run over the
// gaps with the arc out; strokes turn back at them, and one-way ones come back
// cold, at the same speed as far as the plan knows.
func elapsed(d bore.Deposit, arc, around quantity.Seconds) quantity.Seconds {
	switch d.Pattern {
	case bore.SegmentReversing:
		return arc
	case bore.SegmentOneWay:
		return 2 * arc
	default:
		return around
	}
}

func rotationWindow(diameter quantity.Metres, travel quantity.Range[quantity.MetresPerSecond]) quantity.Range[quantity.TurnsPerSecond] {
	return quantity.Range[quantity.TurnsPerSecond]{
		Low: bore.RotationFor(diameter, travel.Low), HasLow: travel.HasLow,
		High: bore.RotationFor(diameter, travel.High), HasHigh: travel.HasHigh,
	}
}
