package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
)

// gapWatch follows an arc that burns inside a planned gap.
type gapWatch struct {
	inside bool
	start  int64
	place  *bore.Place
}

// inGap looks whether the torch is well inside a planned gap while it burns.
func (w *Watch) inGap(b *pass.Bucket) {
	if len(w.job.Deposit.Gaps) == 0 {
		return
	}
	place := w.where.PlaceOf(b.Turns)
	deep := w.deepInGap(place.Angle)
	switch {
	case deep && !w.gap.inside:
		w.gap = gapWatch{inside: true, start: b.End, place: place}
	case !deep:
		w.leaveGap(b.End)
	}
}

// deepInGap reports whether an angle is in a gap by more than its edge.
func (w *Watch) deepInGap(angle quantity.Degrees) bool {
	return w.job.Deposit.InGap(angle) && w.job.Deposit.InGap(angle-edge) && w.job.Deposit.InGap(angle+edge)
}

// leaveGap ends what inGap began, and files it if it lasted.
func (w *Watch) leaveGap(tick int64) {
	lasted := quantity.SecondsOf(tick - w.gap.start)
	dwell := w.job.Procedure.Judge.Dwell
	if w.gap.inside && lasted >= dwell {
		w.add(Finding{
			Rule: ArcInGap, Start: pass.Moment{Epoch: w.last.Epoch, Tick: w.gap.start},
			Place: w.gap.place, Duration: lasted, Worst: float64(lasted), Limit: float64(dwell),
		})
	}
	w.gap.inside = false
}
