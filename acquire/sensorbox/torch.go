package sensorbox

import "math"

// phase is what the machine is doing.
type phase uint8

const (
	waiting   phase = iota // torch stands, arc off
	striking               // source and feed are on, the torch stands until the arc burns
	turning                // the torch turns, the arc burns outside the gaps
	finishing              // the feed stops, the wire burns back
	done
)

// torch is the machine's sequence: which pass, where in it, and whether an arc
// is wanted. Angles in degrees, lengths in m, times in s.
type torch struct {
	plan      Plan
	phase     phase
	until     float64   // waiting: when it ends
	pass      int       // from 1; 0 before the first
	turned    float64   // in this pass, always positive
	total     float64   // of the pass
	turnedAll float64   // since the first strike, before it below 0; strokes come back to where they were
	jogs      []float64 // angles in turnedAll to which the torch is still to be turned in this pause
	segments  []segment
	way       float64 // -1 in a stroke that goes back, else +1
	direction float64 // +1 clockwise
	diameter  float64 // now being welded
	burnBack  float64 // since the feed stopped
}

func newTorch(p Plan) *torch {
	t := &torch{plan: p, until: float64(p.Lead), total: 360 * p.turns(), direction: 1, way: 1, diameter: float64(p.WornDiameter)}
	if p.stroked() {
		t.segments = p.segments()
	}
	if p.RotationSpeed < 0 {
		t.direction = -1
	}
	if p.JogBefore != 0 {
		t.turnedAll = -t.direction * 360 * p.JogBefore
		t.jogs = []float64{0}
	}
	return t
}

// stands returns the angle from the mark, whatever pass it is in or between.
func (t *torch) stands() float64 {
	return wrap(float64(t.plan.StartAngle) + t.direction*t.turnedAll)
}

func (t *torch) layer() int { return (t.pass-1)/t.plan.perLayer() + 1 }

// ring counts from 0 within the layer, and strokes within their segment.
func (t *torch) ring() int { return (t.pass - 1) % t.plan.rings() }

// lastOfLayer tells whether the present pass ends its layer.
func (t *torch) lastOfLayer() bool { return t.pass%t.plan.perLayer() == 0 }

func (t *torch) angle() float64 {
	if t.plan.stroked() {
		return wrap(float64(t.plan.StartAngle) + t.turnedAll)
	}
	return wrap(float64(t.plan.StartAngle) + t.direction*t.turned)
}

func (t *torch) depth() float64 {
	if t.plan.Pattern == Helix {
		return float64(t.plan.Pitch) * t.turned / 360
	}
	return float64(t.plan.Pitch) * float64(t.ring())
}

// path returns the way over the wall for an angle turned.
func (t *torch) path(degrees float64) float64 {
	axial := 0.0
	if t.plan.Pattern == Helix {
		axial = float64(t.plan.Pitch) * degrees / 360
	}
	return math.Hypot(math.Pi*t.diameter*degrees/360, axial)
}

// inGap tells whether the torch stands over a planned gap. The last hair's
// breadth before a full turn counts as the turn: sums of steps round.
func (t *torch) inGap() bool {
	if t.plan.stroked() {
		return false // a stroke ends where the gap begins
	}
	angle := wrap(float64(t.plan.StartAngle) + t.direction*(t.turned+angleHair))
	for _, g := range t.plan.Gaps {
		if g.contains(angle) {
			return true
		}
	}
	return false
}

const angleHair = 1e-7 // degrees

// gasOn tells whether the gas valve is open.
func (t *torch) gasOn(now float64) bool {
	switch t.phase {
	case done:
		return false
	case waiting:
		between := t.pass > 0 && !t.lastOfLayer()
		return between || (t.pass < t.plan.passes() && now >= t.until-preFlow && len(t.jogs) == 0)
	default:
		return true
	}
}

// arcWanted tells whether source and feed are to be on.
func (t *torch) arcWanted() bool {
	return t.phase == striking || (t.phase == turning && !t.inGap())
}

// advance moves the torch by one control step, at a share of its speed. It
// reports a pass that began, or ended, in this step.
func (t *torch) advance(now, share float64, arcOn, sourceOn bool) (began, ended bool) {
	switch t.phase {
	case waiting:
		if t.jog(now) || now < t.until {
			return false, false
		}
		if t.pass == t.plan.passes() {
			t.phase = done
			return false, false
		}
		return t.begin(), false
	case striking:
		if arcOn {
			t.phase = turning
		}
	case turning:
		t.turn(share)
	case finishing:
		if !arcOn && !sourceOn {
			t.rest(now)
			return false, true
		}
	}
	return false, false
}

// begin begins the next pass, once the torch stands where it begins.
func (t *torch) begin() bool {
	t.pass++
	if t.plan.stroked() {
		s := t.stroke()
		if !t.goTo(s.begin()) {
			t.pass--
			return false
		}
		t.total, t.way = s.to-s.from, s.way
	}
	t.turned = 0
	t.phase = striking
	return true
}

func (t *torch) turn(share float64) {
	uneven := 1 + float64(t.plan.Wobble)*math.Cos(radians(t.stands()))
	step := math.Abs(float64(t.plan.RotationSpeed)) * share * uneven * 360 * controlTime
	if left := t.total - t.turned; step >= left-angleHair {
		step = left
		t.phase = finishing
	}
	t.turned += step
	t.turnedAll += t.way * step
}

func (t *torch) rest(now float64) {
	pause := float64(t.plan.LayerPause)
	switch {
	case t.pass == t.plan.passes():
		pause = float64(t.plan.Lead)
	case !t.lastOfLayer():
		pause = float64(t.plan.RingPause)
	}
	t.phase, t.until = waiting, now+pause
	if p := t.plan; p.JogBetween != 0 && t.pass < p.passes() {
		t.jogs = []float64{t.turnedAll + t.direction*360*p.JogBetween, t.turnedAll}
	}
}

// jog turns the torch on its way through the jogs of a pause, and reports whether
// it is still about it. An arc is struck no sooner than the gas has flowed.
func (t *torch) jog(now float64) bool {
	if len(t.jogs) == 0 {
		return false
	}
	if t.goTo(t.jogs[0]) {
		t.jogs = t.jogs[1:]
		t.until = max(t.until, now+preFlow)
	}
	return true
}

// drive sets source and feed for what is wanted. A wire that stops burns back
// before the source goes off, and that waits for the arc: no wire freezes in.
func (t *torch) drive(a *arc, wanted bool, feed float64) {
	if wanted {
		a.sourceOn, a.feedTarget, t.burnBack = true, feed, 0
		return
	}
	a.feedTarget = 0
	if !a.sourceOn {
		return
	}
	t.burnBack += controlTime
	if t.burnBack >= burnBackTime && (a.contact == burning || a.contact == open) {
		a.sourceOn = false
	}
}

// closeBore narrows the bore by a layer of the wire that was fed for it. The volume
// is kept over the arc's share of the wall: with the bore's diameter D, the
// layer's wire volume W, its length l and the welded share s of the circle,
//
//	D' = sqrt(D^2 - 4*W/(pi*l*s))
func (t *torch) closeBore(wireVolume float64) {
	share := 1.0
	for _, g := range t.plan.Gaps {
		share -= wrap(float64(g.To-g.From)) / 360
	}
	left := t.diameter*t.diameter - 4*depositShare*wireVolume/(math.Pi*float64(t.plan.Length)*share)
	t.diameter = math.Sqrt(max(left, 0))
}
