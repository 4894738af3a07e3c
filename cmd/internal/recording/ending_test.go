package recording

import (
	"io"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/note"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/terminal"
	"arctally/report/page/live"
)

// turning is a judge of a helix at 1.25 rpm whose gap, at 80 to 116 degrees, is passed from 10.7 to
// 15.5 s; the box says where it is, every degree, or never.
type turning struct {
	t      *testing.T
	judge  *Judge
	board  *live.Board
	counts bool
	tenth  int // of a second, that comes next
}

func newTurning(t *testing.T, counts bool) *turning {
	t.Helper()
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.TenTurns))
	require.NoError(t, err)
	l := newJudge(terminal.New(io.Discard, io.Discard), p.Job, time.Minute, func() {})
	writer, err := p.CreateRecord(filepath.Join(t.TempDir(), "r.arctally"), time.Now())
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, writer.Close()) })
	l.start(writer, 0)
	source := series.Source{Name: "box", Channels: []series.Channel{
		{Name: "voltage", Unit: "V", Scale: 0.01, Basis: series.Instantaneous}, {Name: "current", Unit: "A", Scale: 0.1, Basis: series.Instantaneous},
	}}
	if counts {
		source.CountsPerTurn = 360
	}
	require.NoError(t, l.Source(source))
	return &turning{t: t, judge: l, board: live.NewBoard(live.State{}, p.Job), counts: counts}
}

// until lays on to a second.
func (l *turning) until(second float64) {
	l.t.Helper()
	const step, perBlock = 1_000_000, 100
	for ; float64(l.tenth) < 10*second; l.tenth++ {
		at := float64(l.tenth) / 10
		b := series.Block{Kind: series.Arc, Step: step, Tick: int64(l.tenth) * perBlock * step}
		for n := range perBlock {
			v, i := 1750+n%7, 1400-n%11
			if angle := (at + float64(n)/1000) * 7.5; angle > 80 && angle < 116 {
				v, i = n%2, n%2
			}
			b.V, b.I = append(b.V, int32(v)), append(b.I, int32(i))
		}
		require.NoError(l.t, l.judge.Block(&b))
		if l.counts {
			count := int64(at * 7.5)
			require.NoError(l.t, l.judge.Block(&series.Block{Kind: series.Turn, Ticks: []int64{int64(float64(count) / 7.5 * 1e9)}, Count: []int64{count}}))
		}
	}
}

// shown is the number of the pass under way, 0 is none, and what is said of its end.
func (l *turning) shown() (pass int, ending string) {
	s, ring := l.judge.standing(l.board)
	l.board.Show(&s, ring, &series.Source{}, time.Time{})
	l.board.Hear(live.Link{State: live.LinkGood}, nil, time.Time{})
	if l.board.Pass != nil {
		pass = l.board.Pass.Number
	}
	if l.board.Ending != nil {
		ending = l.board.Ending.Words
	}
	return pass, ending
}

// end ends the recording, and returns its result.
func (l *turning) end() analyze.Result {
	l.t.Helper()
	result, _, err := l.judge.finish()
	require.NoError(l.t, err)
	return result
}

var endIt = note.Note{By: "Operator 1", EndOfPass: true}

// While the arc burns an end waits until it goes out, says so, and is put down once.
func TestJudge_EndsAPassThatBurns(t *testing.T) {
	for name, counts := range map[string]bool{"counted": true, "without counts": false} {
		t.Run(name, func(t *testing.T) {
			l := newTurning(t, counts)
			l.until(5)
			require.NoError(t, l.judge.note(endIt))
			require.NoError(t, l.judge.note(endIt), "twice in a row")
			for _, at := range []float64{5.2, 8, 10} {
				l.until(at)
				pass, ending := l.shown()
				assert.Equal(t, 1, pass)
				assert.Equal(t, "the arc burns: the pass ends as it goes out", ending)
			}
			l.until(12)
			pass, ending := l.shown()
			assert.Zero(t, pass)
			assert.Empty(t, ending)
			require.ErrorIs(t, l.judge.note(endIt), errNoPass, "between passes")
			l.until(20)
			pass, ending = l.shown()
			assert.Equal(t, 2, pass)
			assert.Empty(t, ending, "the end was meant for the one before")
			result := l.end()
			require.Len(t, result.Passes, 2)
			assert.Equal(t, "Operator 1", result.Passes[0].EndedBy)
			assert.Empty(t, result.Passes[1].EndedBy)
			assert.Len(t, result.Notes, 1, "it is put down once")
		})
	}
}

// In a gap the arc is out, and an end holds with the next samples.
func TestJudge_EndsAPassInAGap(t *testing.T) {
	for name, counts := range map[string]bool{"counted": true, "without counts": false} {
		t.Run(name, func(t *testing.T) {
			l := newTurning(t, counts)
			require.ErrorIs(t, l.judge.note(endIt), errNoPass, "before the first strike")
			l.until(13)
			pass, _ := l.shown()
			require.Equal(t, 1, pass, "a gap ends no pass")
			require.NoError(t, l.judge.note(endIt))
			pass, ending := l.shown()
			assert.Equal(t, 1, pass)
			assert.Equal(t, "the arc is out: the pass ends with the next samples", ending)
			l.until(14.2)
			pass, ending = l.shown()
			assert.Zero(t, pass)
			assert.Empty(t, ending)
			l.until(20)
			pass, _ = l.shown()
			assert.Equal(t, 2, pass)
			result := l.end()
			require.Len(t, result.Passes, 2)
			assert.Equal(t, "Operator 1", result.Passes[0].EndedBy)
		})
	}
}
