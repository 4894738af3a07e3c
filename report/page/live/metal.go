package live

import (
	"slices"

	"arctally/analyze/finding"
	"arctally/analyze/now"
	"arctally/report/sheet"
)

// How many pieces are kept of a bead, and by how many more they are cut at once; a job of
// twelve hours lays about two thirds of them.
const (
	mostPieces = 100_000
	cutAtOnce  = 10_000
)

// metal is what was laid, piece by piece, oldest first.
type metal struct {
	pieces []metalPiece
	told   int // of them, that an event has told of
	again  []Piece
	gone   int
}

// metalPiece is a piece, and when it was laid.
type metalPiece struct {
	Piece
	epoch        int
	start, until int64
}

// lay adds what was laid; a finding that is known already is marked.
func (m *metal) lay(cells []now.TrailCell, judged func(*now.TrailCell) Margin, found []finding.Finding) {
	for k := range cells {
		c := &cells[k]
		p := metalPiece{epoch: c.Epoch, start: c.Start, until: c.Until, Piece: Piece{
			Pass: c.Pass, Layer: counted(c.Layer), Turn: c.Turn, From: float64(c.From), To: float64(c.To),
			Depth: sheet.In(&c.Depth, lengthUnit), State: judged(c),
		}}
		p.Finding = slices.ContainsFunc(found, func(f finding.Finding) bool { return p.of(&f) })
		m.pieces = append(m.pieces, p)
	}
	if over := len(m.pieces) - mostPieces; over >= cutAtOnce {
		m.pieces = slices.Delete(m.pieces, 0, over)
		m.told, m.gone = max(0, m.told-over), m.gone+over
	}
}

// of tells whether a finding was met while the piece was laid. What concerns a whole
// pass marks none of its pieces.
func (p *metalPiece) of(f *finding.Finding) bool {
	return f.Place != nil && f.Start.Epoch == p.epoch && f.Start.Tick <= p.until && p.start <= f.Start.Tick+f.Duration.Nanoseconds()
}

// mark marks what was laid already where findings are new.
func (m *metal) mark(found []finding.Finding) {
	for k := range found {
		f := &found[k]
		for n := len(m.pieces) - 1; n >= 0 && (m.pieces[n].epoch > f.Start.Epoch || m.pieces[n].epoch == f.Start.Epoch && m.pieces[n].until >= f.Start.Tick); n-- {
			p := &m.pieces[n]
			if !p.Finding && p.of(f) {
				p.Finding = true
				if n < m.told {
					m.again = append(m.again, p.Piece)
				}
			}
		}
	}
}

// piecesPerEvent bounds an event: what is gone on with may have laid tens of thousands.
const piecesPerEvent = 500

// news is what has come since it was last asked for, what has come out otherwise first.
func (m *metal) news() []Piece {
	k := min(len(m.again), piecesPerEvent)
	news := m.again[:k:k]
	m.again = m.again[k:]
	for m.told < len(m.pieces) && len(news) < piecesPerEvent {
		news = append(news, m.pieces[m.told].Piece)
		m.told++
	}
	return news
}

// Lay takes what was laid since it was last called.
func (b *Board) Lay(cells []now.TrailCell) {
	b.metal.lay(cells, b.marginOf, b.whole.recent)
}

// marginOf is how a cell stands against the limits.
func (b *Board) marginOf(c *now.TrailCell) Margin {
	return marginOf(now.StateIn(b.judgedOf(c.ArcEnergy, c.HeatInput), b.job.Procedure.Limits.HeatInput))
}

// BeadNews is what was laid since it was last asked for; false where nothing was.
func (b *Board) BeadNews() (Bead, bool) {
	news := b.metal.news()
	return Bead{Record: b.Record, Pieces: news, Gone: b.metal.gone}, len(news) > 0
}

// Bead is all that was laid since the recording began.
func (b *Board) Bead() Bead {
	all := Bead{Record: b.Record, Pieces: make([]Piece, len(b.metal.pieces)), Gone: b.metal.gone}
	for k := range b.metal.pieces {
		all.Pieces[k] = b.metal.pieces[k].Piece
	}
	return all
}
