package live

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/now"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// laidBoard is a board whose job wants 0.25 to 0.55 kJ/mm.
func laidBoard() *Board {
	job := &procedure.Job{}
	job.Procedure.Limits.HeatInput = quantity.Range[quantity.JoulesPerMetre]{Low: 0.25e6, High: 0.55e6, HasLow: true, HasHigh: true}
	return NewBoard(State{Record: "r"}, job)
}

// cellAt is a cell that was laid over a second from one on.
func cellAt(second int, heat float64) now.TrailCell {
	from := quantity.Degrees(5 * second % 360)
	return now.TrailCell{
		Pass: 1, Layer: 1, Turn: 1 + second/72, Start: int64(second) * 1e9, Until: int64(second)*1e9 + 9e8, From: from, To: from + 5, Depth: 0.0015,
		HeatInput: new(quantity.JoulesPerMetre(heat)),
	}
}

// Pieces are told once, and again where a finding turns out to have begun on them.
func TestBead(t *testing.T) {
	b := laidBoard()
	_, any := b.BeadNews()
	assert.False(t, any)
	b.Lay([]now.TrailCell{cellAt(0, 0.4e6), cellAt(1, 0.6e6), cellAt(2, 0.4e6)})
	news, any := b.BeadNews()
	require.True(t, any)
	require.Len(t, news.Pieces, 3)
	assert.Equal(t, Piece{Pass: 1, Layer: new(1), Turn: 1, From: 5, To: 10, Depth: new(1.5), State: Outside}, news.Pieces[1])
	whole := finding.Finding{Rule: finding.HeatInput, Pass: 1, Start: pass.Moment{}, Duration: 100}
	high := finding.Finding{Rule: finding.Voltage, Pass: 1, Start: pass.Moment{Tick: 2e9}, Duration: 1, Place: &bore.Place{}}
	b.Take(analyze.Result{Findings: []finding.Finding{whole, high}})
	b.Lay([]now.TrailCell{cellAt(3, 0.4e6), cellAt(4, 0.4e6)})
	news, _ = b.BeadNews()
	require.Len(t, news.Pieces, 3, "the one that was told, and two new ones")
	for k, want := range []struct {
		from  float64
		found bool
	}{{10, true}, {15, true}, {20, false}} {
		assert.Equal(t, want.from, news.Pieces[k].From)
		assert.Equal(t, want.found, news.Pieces[k].Finding, "what concerns a whole pass marks no piece of it")
	}
	_, any = b.BeadNews()
	assert.False(t, any)
	require.Len(t, b.Bead().Pieces, 5)
	assert.True(t, b.Bead().Pieces[2].Finding)
}

// Twelve hours at 1.25 turns a minute are 64 800 pieces, all of which are kept; they are told in
// events that stay small, and all of them are less than 9 MB.
func TestBead_OfTwelveHours(t *testing.T) {
	b := laidBoard()
	const twelveHours = 12 * 60 * 1.25 * 72
	for k := range int(twelveHours) {
		b.Lay([]now.TrailCell{cellAt(k, 0.4e6)})
	}
	told := 0
	for {
		news, any := b.BeadNews()
		if !any {
			break
		}
		require.LessOrEqual(t, len(news.Pieces), piecesPerEvent)
		told += len(news.Pieces)
	}
	assert.Equal(t, int(twelveHours), told)
	text, err := json.Marshal(b.Bead())
	require.NoError(t, err)
	assert.Less(t, len(text), 9_000_000)
	t.Logf("%d bytes", len(text))
	assert.Zero(t, b.Bead().Gone)
	more := make([]now.TrailCell, mostPieces)
	for k := range more {
		more[k] = cellAt(int(twelveHours)+k, 0.4e6)
	}
	b.Lay(more)
	assert.Len(t, b.Bead().Pieces, mostPieces)
	assert.Equal(t, int(twelveHours), b.Bead().Gone, "what is not kept is counted")
	b.Lay(more[:cutAtOnce-1])
	assert.Equal(t, int(twelveHours), b.Bead().Gone)
	news, _ := b.BeadNews()
	assert.Equal(t, mostPieces+cutAtOnce-1, len(b.Bead().Pieces))
	assert.Equal(t, b.Bead().Pieces[0], news.Pieces[0], "nothing that was not told is skipped but what is gone")
}
