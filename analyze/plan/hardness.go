package plan

import "arctally/analyze/thermal"

// hardness warns where the layer that cools fastest, from the coolest wall, is
// faster than the practice of its steel, and where the one that cools most slowly,
// from the warmest wall, is slower.
func (p *planner) hardness() {
	var fastest, slowest *Layer
	for i := range p.plan.Layers {
		l := &p.plan.Layers[i]
		if l.Cooling != nil && (fastest == nil || l.Cooling.Time < fastest.Cooling.Time) {
			fastest = l
		}
		if l.Warmest != nil && (slowest == nil || l.Warmest.Time > slowest.Warmest.Time) {
			slowest = l
		}
	}
	if fastest != nil {
		p.caution("hardness", thermal.TooFast(fastest.Cooling.Time, p.plan.Wall))
	}
	if slowest != nil {
		p.caution("toughness", thermal.TooSlow(slowest.Warmest.Time, *p.plan.Interpass))
	}
}

// caution warns where there is something to say.
func (p *planner) caution(kind, text string) {
	if text != "" {
		p.warn(kind, 0, text)
	}
}
