package text

import (
	"bytes"
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/plan"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// typed is a random figure as a person types it: of a size, with so many digits at most.
func typed[Q quantity.Quantity](random *rand.Rand, low, high float64, unit string) Q {
	v := strconv.FormatFloat(low*math.Pow(high/low, random.Float64()), 'g', 1+random.IntN(5), 64)
	number, _ := strconv.ParseFloat(v, 64)
	return quantity.Of[Q](number, unit)
}

// randomPlan plans a job with figures as people type them, or as they slip.
func randomPlan(random *rand.Rand) (*sheet.PlanSheet, bool) {
	j := sheettest.Job()
	length, speed, wide := "mm", "mm/min", 1.0
	if random.IntN(2) == 0 {
		length, speed, wide = "in", "in/min", 25.4
	}
	if random.IntN(3) == 0 {
		wide /= 50 // a power of ten slipped, or more
	}
	j.Deposit.Pattern = []bore.Pattern{bore.Helix, bore.Rings, bore.SegmentReversing, bore.SegmentOneWay}[random.IntN(4)]
	j.Bore.WornDiameter = typed[quantity.Metres](random, 40/wide, 400/wide, length)
	j.Bore.FinishDiameter = j.Bore.WornDiameter - typed[quantity.Metres](random, 0.1/wide, 3/wide, length)
	j.Bore.WeldToDiameter = j.Bore.FinishDiameter - typed[quantity.Metres](random, 0.1/wide, 6/wide, length)
	j.Bore.Length = typed[quantity.Metres](random, 10/wide, 10_000/wide, length)
	j.Deposit.Pitch = typed[quantity.Metres](random, 0.05/wide, 5/wide, length)
	j.Deposit.WireDiameter = typed[quantity.Metres](random, 0.3/wide, 1.6/wide, length)
	j.Setpoints.TravelSpeed = typed[quantity.MetresPerSecond](random, 100/wide, 1000/wide, speed)
	j.Procedure.Limits.TravelSpeed = quantity.Range[quantity.MetresPerSecond]{}
	j.Setpoints.WireSpeed = typed[quantity.MetresPerSecond](random, 1000/wide, 10_000/wide, speed)
	j.Setpoints.Voltage, j.Setpoints.Current = typed[quantity.Volts](random, 1, 90, "V"), typed[quantity.Amperes](random, 10, 9000, "A")
	j.Rotation.Speed = typed[quantity.TurnsPerSecond](random, 0.01, 20, "rpm")
	j.Material.Thickness = typed[quantity.Metres](random, 0.5/wide, 90/wide, length)
	made, err := plan.Make(j, plan.Options{})
	if err != nil {
		return nil, false
	}
	return sheet.NewPlan(j, made), true
}

// number is a figure as it is read, and dust what only the arithmetic puts behind one.
var (
	number = regexp.MustCompile(`[0-9]+(\.[0-9]+)?(e[+-][0-9]+)?`)
	dust   = regexp.MustCompile(`\.[0-9]*?(0{7}[1-9]|9{8})`)
)

// Whatever a person types, no figure of a plan has more digits than one reads, and the
// JSON has none that only the arithmetic put there.
func TestPlan_DigitsThatAPersonReads(t *testing.T) {
	random := rand.New(rand.NewPCG(21, 21))
	made, short := 0, 0
	for range 1500 {
		s, ok := randomPlan(random)
		if !ok {
			continue
		}
		made++
		if s.Plan.Short != nil {
			short++
		}
		for _, units := range []sheet.Units{sheet.Metric, sheet.US} {
			var out bytes.Buffer
			require.NoError(t, Plan(&out, s, units))
			for line := range strings.Lines(out.String()) {
				for _, figure := range number.FindAllString(line, -1) {
					digits, _, _ := strings.Cut(strings.ReplaceAll(figure, ".", ""), "e")
					assert.LessOrEqual(t, len(strings.Trim(digits, "0")), 7, "%q in %q", figure, line)
					assert.LessOrEqual(t, len(digits), 10, "%q in %q", figure, line)
				}
			}
		}
		var out bytes.Buffer
		require.NoError(t, s.JSON(&out))
		assert.Empty(t, dust.FindString(out.String()))
	}
	assert.Greater(t, made, 500)
	assert.Greater(t, short, 20)
}

// What the table says in metric and in US units is one quantity, to half of the last
// digit of each.
func TestPlan_BothUnitsSayTheSame(t *testing.T) {
	random := rand.New(rand.NewPCG(22, 22))
	cells := func(s *sheet.PlanSheet, u sheet.Units) [][]string {
		var out bytes.Buffer
		require.NoError(t, Plan(&out, s, u))
		var rows [][]string
		for _, line := range strings.Split(out.String(), "\n")[5:] {
			if line == "" {
				return rows
			}
			rows = append(rows, strings.Fields(line))
		}
		return rows
	}
	for range 300 {
		s, ok := randomPlan(random)
		if !ok {
			continue
		}
		metric, us := cells(s, sheet.Metric), cells(s, sheet.US)
		m, u := sheet.Metric.Set(), sheet.US.Set()
		require.Len(t, metric, len(s.Plan.Layers))
		for k := range metric {
			l := &s.Plan.Layers[k]
			same(t, metric[k][1], m.Bore, us[k][1], u.Bore, l.Diameter)
			same(t, metric[k][2], m.Bore, us[k][2], u.Bore, l.After)
			same(t, metric[k][3], m.Bore, us[k][3], u.Bore, l.Thickness)
			same(t, metric[k][6], m.Travel, us[k][6], u.Travel, l.Travel)
			same(t, metric[k][10], m.Area, us[k][10], u.Area, l.BeadArea)
			same(t, metric[k][11], m.Heat, us[k][11], u.Heat, *l.ArcEnergy)
			same(t, metric[k][12], m.Heat, us[k][12], u.Heat, *l.HeatInput)
		}
	}
}

// same parses what was printed in either unit, and wants the quantity back.
func same[Q quantity.Quantity](t *testing.T, metric string, m sheet.Unit, us string, u sheet.Unit, want Q) {
	t.Helper()
	for printed, unit := range map[string]sheet.Unit{metric: m, us: u} {
		got, err := quantity.Parse[Q](printed + " " + unit.Name)
		require.NoError(t, err)
		half := math.Pow10(-unit.Digits) * 0.5000001
		if v := quantity.In(want, unit.Name); v > 1e5 {
			half = v * 1e-3 // fewer digits of a long one
		}
		assert.InDelta(t, quantity.In(want, unit.Name), quantity.In(got, unit.Name), half, "%s %s", printed, unit.Name)
	}
}
