package live

import (
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/now"
	"arctally/report/sheet"
)

// ring is the turn that is being laid; only what the torch has been over has values.
func (b *Board) ring(r now.Turn) []Cell {
	cells := []Cell{}
	for _, c := range r.Cells {
		cell := Cell{From: float64(c.From), To: float64(c.To), Value: sheet.In(b.judgedOf(c.ArcEnergy, c.HeatInput), heatUnit)}
		cell.State = marginOf(now.StateIn(b.judgedOf(c.ArcEnergy, c.HeatInput), b.job.Procedure.Limits.HeatInput))
		if c.ArcTime > 0 {
			cell.Arc = sheet.Known(float64(c.Burned))
		}
		cell.Finding = slices.ContainsFunc(r.Sectors, func(a now.Sector) bool { return a.Finding > 0 && b.covers(a, (c.From+c.To)/2) })
		cells = append(cells, cell)
	}
	return cells
}

// turn sees by the angle which way the torch goes.
func (b *Board) turn(now *Place) {
	if now == nil || now.Angle == nil {
		return
	}
	if ahead := bore.NormalAngle(quantity.Degrees(*now.Angle) - b.angle); ahead > 0 {
		b.backwards = ahead > 180
	}
	b.angle = quantity.Degrees(*now.Angle)
}

// covers tells whether an arc, in the direction of the torch, goes over an angle.
func (b *Board) covers(a now.Sector, angle quantity.Degrees) bool {
	from, to := a.From, a.To
	if b.backwards {
		from, to = to, from
	}
	return bore.NormalAngle(angle-from) <= bore.NormalAngle(to-from)
}
