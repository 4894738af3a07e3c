package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// setRight places the findings of a pass anew, where its rotation was derived
// while it went on: what was found before that stood where the declared rotation
// would have had the torch.
func (w *Watch) setRight(p *pass.Pass) {
	if p.TravelBasis != heat.TravelDerived || p.StartPlace == nil {
		return
	}
	for k := range w.found {
		f := &w.found[k]
		if f.Pass != p.Number || f.Place == nil || f.Start.Epoch != p.Start.Epoch {
			continue
		}
		turns := float64(p.Rotation.Speed) * float64(f.Start.Tick-p.Start.Tick) * 1e-9
		place := &bore.Place{
			Angle: bore.NormalAngle(p.StartPlace.Angle + quantity.Degrees(360*turns)),
			Depth: p.StartPlace.Depth + quantity.Metres(turns)*w.job.Deposit.Pitch,
		}
		f.Place = place
		f.Sentence = f.SentenceIn(metric)
	}
}
