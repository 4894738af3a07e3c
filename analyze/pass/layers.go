package pass

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/procedure"
)

// layers follows which layer is being welded, how much of it is done, and with
// that the diameter, the angle and the depth.
//
// Every layer begins at the entry face. A helix goes deeper by the pitch with
// each turn; a ring, or a stroke, stays at the depth of its number. Strokes fill
// one segment over the length, and then the next one; where the turns are counted
// the angle tells the segment, and any other order will do. Where the length or
// the pitch of the bore is not declared, layer and depth are not known.
type layers struct {
	job       *procedure.Job
	mayRest   int64   // ns for which the arc may stay out within a pass
	perLayer  float64 // turns of a helix, rings, or strokes of a segment; 0 is not known
	number    int     // of the layer being welded; 0 is not known
	done      float64 // turns, or rings, of it that earlier passes have welded
	full      bool    // nothing is left of it
	begun     float64 // turns at which the present pass began
	need      float64 // turns that the present pass has to go
	unsure    float64 // expanded uncertainty of that
	counted   bool    // the present pass goes by counts
	zero      float64 // turns at which the torch stands at the start angle
	open      unfinished
	diameter  quantity.Metres
	uncertain error // why the diameter is that of the first layer

	segments []bore.Segment // of a stroked pattern
	strokes  []int          // laid in each of them
	segment  int            // being welded
	inTurn   bool           // the torch fills one segment after the other
	way      float64        // of the first one-way stroke; 0 is not known
	returned bool           // the present pass is no stroke, but the way back
}

func newLayers(job *procedure.Job) layers {
	l := layers{job: job, diameter: job.Bore.WornDiameter}
	if l.turning() && job.Bore.Length > 0 && job.Deposit.Pitch > 0 {
		l.perLayer, l.number = bore.TurnsPerLayer(job.Bore, job.Deposit), 1
		if l.stroked() {
			l.segments = job.Deposit.Segments(job.Rotation.StartAngle)
			l.strokes = make([]int, len(l.segments))
		}
	}
	l.mayRest = l.longestRest()
	return l
}

// How long, in ns, the arc may be out before the next one is another pass,
// where nothing else tells. Ours; common practice, no source.
const (
	straightRest = 1e9  // on a plate the torch has moved on by then
	boreRest     = 10e9 // in a bore it may go round a flaw; between layers it takes longer
	gapShare     = 1.5  // of the longest planned gap, which may be passed slowly
)

// longestRest is how long the arc may stay out within a pass, in ns.
func (l *layers) longestRest() int64 {
	if !l.turning() {
		return straightRest
	}
	gap := 0.0
	if n := float64(l.job.Rotation.Speed); n > 0 && !l.stroked() {
		gap = gapShare * float64(l.job.Deposit.LongestGap()) / 360 / n * 1e9
	}
	return max(boreRest, int64(gap))
}

// turning reports whether the pattern goes round a bore.
func (l *layers) turning() bool {
	return l.job.Deposit.Pattern != bore.Straight && l.job.Bore.WornDiameter > 0
}

// stroked reports whether the pattern is laid in strokes.
func (l *layers) stroked() bool { return l.job.Deposit.Pattern.Stroked() }

// spare is the share of a turn by which a layer may fall short and still be
// taken for complete: the arc is struck late and ends early.
const spare = 0.5

// declaredSlack is the share by which a declared rotation may be wrong before
// it says that something is missing. Ours; common practice, no source.
const declaredSlack = 0.1

// next goes on to the run, ring or stroke that the plan has after the last one.
func (l *layers) next(turns float64, c *Course) {
	if l.stroked() {
		l.nextStroke(turns, c)
		return
	}
	if l.full {
		l.nextLayer()
	}
	l.need = 1
	if l.job.Deposit.Pattern == bore.Helix {
		l.need = l.perLayer
	}
}

// nextLayer begins a layer at the entry face.
func (l *layers) nextLayer() {
	l.number++
	l.done, l.full = 0, false
	clear(l.strokes)
	l.shrink()
}

// shrink takes the diameter of the layer. Where it cannot be computed, it stays.
func (l *layers) shrink() {
	set := l.job.Setpoints
	rates := bore.Rates{WireSpeed: set.WireSpeed, Rotation: l.job.Rotation.Speed, Travel: set.TravelSpeed}
	d, err := bore.LayerDiameter(l.job.Bore, l.job.Deposit, rates, l.number)
	if err != nil {
		l.uncertain = err
		return
	}
	l.diameter = d
}

// turned returns how far the present pass has gone round by a number of turns.
func (l *layers) turned(at float64) float64 { return math.Abs(at - l.begun) }

// ringSpare is how many degrees of a ring may be left when it counts as closed.
const ringSpare = 10

// complete reports whether a pass that has come so far has gone as far round as
// its pattern plans.
func (l *layers) complete(at float64) bool {
	return l.perLayer > 0 && l.left(at) <= min(ringSpare/360.0, l.need/4)
}

// left returns how many turns of the pass are still to be welded. At the end of
// a ring the planned gaps are left out; every other pass ends with metal.
func (l *layers) left(at float64) float64 {
	turned := l.turned(at)
	if l.job.Deposit.Pattern != bore.Rings {
		return l.need - turned
	}
	if !(turned < l.need+1) { // a count gone wild is not walked degree by degree
		return 0
	}
	left := 0
	for degree := int(turned * 360); degree < int(math.Round(l.need*360)); degree++ {
		on, _ := l.place(l.begun + math.Copysign((float64(degree)+0.5)/360, at-l.begun))
		if !l.job.Deposit.InGap(on.Angle) {
			left++
		}
	}
	return float64(left) / 360
}

// end adds the turns of a pass to its layer. A ring or a stroke that stopped
// short counts as well, until the next pass goes on with it.
func (l *layers) end(turns float64) {
	switch {
	case l.number == 0:
	case l.stroked():
		if !l.returned {
			l.strokes[l.segment]++
		}
	case l.job.Deposit.Pattern == bore.Rings:
		l.done++
		l.full = l.done >= l.perLayer
	default:
		l.done += turns
		l.full = l.perLayer-l.done <= l.slack(l.perLayer)
	}
}

// count returns how many rings or strokes of the layer are laid, and planned.
func (l *layers) count() (number, laid, planned int) {
	switch {
	case l.number == 0:
	case l.stroked():
		for _, n := range l.strokes {
			laid += n
		}
		return l.number, laid, int(l.perLayer) * len(l.strokes)
	case l.job.Deposit.Pattern == bore.Rings:
		return l.number, int(l.done), int(l.perLayer)
	}
	return 0, 0, 0
}

// slack is by how many of so many turns a helix may fall short and be complete.
func (l *layers) slack(turns float64) float64 {
	if l.counted {
		return spare
	}
	return max(spare, declaredSlack*turns)
}

// place returns where the torch is; false where there is no angle.
func (l *layers) place(turns float64) (at bore.Place, known bool) {
	if !l.turning() {
		return at, false
	}
	deep := l.done
	angle := l.angle(turns)
	switch {
	case l.job.Deposit.Pattern == bore.Helix:
		deep += math.Abs(turns - l.begun)
	case len(l.segments) > 0:
		deep = min(float64(l.strokes[l.segment]), l.perLayer-1)
		if !l.counted {
			angle = l.planned(turns)
		}
	}
	return bore.Place{Angle: bore.NormalAngle(angle), Depth: quantity.Metres(deep) * l.job.Deposit.Pitch}, true
}

// angle returns the angle at a number of turns.
func (l *layers) angle(turns float64) quantity.Degrees {
	return l.job.Rotation.StartAngle + quantity.Degrees((turns-l.zero)*360)
}

// builtUp is the metal under the layer, on both sides, over its diameter.
func (l *layers) builtUp() float64 {
	return float64((l.job.Bore.WornDiameter - l.diameter) / l.diameter)
}

// pathPerTurn returns the length of bead in a turn, 0 where there is none.
func (l *layers) pathPerTurn() quantity.Metres {
	if !l.turning() {
		return 0
	}
	return bore.PathPerTurn(l.job.Deposit.Pattern, l.diameter, l.job.Deposit.Pitch)
}
