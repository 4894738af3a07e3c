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

// reached is how far above its goal a diameter may be and count as there: a
// thousandth of a millimetre, less than anybody measures in a bore. Ours, no source.
const reached quantity.Metres = 1e-6

// laying is how layers are laid one on the other.
type laying struct {
	pitch    quantity.Metres
	travelAt func(quantity.Metres) quantity.MetresPerSecond
}

// asSet lays by the set-points.
func (p *planner) asSet() laying {
	return laying{p.job.Deposit.Pitch, p.plan.Settings.travelAt}
}

// layers lays one layer on the other until the bore is closed far enough, each at
// the travel of its own diameter. A last one that is there for a sliver is not
// among them: it comes back on its own.
func (p *planner) layers(c laying) (layers []Layer, sliver *Layer, err error) {
	diameter := p.job.Bore.WornDiameter
	for diameter > p.plan.WeldTo+reached {
		if n := len(layers); n == mostLayers {
			return nil, nil, &TooManyLayersError{n, diameter, p.plan.WeldTo, layers[n-1].Thickness}
		}
		layer, err := p.layer(len(layers)+1, diameter, c)
		if err != nil {
			return nil, nil, err
		}
		if len(layers) > 0 && isSliver((diameter-p.plan.WeldTo)/2, layer.Thickness) {
			return layers, &layer, nil
		}
		layers = append(layers, layer)
		diameter = layer.After
	}
	return layers, nil, nil
}

// stack lays so many layers, however far they reach.
func (p *planner) stack(count int, c laying) ([]Layer, error) {
	var layers []Layer
	diameter := p.job.Bore.WornDiameter
	for n := range count {
		layer, err := p.layer(n+1, diameter, c)
		if err != nil {
			return nil, err
		}
		layers = append(layers, layer)
		diameter = layer.After
	}
	return layers, nil
}

// layer lays one layer on a diameter.
func (p *planner) layer(number int, diameter quantity.Metres, c laying) (Layer, error) {
	d, s, travel := p.job.Deposit, p.plan.Settings, c.travelAt(diameter)
	d.Pitch = c.pitch
	l := Layer{
		Number: number, Diameter: diameter, Travel: travel,
		Rotation: bore.RotationFor(diameter, travel),
		Window:   rotationWindow(diameter, p.job.Procedure.Limits.TravelSpeed),
		Turns:    bore.TurnsPerLayer(p.job.Bore, d),
		BeadArea: bore.BeadArea(d.WireDiameter, s.WireSpeed, travel, d.Efficiency),
	}
	thickness, err := bore.LayerThickness(diameter, l.BeadArea, d.Pitch)
	if err != nil {
		return Layer{}, fmt.Errorf("layer %d: %w", number, err)
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
