package finding

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// patchAngle is how many degrees a finding may lie from the mean of the others, and
// still be about one spot of the wall. Ours; common practice, no source.
const patchAngle = 10

// wall judges whether findings that a flaw of the wall can bring about come turn
// after turn at one angle.
type wall struct {
	deaf
	*ledger
	patches  []*patch
	gathered int // findings that the patches know
}

// patch gathers findings at one angle.
type patch struct {
	cos, sin float64 // of the angles, summed up
	turns    int     // on which it was met
	members  []int   // numbers of findings
	low      quantity.Metres
	high     quantity.Metres
	last     pass.Moment
	lastPass int
	number   int // of its own finding; 0 is not filed
}

func (p *patch) angle() quantity.Degrees {
	return bore.NormalAngle(quantity.Of[quantity.Degrees](math.Atan2(p.sin, p.cos), "rad"))
}

// End implements pass.Listener. It gathers the findings of the pass by their angle.
// Where that rests on a declared rotation of a helix, it is not good enough after a turn.
func (w *wall) End(p *pass.Pass) {
	from := w.gathered
	w.gathered = len(w.found)
	if p.TravelBasis == heat.TravelDeclared && p.Pattern != bore.Rings {
		return
	}
	turn := int64(0)
	if p.Turns != nil && *p.Turns > 0 {
		turn = int64(float64(p.Elapsed) / *p.Turns * 1e9)
	}
	for k := from; k < w.gathered; k++ {
		if f := &w.found[k]; f.Pass == p.Number && f.Place != nil && rowOf(f.Rule).wall {
			w.gather(*f, turn)
		}
	}
	w.gathered = len(w.found)
}

// gather puts a finding to those at its angle. Two within half a turn are one
// meeting with the wall.
func (w *wall) gather(f Finding, turn int64) {
	at := w.patchAt(f.Place.Angle)
	sin, cos := math.Sincos(float64(f.Place.Angle) * math.Pi / 180)
	again := at.lastPass == f.Pass && at.last.Epoch == f.Start.Epoch && f.Start.Tick-at.last.Tick < turn/2
	if !again {
		at.turns++
	}
	if len(at.members) == 0 {
		at.low, at.high = f.Place.Depth, f.Place.Depth
	}
	at.cos, at.sin = at.cos+cos, at.sin+sin
	at.low, at.high = min(at.low, f.Place.Depth), max(at.high, f.Place.Depth)
	at.last, at.lastPass = f.Start, f.Pass
	at.members = append(at.members, f.Number)
	if float64(at.turns) >= w.least() {
		w.sumUp(at, f)
	}
}

// least is on how many turns a spot must be met.
func (w *wall) least() float64 { return float64(w.limits(WallPatch).High) }

// patchAt returns the patch at an angle, a new one where there is none.
func (w *wall) patchAt(angle quantity.Degrees) *patch {
	for _, p := range w.patches {
		if math.Abs(float64(bore.AngleDifference(angle, p.angle()))) <= patchAngle {
			return p
		}
	}
	p := new(patch)
	w.patches = append(w.patches, p)
	return p
}

// sumUp files the finding about the wall, or brings it up to date.
func (w *wall) sumUp(p *patch, latest Finding) {
	if p.number == 0 {
		first := w.found[p.members[0]-1]
		p.number = len(w.found) + 1
		w.file(Finding{Rule: WallPatch, Pass: latest.Pass, Layer: latest.Layer, Start: first.Start, Limit: w.least()})
	}
	f := &w.found[p.number-1]
	f.Worst = float64(p.turns)
	f.Beyond = f.Worst - f.Limit
	f.Place = &bore.Place{Angle: p.angle(), Depth: p.low}
	f.Parts = slices.Clone(p.members)
	f.Sentence = p.sentence()
	for _, number := range p.members {
		w.found[number-1].PartOf = p.number
	}
}

func (p *patch) sentence() string {
	parts := make([]string, len(p.members))
	for k, number := range p.members {
		parts[k] = fmt.Sprint(number)
	}
	return fmt.Sprintf("the arc was disturbed on %d turns at the same angle, %.0f deg (+-%d), from %s to %s deep (findings %s); this points to the wall, not to the arc: look there for a crack, a hole, slag or an old weld",
		p.turns, float64(p.angle()), patchAngle, quantity.Text(p.low, "mm", 1), quantity.Text(p.high, "mm", 1), strings.Join(parts, ", "))
}
