// Package compare knows how one pass ran beside another: it keeps a profile of
// each pass, bin by bin of its way, and lays one over another or over the median
// of the good ones.
//
// Terms. A bin is 5 degrees of the torch's way, or half a second of arc where
// the angle is not known. Bins are counted along the layer, so that the same bin
// of two helical passes is the same place of the wall; closed rings are counted
// each from the angle of its start. A good pass is one whose verdict is within
// and that has no finding.
//
// A pass departs from its reference where a quantity differs by more than a number of
// robust standard deviations, and more than a share of its level, for longer than
// the dwell. The standard deviation is that of the differences from one bin to the
// next, which neither a step nor an offset between the passes can swell:
//
//	s = 1.4826 * median(|d[k] - d[k-1]|) / sqrt(2)
//
// with the difference d of bin k. Source of the factor: the median absolute
// deviation of normal values; standing: memory, checked against a constructed case.
//
// Errors: a pass that is not there is a *NoPassError; a median without good passes
// is ErrNoGoodPass; profiles along different ways are ErrDifferentWays.
package compare

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// Way is what the bins of a profile are counted along.
type Way string

// The ways.
const (
	Turns   Way = "turns"
	ArcTime Way = "arc time" // where the angle is not known
)

// Bin holds what a pass did in one bin.
type Bin struct {
	Arc      float64    // s
	Unseen   float64    // s without data
	Meant    float64    // s that V and I stand for
	V, I     float64    // integrals, V*s and A*s
	Energy   float64    // J
	Wire     float64    // m
	WireRead bool       // whether the wire speed was read
	Place    bore.Place // of the first that burned in it
	Placed   bool
}

func (b *Bin) add(other Bin) {
	if !b.Placed {
		b.Place, b.Placed = other.Place, other.Placed
	}
	b.Arc += other.Arc
	b.Unseen += other.Unseen
	b.Meant += other.Meant
	b.V += other.V
	b.I += other.I
	b.Energy += other.Energy
	b.Wire += other.Wire
	b.WireRead = b.WireRead || other.WireRead
}

// Profile is one pass, bin by bin.
type Profile struct {
	Pass, Layer int
	Way         Way
	Backwards   bool    // the torch turns anti-clockwise
	Width       float64 // of a bin: turns, or s of arc
	First       int     // number of the first bin, counted from the start of the layer or of the arc
	Bins        []Bin
}

// The bins of a new profile, and how many are kept of all passes before they are
// joined two by two.
const (
	turnsWidth   = 1.0 / 72
	arcTimeWidth = 0.5
	mostBins     = 1 << 17
	mostJoins    = 6 // then a bin is most of a turn, and tells nothing
)

// Keeper keeps the profiles of all passes in bounded memory. It is a bead.Taker.
type Keeper struct {
	job   *procedure.Job
	room  int // bins
	joins int
	kept  []*Profile
	bins  int // in kept

	present *Profile // nil between passes, and where there is no room left
	origin  float64  // bins before the start of the present pass, not a whole number
	turns   float64  // at its start
	arc     float64  // s so far
}

// NewKeeper returns a keeper for a job.
func NewKeeper(job *procedure.Job) *Keeper { return &Keeper{job: job, room: mostBins} }

// Profiles returns the profiles of the passes that are complete. What it returned
// is never changed.
func (k *Keeper) Profiles() []*Profile { return k.kept }

// Begin implements bead.Taker.
func (k *Keeper) Begin(p *pass.Pass, turns float64) {
	k.present, k.turns, k.arc = nil, turns, 0
	if k.joins > mostJoins {
		return
	}
	k.present = &Profile{Pass: p.Number, Layer: p.Layer, Way: ArcTime, Width: arcTimeWidth * k.joined()}
	k.origin = 0
	if p.StartPlace != nil {
		k.present.Way, k.present.Width = Turns, turnsWidth*k.joined()
		k.present.Backwards = k.job.Rotation.Speed < 0
		k.origin = k.along(p.StartPlace)
	}
}

// joined returns how many first bins a bin holds now.
func (k *Keeper) joined() float64 { return float64(int(1) << k.joins) }

// along returns the turns of the layer at a place, so that their fraction is its
// angle. Only a helix tells them from the depth.
func (k *Keeper) along(at *bore.Place) float64 {
	angle := float64(at.Angle) / 360
	if k.job.Rotation.Speed < 0 {
		angle = 1 - angle
	}
	turns := 0.0
	if k.job.Deposit.Pattern == bore.Helix && k.job.Deposit.Pitch > 0 {
		turns = float64(at.Depth / k.job.Deposit.Pitch)
	}
	ahead := angle - turns
	return turns + ahead - math.Floor(ahead+1e-9)
}

// Take implements bead.Taker.
func (k *Keeper) Take(p *bead.Piece) {
	if k.present == nil || p.Arc <= 0 && p.Unseen <= 0 {
		return
	}
	at := k.arc + p.Arc*0.5e-9
	if k.present.Way == Turns {
		at = k.origin + math.Abs((p.From+p.To)/2-k.turns)
	}
	k.arc += p.Arc * 1e-9
	number := int(math.Floor(at / k.present.Width))
	b := Bin{
		Arc: p.Arc * 1e-9, Unseen: p.Unseen * 1e-9, Meant: p.Meant * 1e-9, V: p.V * 1e-9, I: p.I * 1e-9, Energy: p.Energy * 1e-9,
		Wire: p.Wire, WireRead: p.WireRead,
	}
	if p.Place != nil {
		b.Place, b.Placed = *p.Place, true
	}
	k.put(number, b)
	for k.present != nil && k.bins+len(k.present.Bins) > k.room {
		k.join()
	}
}

// put adds to a bin of the present pass. A way so far ahead that it cannot be
// true, after a count that jumped, is left out.
func (k *Keeper) put(number int, b Bin) {
	p := k.present
	if len(p.Bins) == 0 {
		p.First = number
	}
	at := number - p.First
	if at < 0 || at > k.room {
		return
	}
	for len(p.Bins) <= at {
		p.Bins = append(p.Bins, Bin{})
	}
	p.Bins[at].add(b)
}

// join makes one bin of every two, in all profiles.
func (k *Keeper) join() {
	k.joins++
	kept := make([]*Profile, len(k.kept))
	k.bins = 0
	for n, p := range k.kept {
		kept[n] = p.coarser()
		k.bins += len(kept[n].Bins)
	}
	k.kept = kept
	k.present = k.present.coarser()
	if k.joins > mostJoins {
		k.present = nil
	}
}

func (p *Profile) coarser() *Profile {
	c := *p
	c.Width, c.First = 2*p.Width, int(math.Floor(float64(p.First)/2))
	c.Bins = make([]Bin, 0, len(p.Bins)/2+1)
	for n := range p.Bins {
		at := int(math.Floor(float64(p.First+n)/2)) - c.First
		if at == len(c.Bins) {
			c.Bins = append(c.Bins, Bin{})
		}
		c.Bins[at].add(p.Bins[n])
	}
	return &c
}

// End implements bead.Taker.
func (k *Keeper) End(*pass.Pass) {
	if k.present != nil {
		k.present.tidy()
		k.kept = append(k.kept, k.present)
		k.bins += len(k.present.Bins)
	}
	k.present = nil
}

// tail is the arc time of the last bin, as a share of the one before it, below
// which it is only the wire burning back, and goes to the one before.
const tail = 0.1

func (p *Profile) tidy() {
	if n := len(p.Bins); n > 1 && p.Bins[n-1].Unseen == 0 && p.Bins[n-1].Arc < tail*p.Bins[n-2].Arc {
		p.Bins[n-2].add(p.Bins[n-1])
		p.Bins = p.Bins[:n-1]
	}
}

// Values are the means of a bin; nil is not known.
type Values struct {
	Voltage *quantity.Volts
	Current *quantity.Amperes
	Power   *quantity.Watts
	Wire    *quantity.MetresPerSecond
	Arc     quantity.Seconds
	Unseen  quantity.Seconds // without data: the arc may have burned
}

// leastArc is the arc time of a bin, as a share of the usual one, from which its
// means are a level: less is a strike or an end. Ours.
const leastArc = 0.25

// usualArc returns the arc time of the middle bin.
func (p *Profile) usualArc() float64 {
	var arcs []float64
	for k := range p.Bins {
		if p.Bins[k].Arc > 0 {
			arcs = append(arcs, p.Bins[k].Arc)
		}
	}
	return middle(arcs)
}

// values returns the means of a bin that has at least so many seconds of arc.
func (b *Bin) values(least float64) Values {
	v := Values{Arc: quantity.Seconds(b.Arc), Unseen: quantity.Seconds(b.Unseen)}
	if b.Meant >= least && b.Meant > 0 {
		v.Voltage, v.Current = new(quantity.Volts(b.V/b.Meant)), new(quantity.Amperes(b.I/b.Meant))
	}
	if b.Arc >= least && b.Arc > 0 {
		v.Power = new(quantity.Watts(b.Energy / b.Arc))
		if b.WireRead {
			v.Wire = new(quantity.MetresPerSecond(b.Wire / b.Arc))
		}
	}
	return v
}
