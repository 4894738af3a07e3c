package sheet_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/report/sheet"
)

// saidTwice are the rows of a table, more than least of them: metric, and in US units.
func saidTwice(t *testing.T, file string, least int) map[string]string {
	t.Helper()
	table, err := os.ReadFile("../../testdata/units/" + file)
	require.NoError(t, err)
	rows := strings.Split(strings.TrimSpace(string(table)), "\n")[1:]
	said := make(map[string]string, len(rows))
	for _, row := range rows {
		metric, us, found := strings.Cut(row, "\t")
		require.True(t, found, row)
		said[metric] = us
	}
	require.Greater(t, len(said), least)
	return said
}

// TestUnits_Words goes through the table that the pages are held to as well: report/page/unit/sentences.test.mjs.
func TestUnits_Words(t *testing.T) {
	for metric, us := range saidTwice(t, "sentences.tsv", 20) {
		assert.Equal(t, us, sheet.US.Words(metric))
		assert.Equal(t, us, sheet.US.Words(us), "what is said in US units is said")
		assert.Equal(t, metric, sheet.Metric.Words(metric))
	}
}

// TestUnits_Check goes through the table of set-up checks that the pages are held to as well.
func TestUnits_Check(t *testing.T) {
	for metric, us := range saidTwice(t, "checks.tsv", 3) {
		check := &calib.Check{Sentence: metric}
		assert.Equal(t, us, sheet.US.Check(check).Sentence)
		assert.Equal(t, metric, sheet.Metric.Check(check).Sentence)
	}
}

// Whatever the number, the sentence in US units says the same within the last digit of the metric one, and two numbers that
// differ there differ here.
func TestUnits_Words_SayTheSame(t *testing.T) {
	units := map[string]func(string) float64{
		"mm": si[quantity.Metres], "m": si[quantity.Metres], "mm/min": si[quantity.MetresPerSecond], "m/min": si[quantity.MetresPerSecond],
		"mm/s": nil, "kJ/mm": si[quantity.JoulesPerMetre], "L/min": si[quantity.CubicMetresPerSecond], "L": si[quantity.CubicMetres],
		"mm2": si[quantity.SquareMetres], "g": si[quantity.Kilograms], "kg": si[quantity.Kilograms], "degC": si[quantity.Celsius],
	}
	random := rand.New(rand.NewPCG(7, 7))
	for unit, read := range units {
		for range 300 {
			decimals := random.IntN(4)
			step := math.Pow10(-decimals)
			a := math.Round(random.Float64()*1000/step) * step
			first, second := text(a, decimals)+" "+unit, text(a+step, decimals)+" "+unit
			said, other := sheet.US.Words(first), sheet.US.Words(second)
			assert.NotEqual(t, said, other, "%s and %s", first, second)
			assert.NotRegexp(t, metricUnit, said)
			if read != nil {
				assert.InDelta(t, read(first), read(said), math.Abs(read(second)-read(first)), "%s is %s", first, said)
			}
		}
	}
}

func text(v float64, decimals int) string { return strconv.FormatFloat(v, 'f', decimals, 64) }

func si[Q quantity.Quantity](text string) float64 {
	q, err := quantity.Parse[Q](text)
	if err != nil {
		panic(fmt.Sprint(text, err))
	}
	return float64(q)
}

// metricUnit finds a unit that no sentence for those who read US units has.
var metricUnit = regexp.MustCompile(`\b(kJ/mm|mm/min|m/min|mm/s|L/min|A/mm|mm2?|cm|degC|MPa)\b|\d (m|kg|g|L)\b|°C|mm²`)
