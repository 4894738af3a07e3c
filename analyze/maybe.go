package analyze

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

// ofMayBeHeld tells where the source may have held its last values while it counts as
// arc, and for each pass both results.
func (r *Run) ofMayBeHeld(d pass.Doubts) []Warning {
	var all []Warning
	for _, h := range d.MayBeHeld.Listed {
		all = append(all, Warning{
			Kind: "may-be-held", Start: h.Start, End: pass.Moment{Epoch: h.Start.Epoch, Tick: h.End}, Count: 1,
			Pass: r.passAt(h.Start.Epoch, h.Start.Tick, h.End),
			Text: fmt.Sprintf("voltage and current stood still for %.3f s: held after the arc went out, or an arc as steady as that in the steps of the display; counted as arc time",
				float64(h.End-h.Start.Tick)*1e-9),
		})
	}
	for k := range r.passes {
		if p := &r.passes[k]; p.MayBeHeld != nil {
			all = append(all, Warning{Kind: "may-be-held", Pass: p.Number, Start: p.Start, End: p.End, Count: 1, Text: both(p)})
		}
	}
	return all
}

// both states a pass with and without what may be held.
func both(p *pass.Pass) string {
	w := p.MayBeHeld
	text := fmt.Sprintf("values may be held for %s of pass %d: with them arc time %s, arc-on ratio %.3f, energy %s",
		quantity.Text(w.Time, "s", 1), p.Number, quantity.Text(p.ArcTime, "s", 1), float64(p.ArcOnRatio), quantity.Text(p.Energy, "kJ", 1))
	with := p.ArcEnergy
	if p.HeatInput != nil {
		with = p.HeatInput
	}
	if with != nil && w.HeatInput != nil {
		text += ", " + quantity.Text(*with, "kJ/mm", 3)
	}
	text += fmt.Sprintf("; without them %s, %.3f, %s",
		quantity.Text(w.ArcTime, "s", 1), float64(w.ArcOnRatio), quantity.Text(w.Energy, "kJ", 1))
	if with != nil && w.HeatInput != nil {
		text += ", " + quantity.Text(*w.HeatInput, "kJ/mm", 3)
	}
	return text
}
