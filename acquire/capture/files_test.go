package capture

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

var update = flag.Bool("update", false, "write the invented captures anew")

// small is a capture of a few hundred rows: two beads with a pause.
func small() logger {
	g := steady()
	g.seed, g.duration, g.rate, g.arcs = 20, 24, 25, [][2]float64{{3.1, 12.4}, {15.2, 22.0}}
	return g
}

// sharedCapture is one file of testdata/capture and what is true of it.
type sharedCapture struct {
	name    string
	text    []byte
	o       Options
	rows    int64
	arc     float64 // s
	within  float64 // of the arc time, as a share
	basis   series.Basis
	refresh float64 // s
	check   func(*testing.T, *memory, Summary)
}

func sharedCaptures() []sharedCapture {
	g := small()
	r := g.readings()
	gapped := g
	gapped.rate, gapped.duration, gapped.gaps = 42, 20, [][2]float64{{6.2, 7.6}}
	gapped.arcs = [][2]float64{{2.1, 9.8}, {12.6, 18.8}}
	b := gapped.readings()
	back := g
	back.back = 0.33
	e := back.readings()
	counts, countsArc, _ := shapeD(0.01, [][2]float64{{0.002, 0.008}})
	unix := Options{Time: "1", TimeLayout: "unix", Voltage: "4", Current: "3"}
	flagged := unix
	flagged.ArcFlag = "6"
	return []sharedCapture{
		{"flagged.csv", shapeA(r, false, true), flagged, int64(len(r)), flaggedTime(r), 1e-9, series.Average, 0.3, nil},
		{"held.csv", shapeA(r, true, false), Options{}, int64(len(r)), g.arcTime(), 0.03, series.Average, 0.3, nil},
		{
			"tenths.csv", shapeB(b),
			Options{Time: "1", Voltage: "2*0.1", Current: "3"},
			int64(len(b)), gapped.arcTime() - missing(gapped), 0.03,
			series.Average, 0.3, func(t *testing.T, m *memory, _ Summary) { assert.Len(t, m.of(series.Gap), 1) },
		},
		{
			"minutes.csv", shapeC(r, int64(59*time.Minute+50*time.Second), true),
			Options{TimeLayout: "04:05.0"},
			int64(len(r)), g.arcTime(), 0.02,
			series.Average, 0.3, func(t *testing.T, m *memory, s Summary) {
				assert.False(t, s.Dated)
				assert.Contains(t, remarks(m), "1 wrap of the clock")
			},
		},
		{"counts.csv", counts, Options{Voltage: "1*0.0244", Current: "2*0.122", Rate: 50000}, 500, countsArc, 0.03, series.Instantaneous, 0, nil},
		{
			"backwards.csv", shapeA(e, true, false),
			Options{},
			int64(len(e)), g.arcTime(), 0.03, series.Average, 0.3,
			func(t *testing.T, m *memory, s Summary) {
				assert.InDelta(t, 0.33, float64(s.Backward)/float64(s.Rows), 0.03)
				assert.Equal(t, s.Backward, m.total(series.ClockBack))
			},
		},
	}
}

func TestSharedCaptures(t *testing.T) {
	dir := filepath.Join("..", "..", "testdata", "capture")
	for _, c := range sharedCaptures() {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(dir, c.name)
			if *update {
				require.NoError(t, os.WriteFile(path, c.text, 0o644))
			}
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, string(c.text), string(text), "write it anew with -update")
			m, s := read(t, text, c.o)
			assert.Equal(t, c.rows, s.Samples)
			assert.Equal(t, c.rows, s.Rows)
			assert.Equal(t, c.basis, s.Basis)
			assert.InDelta(t, c.refresh, s.Refresh.Seconds(), refreshTolerance*c.refresh)
			arc, _ := m.arc()
			t.Logf("%s: arc %.3f s of %.3f s, refresh %v, held after %v", c.name, arc, c.arc, s.Refresh, s.HeldAfter)
			assert.InEpsilon(t, c.arc, arc, c.within)
			if c.check != nil {
				c.check(t, m, s)
			}
		})
	}
}
