package bead

import (
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// amount is what a pass did in one cell, before it is known how much metal that is.
type amount struct {
	energy float64 // J
	arc    float64 // s
	way    float64 // turns in arc; s where they are not counted
	feed   float64 // weight of the wire
	unseen float64 // s without data
	off    float64 // s without arc
}

// Mapper fills a map. It is a Taker.
type Mapper struct {
	job     *procedure.Job
	done    *bore.Map // of the passes that are complete; nil where there is no map
	present []amount  // of the pass under way, by cell; the last one is Beyond
	touched []int     // cells of it that hold something
	sum     amount
	astray  quantity.Degrees // by which its angles may be off
}

// NewMapper returns a mapper for a job. Where the job has no bore to map, it
// takes everything and has no map.
func NewMapper(job *procedure.Job) *Mapper {
	m := &Mapper{job: job, done: bore.NewMap(job.Bore, job.Deposit)}
	if m.done != nil {
		m.present = make([]amount, len(m.done.Cells)+1)
	}
	return m
}

// Map returns a copy of the map of the passes that are complete, nil where the
// job has no bore to map.
func (m *Mapper) Map() *bore.Map {
	if m.done == nil {
		return nil
	}
	return m.done.Clone()
}

// Laid is what the pass under way has put down in one cell.
type Laid struct {
	Energy  quantity.Joules
	ArcTime quantity.Seconds
	Way     float64 // turns in arc; s in arc where the turns are not counted
}

// Present returns what the pass under way has put down in a cell of the map; what
// may still turn out to belong to the next ring is not in it.
func (m *Mapper) Present(row, column int) Laid {
	s := &m.present[row*m.done.Columns+column]
	return Laid{quantity.Joules(s.energy), quantity.Seconds(s.arc), s.way}
}

// WithoutCells returns a map with the rows and columns of the wall and no cells; nil
// where the job has no bore to map.
func (m *Mapper) WithoutCells() *bore.Map {
	if m.done == nil {
		return nil
	}
	bare := *m.done
	bare.Cells = nil
	return &bare
}

// Begin implements Taker.
func (m *Mapper) Begin(*pass.Pass, float64) { m.sum, m.astray = amount{}, 0 }

// Take implements Taker.
func (m *Mapper) Take(p *Piece) {
	if m.done == nil || p.Arc <= 0 && p.Unseen <= 0 {
		return
	}
	piece := amount{energy: p.Energy * 1e-9, arc: p.Arc * 1e-9, way: p.Arc * 1e-9, feed: p.Arc * 1e-9, unseen: p.Unseen * 1e-9}
	if p.Basis == heat.TravelMeasured && p.Arc > 0 {
		piece.way = p.Turned()
	}
	if p.WireRead {
		piece.feed = p.Wire
	}
	m.sum.add(piece)
	if p.Place == nil {
		m.put(nil, piece)
		return
	}
	m.astray = max(m.astray, p.Place.AngleUncertainty)
	m.putAcross(p, piece)
}

// Without implements Idler.
func (m *Mapper) Without(p *Piece) {
	if m.done != nil && p.Place != nil {
		m.putAcross(p, amount{off: p.Off * 1e-9})
	}
}

// putAcross puts a piece down, parted where it lies across the border of two columns.
func (m *Mapper) putAcross(p *Piece, whole amount) {
	half := (p.To - p.From) / 2
	from, to := float64(p.Place.Angle)-360*half, float64(p.Place.Angle)+360*half
	step := float64(m.done.AngleStep)
	border := math.Floor(max(from, to)/step) * step
	if border <= min(from, to) {
		m.put(p.Place, whole)
		return
	}
	sunk := quantity.Metres(0) // from the middle to either end
	if m.job.Deposit.Pattern == bore.Helix {
		sunk = quantity.Metres(math.Abs(half)) * m.job.Deposit.Pitch
	}
	first := whole.times((border - from) / (to - from))
	m.put(&bore.Place{Angle: bore.NormalAngle(quantity.Degrees(from)), Depth: p.Place.Depth - sunk}, first)
	m.put(&bore.Place{Angle: bore.NormalAngle(quantity.Degrees(to)), Depth: p.Place.Depth + sunk}, whole.less(first))
}

// put adds to the cell of a place.
func (m *Mapper) put(place *bore.Place, piece amount) {
	at := m.done.Index(place)
	cell := &m.present[at]
	if *cell == (amount{}) {
		m.touched = append(m.touched, at)
	}
	cell.add(piece)
}

func (a amount) times(x float64) amount {
	return amount{x * a.energy, x * a.arc, x * a.way, x * a.feed, x * a.unseen, x * a.off}
}

func (a amount) less(other amount) amount {
	return amount{a.energy - other.energy, a.arc - other.arc, a.way - other.way, a.feed - other.feed, a.unseen - other.unseen, a.off - other.off}
}

func (a *amount) add(other amount) {
	a.energy += other.energy
	a.arc += other.arc
	a.way += other.way
	a.feed += other.feed
	a.unseen += other.unseen
	a.off += other.off
}

// End implements Taker.
func (m *Mapper) End(p *pass.Pass) {
	if m.done == nil {
		return
	}
	wire := float64(m.wire(p))
	path := 0.0
	if p.Travel != nil {
		path = float64(*p.Travel)
	}
	area := float64(bore.WireArea(m.job.Deposit.WireDiameter)) * float64(m.job.Deposit.Efficiency)
	for _, at := range m.touched {
		s := m.present[at]
		laid := bore.Cell{
			Energy: quantity.Joules(s.energy), ArcTime: quantity.Seconds(s.arc), Unseen: quantity.Seconds(s.unseen), Off: quantity.Seconds(s.off),
			Path:   quantity.Metres(path * shareOf(s.way, m.sum.way, s.arc, m.sum.arc)),
			Volume: area * wire * shareOf(s.feed, m.sum.feed, s.arc, m.sum.arc),
		}
		m.done.Put(at).Add(laid)
		if one := m.done.PutLayer(p.Layer, at); one != nil {
			one.Add(laid)
		}
		m.present[at] = amount{}
	}
	m.touched = m.touched[:0]
	m.done.AngleUncertainty = max(m.done.AngleUncertainty, m.astray)
	m.done.Unevenness = max(m.done.Unevenness, p.Rotation.Unevenness)
}

// shareOf is the share of a whole, by arc time where the whole is nothing.
func shareOf(of, whole, arc, all float64) float64 {
	switch {
	case whole > 0:
		return of / whole
	case all > 0:
		return arc / all
	default:
		return 0
	}
}

// wire returns the wire of a pass, and books what it rests on.
func (m *Mapper) wire(p *pass.Pass) quantity.Metres {
	set := m.job.Setpoints.WireSpeed
	switch {
	case p.Wire != nil:
		m.done.WireMeasured += *p.Wire
		return *p.Wire
	case set > 0:
		fed := quantity.Metres(float64(set) * float64(p.ArcTime))
		m.done.WireDeclared += fed
		return fed
	default:
		m.done.WireUnknown += p.ArcTime
		return 0
	}
}
