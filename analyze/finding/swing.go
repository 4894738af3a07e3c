package finding

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/byangle"
)

// swept files what a sweep shows of the current: a swing once a turn, and one twice a
// turn, each a share of its mean. It returns how many findings belong to the last pass
// though that is already complete.
func (l *ledger) swept(s byangle.Sweep) (late int) {
	f := Finding{Pass: s.Last, Layer: s.Layer, Start: s.Start, Duration: s.Mean.ArcTime}
	if s.OffCentre.Found {
		once := f
		once.Rule, once.Worst, once.Limit = OffCentre, float64(s.OffCentre.Amplitude), float64(s.OffCentre.Least)
		once.Place = &bore.Place{Angle: s.OffCentre.Crest, Depth: s.Depth}
		once.Sentence = offCentre(&s, l.job.Bore.Axis)
		late += l.file(once)
	}
	if s.Oval.Found {
		f.Rule, f.Worst, f.Limit = OvalBore, float64(s.Oval.Amplitude), float64(s.Oval.Least)
		f.Place = &bore.Place{Angle: s.Oval.Crest, Depth: s.Depth}
		f.Sentence = oval(&s)
		late += l.file(f)
	}
	return late
}

func offCentre(s *byangle.Sweep, axis string) string {
	c := s.OffCentre
	text := fmt.Sprintf("current swings once a turn by %s (+-%s, k = 2) either side of its mean, highest at %.0f deg (+-%.0f), over %.1f turns",
		percent(c.Amplitude), percent(2*c.Uncertainty), float64(c.Crest), 2*float64(c.CrestDoubt), s.Turns)
	if c.Distance != nil {
		text += fmt.Sprintf(": the distance from tip to wall swings by %s (+-%s, k = 2)",
			quantity.Text(*c.Distance, "mm", 2), quantity.Text(2**c.DistanceDoubt, "mm", 2))
	}
	if axis == vertical {
		return text + "; the torch stands off the centre towards there: centre it, and look at the bead on the far side"
	}
	text += "; either the torch stands off the centre towards there, or gravity moves the pool (flat, up, overhead, down) " + whyGravity(axis)
	if s.Shifted {
		return text + fmt.Sprintf("; since the layer before the swing has moved by %s, and gravity does not move: look at how the torch is clamped", percent(s.Moved))
	}
	return text + ": one set-up cannot tell them apart; measure the distance on a slow dry turn"
}

// vertical is how a job writes an axis on which gravity does the same all round.
const vertical = "vertical"

func whyGravity(axis string) string {
	if axis == "" {
		return "if the axis is not vertical, which the job does not say"
	}
	return "as it does round an axis that is not vertical"
}

func oval(s *byangle.Sweep) string {
	c := s.Oval
	narrow, wide := float64(c.Crest), float64(c.Crest)+90
	if wide >= 180 {
		wide -= 180
	}
	text := fmt.Sprintf("current swings twice a turn by %s (+-%s, k = 2) either side of its mean, highest at %.0f and %.0f deg (+-%.0f), over %.1f turns: the bore is likely oval, widest at %.0f and %.0f deg",
		percent(c.Amplitude), percent(2*c.Uncertainty), narrow, narrow+180, 2*float64(c.CrestDoubt), s.Turns, wide, wide+180)
	if c.Distance != nil {
		// The distance swings by a quarter of the difference of the diameters.
		text += fmt.Sprintf(", the longest diameter %s (+-%s, k = 2) over the shortest",
			quantity.Text(4**c.Distance, "mm", 2), quantity.Text(8**c.DistanceDoubt, "mm", 2))
	}
	return text + "; measure the bore across both, and see whether it cleans up at the wide sides"
}

func percent(r quantity.Ratio) string { return quantity.Text(r, "%", 2) }
