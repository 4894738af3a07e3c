package sensorbox

import "arctally/acquire/quantity"

// ledger integrates the truth at the model's own step.
type ledger struct {
	truth   *Truth
	moment  func(since int64) Moment
	hold    int64
	on      bool // the arc is on: from its first burning to the last current
	energy  float64
	time    int64 // ns of arc time
	started bool  // a pass is open
	fedAt   float64
	shorts  int
	path    float64
	atStart float64 // degrees at the first burning
}

// step books one step of the arc that began at since.
func (l *ledger) step(a *arc, t *torch, since int64) {
	if a.contact == open {
		if l.on {
			l.off(a, t, since)
		}
		return
	}
	if !l.on {
		if a.contact != burning {
			return
		}
		l.strike(a, t, since)
	}
	l.energy += a.voltage * a.through * stepTime
	l.time += stepNs
}

func (l *ledger) pass() *PassTruth { return &l.truth.Passes[len(l.truth.Passes)-1] }

// begin opens the books of a pass; its start is set by the first burning.
func (l *ledger) begin(t *torch) {
	p := PassTruth{
		Number: len(l.truth.Passes) + 1, Layer: t.layer(), Diameter: quantity.Metres(t.diameter), Depth: quantity.Metres(t.depth()),
	}
	if t.plan.Pattern != Helix {
		p.Ring = t.ring() + 1
	}
	l.truth.Passes = append(l.truth.Passes, p)
	l.started = false
	l.energy, l.time, l.path = 0, 0, 0
}

// goOn opens the books of a pass that goes on with the one before it.
func (l *ledger) goOn(t *torch) {
	l.begin(t)
	l.pass().Resumes = len(l.truth.Passes) - 1
}

func (l *ledger) strike(a *arc, t *torch, since int64) {
	l.on = true
	p := l.pass()
	at := l.moment(since)
	if !l.started {
		l.started = true
		p.Start, l.fedAt, l.shorts, l.atStart = at, a.fed, a.shorts, t.turned
		p.StartAngle = quantity.Degrees(t.stands())
	}
	if n := len(p.Arcs); n > 0 && since-p.Arcs[n-1].End.Since < l.hold {
		return
	}
	p.Arcs = append(p.Arcs, Interval{Start: at})
}

func (l *ledger) off(a *arc, t *torch, since int64) {
	l.on = false
	p := l.pass()
	p.End = l.moment(since)
	p.EndAngle = quantity.Degrees(t.stands())
	p.Arcs[len(p.Arcs)-1].End = p.End
	p.Energy = quantity.Joules(l.energy)
	p.ArcTime = quantity.Seconds(float64(l.time) / 1e9)
	p.Turns = (t.turned - l.atStart) / 360
	p.WireFed = quantity.Metres(a.fed - l.fedAt)
	p.Shorts = a.shorts - l.shorts
	p.Path = quantity.Metres(l.path)
}

// travel adds to the way that the torch goes with the arc on.
func (l *ledger) travel(t *torch, degrees float64) {
	if l.on {
		l.path += t.path(degrees)
	}
}
