package finding

import (
	"fmt"
	"strings"

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
		f.Sentence = strings.Replace(f.Sentence, placeWords(f.Place), placeWords(place), 1)
		f.Place = place
	}
}

// placeWords is how a sentence names a place.
func placeWords(p *bore.Place) string {
	return fmt.Sprintf("%.0f deg at %s depth", float64(p.Angle), quantity.Text(p.Depth, "mm", 1))
}
