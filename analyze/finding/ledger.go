package finding

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
)

// Whereabouts tells where the torch is; a *pass.Splitter does.
type Whereabouts interface {
	At(tick int64) pass.Position
	PlaceOf(turns float64) *bore.Place
	Locate(turns float64) (at bore.Place, known bool) // the same, for who asks often
	PathPerTurn() quantity.Metres
	Rate() quantity.TurnsPerSecond
}

// ledger files what is found. All judges share it, and learn from it which job it
// is, where the torch is, and which pass is open.
type ledger struct {
	job   *procedure.Job
	torch Whereabouts
	epoch int        // of the arc interval
	pass  *pass.Pass // that is open; nil is none
	found []Finding
	apart [channels]quantity.Seconds // within which what a channel says may stand elsewhere, k = 2
}

// widen widens the place of a finding by how far the torch goes in the time within which
// what it was found by may stand elsewhere: another box measured it, on its own clock. The
// two have nothing to do with one another:
//
//	U = sqrt( U(angle)^2 + (360 * rate * U(time))^2 )
func (l *ledger) widen(rule Rule, place *bore.Place) *bore.Place {
	apart := l.apart[rowOf(rule).heard()]
	if place == nil || apart == 0 || place.AngleUncertainty >= rotation.NoAngle {
		return place
	}
	wider := *place
	way := quantity.Degrees(360 * float64(l.torch.Rate()) * float64(apart))
	wider.AngleUncertainty = min(rotation.NoAngle, quantity.Degrees(math.Hypot(float64(place.AngleUncertainty), float64(way))))
	return &wider
}

// limits returns the limits of a rule that has its limit from the procedure, or
// from us.
func (l *ledger) limits(rule Rule) limits { return rowOf(rule).limit(l.job) }

// moment is a tick of the epoch in which the arc burns.
func (l *ledger) moment(tick int64) pass.Moment { return pass.Moment{Epoch: l.epoch, Tick: tick} }

// add files a finding about the pass that is open, with the sentence of its row.
func (l *ledger) add(f Finding) {
	f.Pass, f.Layer, f.Place = l.pass.Number, l.pass.Layer, l.widen(f.Rule, f.Place)
	if f.Place == nil || f.Whole() {
		f.Place, f.Way = nil, nil
	}
	f.Sentence = rowOf(f.Rule).sentence(&f)
	l.file(f)
}

// file numbers a finding that has its pass and its sentence, and returns 1 where
// that pass is no longer open.
func (l *ledger) file(f Finding) (late int) {
	f.Number = len(l.found) + 1
	f.Beyond = f.Worst - f.Limit
	l.found = append(l.found, f)
	if l.pass == nil || l.pass.Number != f.Pass {
		return 1
	}
	l.pass.Findings++
	return 0
}

// way is how far the torch turns between two numbers of turns.
func way(from, to float64) *quantity.Degrees { return new(quantity.Degrees(360 * (to - from))) }

// atEnds is how near to the ends of a pass, as a share of it, what lasts from one to the other may
// begin and end, and no more than hotStart and endOfPass: the arc settles first, and the pass may
// end with a ramp. Ours, no source.
const atEnds = 0.05

// lasted tells of the findings of a pass that is complete whether they were there as it began
// and as it ended. What lasted from one to the other has no place: it concerns the whole pass.
func (l *ledger) lasted(p *pass.Pass) {
	share := int64(atEnds * float64(p.Elapsed) * 1e9)
	for k := len(l.found) - 1; k >= 0; k-- {
		f := &l.found[k]
		if f.Pass != p.Number || f.Duration <= 0 || f.Whole() {
			continue
		}
		f.FromStart = f.Start.Epoch == p.Start.Epoch && f.Start.Tick-p.Start.Tick <= min(hotStart, share)
		ended := f.Start.Tick + f.Duration.Nanoseconds()
		f.ToEnd = f.Start.Epoch == p.End.Epoch && p.End.Tick-ended <= min(endOfPass, share)
		if f.Whole() {
			f.Place, f.Way = nil, nil
			f.Sentence = f.Composed()
		}
	}
}

// placeAnew places the findings of a pass anew, where its rotation was derived
// while it went on: what was found before that stood where the declared rotation
// would have had the torch.
func (l *ledger) placeAnew(p *pass.Pass) {
	if p.TravelBasis != heat.TravelDerived || p.StartPlace == nil {
		return
	}
	for k := range l.found {
		f := &l.found[k]
		if f.Pass != p.Number || f.Place == nil || f.Start.Epoch != p.Start.Epoch {
			continue
		}
		turns := float64(p.Rotation.Speed) * float64(f.Start.Tick-p.Start.Tick) * 1e-9
		f.Place = &bore.Place{
			Angle: bore.NormalAngle(p.StartPlace.Angle + quantity.Degrees(360*turns)),
			Depth: p.StartPlace.Depth + quantity.Metres(turns)*l.job.Deposit.Pitch,
		}
		f.Way = new(quantity.Degrees(360 * float64(p.Rotation.Speed) * float64(f.Duration)))
		f.Sentence = f.Composed()
	}
}

// deaf hears nothing. A judge embeds it, and says itself what it listens to.
type deaf struct{}

func (deaf) Begin(*pass.Pass, pass.Position)                       {}
func (deaf) Resume(pass.Position, pass.Position, quantity.Seconds) {}
func (deaf) Burn(*pass.Bucket)                                     {}
func (deaf) Rest(pass.Position)                                    {}
func (deaf) End(*pass.Pass)                                        {}
