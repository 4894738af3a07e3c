package draw

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestStretches(t *testing.T) {
	for name, c := range map[string]struct {
		angle, way float64
		want       []stretch
	}{
		"on":                  {100, 50, []stretch{{100, 150, 0, 50.0 / 360}}},
		"over the mark":       {350, 30, []stretch{{350, 360, 0, 10.0 / 360}, {0, 20, 10.0 / 360, 30.0 / 360}}},
		"back":                {100, -50, []stretch{{50, 100, 50.0 / 360, 0}}},
		"back over the mark":  {10, -30, []stretch{{0, 10, 10.0 / 360, 0}, {340, 360, 30.0 / 360, 10.0 / 360}}},
		"more than a turn":    {90, 540, []stretch{{90, 360, 0, 0.75}, {0, 270, 0.75, 1.5}}},
		"a turn from 0":       {0, 360, []stretch{{0, 360, 0, 1}}},
		"a turn back from 0":  {0, -360, []stretch{{0, 360, 1, 0}}},
		"no way":              {90, 0, nil},
		"to the mark, and on": {180, 180, []stretch{{180, 360, 0, 0.5}}},
	} {
		got := stretches(c.angle, c.way)
		require.Len(t, got, len(c.want), name)
		for k, s := range got {
			assert.InDeltaSlice(t, []float64{c.want[k].from, c.want[k].to, c.want[k].turnsFrom, c.want[k].turnsTo}, []float64{s.from, s.to, s.turnsFrom, s.turnsTo}, 1e-9, name)
		}
	}
	assert.Len(t, stretches(90, 1e9), mostTurns+1)
}

// The pieces of a way add up to it, lie on the wall, and begin and end where it does.
func TestStretches_addUp(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		angle, way := 360*r.Float64(), 2000*(r.Float64()-0.5)
		all, sum := stretches(angle, way), 0.0
		for _, s := range all {
			require.LessOrEqual(t, 0.0, s.from)
			require.LessOrEqual(t, s.from, s.to)
			require.LessOrEqual(t, s.to, 360.0)
			require.InDelta(t, s.to-s.from, 360*math.Abs(s.turnsTo-s.turnsFrom), 1e-6)
			sum += s.to - s.from
		}
		require.InDelta(t, math.Abs(way), sum, 1e-6)
		first, last := all[0].from, all[len(all)-1].to
		if way < 0 {
			first, last = all[0].to, all[len(all)-1].from
		}
		require.InDelta(t, angle, first, 1e-9)
		require.InDelta(t, 0, math.Remainder(angle+way-last, 360), 1e-6)
	}
}

// found is a sheet with findings of which each is an event.
func found(pattern bore.Pattern, findings ...finding.Finding) *sheet.Sheet {
	in := sheettest.Input()
	in.Job.Deposit.Pattern = pattern
	in.Result.Findings = findings
	return sheet.New(in)
}

// What concerns a whole pass has no mark, not at 0 degrees nor anywhere else; what has a place is as long as
// it went on, and on a helix deeper with each turn.
func TestMarks_wholePassesHaveNone(t *testing.T) {
	s := found(bore.Rings, sheettest.Whole(1, finding.HeatInput, 640e3, 550e3), sheettest.Whole(2, finding.Voltage, 15, 16.5))
	for _, d := range []*Drawing{End(s).Drawing, Wall(s, sheet.Metric).Drawing} {
		svg := string(d.SVG())
		assert.NotContains(t, svg, `"pin`)
		assert.NotContains(t, svg, `"spot"`)
		assert.NotContains(t, svg, `"extent`)
	}
	f := sheettest.Finding(1, finding.Voltage, 270, 6, 15, 16.5)
	f.Way = new(quantity.Degrees(450))
	extent := func(d *Drawing) string {
		svg := string(d.SVG())
		require.Equal(t, 1, strings.Count(svg, `class="extent"`))
		at := strings.LastIndex(svg[:strings.Index(svg, ` class="extent"`)], "<")
		return svg[at:strings.Index(svg, ` class="extent"`)]
	}
	assert.Equal(t, `<path d="M572.0 61.0L742.0 61.0M62.0 61.0L742.0 61.0"`, extent(Wall(found(bore.Rings, f), sheet.Metric).Drawing))
	assert.Equal(t, `<path d="M572.0 61.0L742.0 63.4M62.0 63.4L742.0 72.9"`, extent(Wall(found(bore.Helix, f), sheet.Metric).Drawing))
	assert.Equal(t, `<circle cx="232.0" cy="232.0" r="124.0"`, extent(End(found(bore.Rings, f)).Drawing))
	f.Way = new(quantity.Degrees(-90))
	assert.Equal(t, `<path d="M108.0 232.0A124.0 124.0 0 0 0 232.0 356.0"`, extent(End(found(bore.Rings, f)).Drawing))
	f.Way = new(quantity.Degrees(270))
	assert.Equal(t, `<path d="M108.0 232.0A124.0 124.0 0 1 1 232.0 356.0"`, extent(End(found(bore.Rings, f)).Drawing))
}

// A mark stands at its angle whatever stands there already, but for those that would
// lie over the edge of the wall; on the end view it has no edge.
func TestMarks_stayAtTheirAngle(t *testing.T) {
	var findings []finding.Finding
	for k := range 120 {
		findings = append(findings, sheettest.Finding(k+1, []finding.Rule{finding.Voltage, finding.ArcOut, finding.GasFlow, finding.Stubbing, finding.TravelSpeed, finding.WireSpeed}[k%6],
			float64(k*k%360), float64(k*7%60), 170, 160))
		findings[k].Pass = k + 1
	}
	s := found(bore.Rings, findings...)
	f := newFlat(300, "mm")
	pins, _ := f.pins(placed(s), func(depth float64) float64 { return flatTop + depth*5 })
	require.Greater(t, len(pins), 60)
	for _, p := range pins {
		at := across(float64(p.event.Place.Angle))
		require.InDelta(t, at, p.toX, 1e-9)
		require.InDelta(t, inside(at, flatLeft, flatRight), p.x, 1e-9)
	}
	round, _ := endPins(placed(s))
	for _, p := range round {
		angle := math.Mod(math.Atan2(p.x-endCentre, endCentre-p.y)*180/math.Pi+360, 360)
		require.InDelta(t, 0, math.Remainder(angle-float64(p.event.Place.Angle), 360), 1e-9)
	}
}
