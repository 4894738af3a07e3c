package bore

import (
	"errors"
	"fmt"
	"math"

	"arctally/acquire/quantity"
)

// ErrNotDeclared is returned where the thickness of a layer rests on the wire
// diameter, the pitch, the efficiency, the wire speed or the travel, and one is not
// declared.
var ErrNotDeclared = errors.New("wire diameter, pitch, efficiency, wire speed and travel must be declared to know a layer's thickness")

// FilledError reports a bead so big that its layer would fill the bore.
type FilledError struct {
	Diameter quantity.Metres
	Area     quantity.SquareMetres
	Pitch    quantity.Metres
}

// Error returns one line with the figures in mm.
func (e *FilledError) Error() string {
	return fmt.Sprintf("a bead of %s at a pitch of %s would fill the bore of %s",
		quantity.Text(e.Area, "mm2", 2), quantity.Text(e.Pitch, "mm", 2), quantity.Text(e.Diameter, "mm", 2))
}

// LayerThickness returns the mean thickness of a layer on the wall of a bore.
// The metal of one turn, A*pi*D, fills a ring of width p inside D:
//
//	pi*(D*t - t^2)*p = A*pi*D
//	t = D/2 - sqrt(D^2/4 - A*D/p)
//
// with the diameter D before the layer, the cross-section A of the bead and the
// pitch p. It is thicker than on a flat plate, because the wall curves towards
// the torch. A bead that would fill the bore, or figures that are no lengths at
// all, are a *FilledError.
func LayerThickness(diameter quantity.Metres, area quantity.SquareMetres, pitch quantity.Metres) (quantity.Metres, error) {
	d := float64(diameter)
	metal := float64(area) * d / float64(pitch)
	left := d*d/4 - metal
	if math.IsNaN(left) || left <= 0 {
		return 0, &FilledError{diameter, area, pitch}
	}
	// The same root without the difference of two nearly equal numbers.
	return quantity.Metres(metal / (d/2 + math.Sqrt(left))), nil
}

// Rates are what the machine is set to, as far as it makes the bead; 0 is not
// declared.
type Rates struct {
	WireSpeed quantity.MetresPerSecond
	// Rotation, where declared, stays as it is while the bore closes, so that
	// the travel slows from layer to layer.
	Rotation quantity.TurnsPerSecond
	// Travel is what the machine keeps where no rotation is declared.
	Travel quantity.MetresPerSecond
}

// TravelAt returns the surface speed at a diameter, 0 where nothing tells it.
func (r Rates) TravelAt(diameter quantity.Metres) quantity.MetresPerSecond {
	if r.Rotation > 0 {
		return SurfaceSpeed(diameter, r.Rotation)
	}
	return r.Travel
}

// LayerDiameter returns the diameter on which a layer is welded, counted from 1:
// the worn diameter less twice the thickness of every layer below. Each of
// those is laid at the travel of its own diameter. The first layer needs no
// rates; for a later one the error is ErrNotDeclared or a *FilledError, wrapped
// with the number of the layer. It panics on a layer below 1.
func LayerDiameter(b Bore, d Deposit, r Rates, layer int) (quantity.Metres, error) {
	if layer < 1 {
		panic(fmt.Sprintf("bore: layer %d; layers are counted from 1", layer))
	}
	diameter := b.WornDiameter
	for below := 1; below < layer; below++ {
		thickness, err := d.thickness(diameter, r)
		if err != nil {
			return 0, fmt.Errorf("layer %d: %w", below, err)
		}
		diameter -= 2 * thickness
	}
	return diameter, nil
}

// thickness returns the thickness of the layer that the rates lay on a diameter.
func (d Deposit) thickness(diameter quantity.Metres, r Rates) (quantity.Metres, error) {
	travel := r.TravelAt(diameter)
	if d.WireDiameter <= 0 || d.Pitch <= 0 || r.WireSpeed <= 0 || travel <= 0 || d.Efficiency <= 0 {
		return 0, ErrNotDeclared
	}
	return LayerThickness(diameter, BeadArea(d.WireDiameter, r.WireSpeed, travel, d.Efficiency), d.Pitch)
}
