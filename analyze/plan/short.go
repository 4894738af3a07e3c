package plan

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
)

// leastOfLayer is the share of its thickness that a last layer must be needed for
// to be planned. Below it the layers before it can be made to reach: a tenth of one
// layer more on all of them together. Ours, no source.
const leastOfLayer = 0.1

// isSliver reports whether a layer would be laid for next to nothing.
func isSliver(needed, thickness quantity.Metres) bool { return needed < leastOfLayer*thickness }

// Short is what becomes of a bore that the layers close but for a sliver. No whole
// layer is planned for that: the person chooses.
type Short struct {
	Missing quantity.Metres // on a side
	Another quantity.Metres // thickness of the whole layer that would be next
	Ways    []Way           // with the layers that there are, each inside the procedure's windows
}

// Way is a change of one set-point by which the layers that there are reach the
// diameter; what it leaves as it is, is 0.
type Way struct {
	Pitch    quantity.Metres
	Travel   quantity.MetresPerSecond
	Rotation quantity.TurnsPerSecond

	Turns float64 // of a layer
	Final quantity.Metres
	// HeatInput is the highest of its layers, by the procedure's definition.
	HeatInput *quantity.JoulesPerMetre
}

// What a person can set: a pitch in hundredths of a millimetre, a travel in
// millimetres a minute, a rotation in thousandths of a turn a minute.
const (
	pitchStep    quantity.Metres          = 1e-5
	travelStep   quantity.MetresPerSecond = 1e-3 / 60
	rotationStep quantity.TurnsPerSecond  = 1e-3 / 60
)

// short says what the layers leave, and looks for ways to close it with them.
func (p *planner) short(another *Layer) {
	s := &Short{Missing: (another.Diameter - p.plan.WeldTo) / 2, Another: another.Thickness}
	p.plan.Short = s
	if way := p.closerPitch(); way != nil {
		s.Ways = append(s.Ways, *way)
	}
	if way := p.slower(); way != nil {
		s.Ways = append(s.Ways, *way)
	}
	reach, goal := quantity.TextAgainst(another.Diameter, p.plan.WeldTo, "mm", 2)
	n := len(p.plan.Layers)
	text := fmt.Sprintf("with %s the bore is at %s, and %s on a side are missing to %s; a whole layer more would be %s thick, and none is planned for that",
		counted(n), reach, quantity.Significant(s.Missing, "mm", 1), goal, quantity.Text(s.Another, "mm", 2))
	for k := range s.Ways {
		text += "; " + s.Ways[k].words(n)
	}
	if len(s.Ways) == 0 {
		text += "; no pitch and no travel inside the procedure's windows closes it with " + counted(n)
	}
	p.warn("short", 0, text+"; or leave it as it is, or weld to a smaller diameter")
}

func counted(layers int) string {
	if layers == 1 {
		return "1 layer"
	}
	return fmt.Sprintf("%d layers", layers)
}

// words say what to set, and what comes of it.
func (w *Way) words(layers int) string {
	set := ""
	switch {
	case w.Pitch > 0:
		set = fmt.Sprintf("a pitch of %s, %.2f turns a layer,", quantity.Text(w.Pitch, "mm", 2), w.Turns)
	case w.Travel > 0:
		set = "a travel of " + quantity.Text(w.Travel, "mm/min", 0)
	default:
		set = "a rotation of " + quantity.Text(w.Rotation, "rpm", 3)
	}
	text := fmt.Sprintf("%s reaches %s with %s", set, quantity.Text(w.Final, "mm", 2), counted(layers))
	if w.HeatInput != nil {
		text += ", at " + quantity.Text(*w.HeatInput, "kJ/mm", 3)
	}
	return text
}

// closerPitch lays the beads nearer to one another, nil where that does not do.
func (p *planner) closerPitch() *Way {
	at := func(share float64) laying {
		c := p.asSet()
		c.pitch = settable(c.pitch, pitchStep, share)
		return c
	}
	share, ok := p.shareThatReaches(at)
	if !ok {
		return nil
	}
	return p.way(at(share), Way{Pitch: at(share).pitch})
}

// slower keeps travel, or rotation where the plan keeps that, lower, so that each
// bead is bigger; nil where that does not do.
func (p *planner) slower() *Way {
	s := p.plan.Settings
	settings := func(share float64) Settings {
		if s.Travel > 0 {
			return Settings{Travel: settable(s.Travel, travelStep, share)}
		}
		return Settings{Rotation: settable(s.Rotation, rotationStep, share)}
	}
	at := func(share float64) laying { return laying{p.job.Deposit.Pitch, settings(share).travelAt} }
	share, ok := p.shareThatReaches(at)
	if !ok {
		return nil
	}
	return p.way(at(share), Way{Travel: settings(share).Travel, Rotation: settings(share).Rotation})
}

// settable is a share of a set-point, down to the next step that can be set.
func settable[Q quantity.Quantity](set, step Q, share float64) Q {
	return Q(math.Floor(share*float64(set)/float64(step))) * step
}

// leastShare is how far below the set-point a way is looked for: one layer that is
// to be a tenth thicker needs a share of 1/1.1 and a step.
const leastShare = 0.8

// shareThatReaches finds the largest share of a set-point at which the layers that
// there are reach the diameter, by halving: less of it is more metal, and a bore that
// is filled is reached more than enough.
func (p *planner) shareThatReaches(at func(share float64) laying) (float64, bool) {
	reaches := func(share float64) bool {
		layers, err := p.stack(len(p.plan.Layers), at(share))
		return err != nil || layers[len(layers)-1].After <= p.plan.WeldTo+reached
	}
	low, high := leastShare, 1.0
	if !reaches(low) {
		return 0, false
	}
	for range 40 {
		if middle := (low + high) / 2; reaches(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low, true
}

// way says what comes of a change, nil where a layer leaves a window of the procedure.
func (p *planner) way(c laying, w Way) *Way {
	layers, err := p.stack(len(p.plan.Layers), c)
	if err != nil {
		return nil
	}
	limits := p.job.Procedure.Limits
	for i := range layers {
		q := p.judged(&layers[i])
		if limits.TravelSpeed.Beyond(layers[i].Travel) != 0 || q != nil && limits.HeatInput.Beyond(*q) != 0 {
			return nil
		}
		if q != nil && (w.HeatInput == nil || *q > *w.HeatInput) {
			w.HeatInput = q
		}
	}
	w.Turns, w.Final = layers[0].Turns, layers[len(layers)-1].After
	return &w
}
