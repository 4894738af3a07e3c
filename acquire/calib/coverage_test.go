package calib

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// draws of each kind of check: 10^4 leave a coverage of 95 % uncertain by 0.2 %.
const draws = 10_000

// checked is a kind of check: n points between 10 and 40 V that scatter by 0.3 V, a
// reference whose own error is so many times that, and what is read away in digits.
type checked struct {
	points int
	ratio  float64
	step   float64
	shape  func(*rand.Rand) float64
}

const scatterOfPoints = 0.3

// uniform has a standard deviation of 1.
func uniform(dice *rand.Rand) float64 { return math.Sqrt(3) * (2*dice.Float64() - 1) }

func normal(dice *rand.Rand) float64 { return dice.NormFloat64() }

// covered is how often the truth lay within two standard uncertainties of a value that
// was read after the check, and how often the check knew its uncertainty at all.
func (k checked) covered(t *testing.T) (inside, known float64) {
	dice := rand.New(rand.NewPCG(uint64(k.points), 7))
	for range draws {
		error := k.ratio * scatterOfPoints * dice.NormFloat64()
		read := func(truth float64) float64 { return rounded(1.01*truth-0.2-scatterOfPoints*k.shape(dice), k.step) }
		m := Meter{Channel: "voltage", Unit: "V", ReferenceU: k.ratio * scatterOfPoints, Step: k.step, At: 25}
		for n := range k.points {
			truth := 10 + 30*float64(n)/float64(k.points-1)
			m.Reading, m.Reference = append(m.Reading, read(truth)), append(m.Reference, rounded(truth+error, k.step))
		}
		c, err := m.Check()
		require.NoError(t, err)
		if c.Calibration.Relative == 0 {
			continue
		}
		known++
		if math.Abs(c.Calibration.Of(read(25))-25) <= 2*c.Calibration.Relative*25 {
			inside++
		}
	}
	return inside / max(1, known), known / draws
}

func rounded(x, step float64) float64 {
	if step == 0 {
		return x
	}
	return step * math.Round(x/step)
}

// What is said to hold 95 % does, within 94 to 97 %, from four points on, whether the
// points scatter more than the reference is off, or less; a uniform scatter never goes
// far, so that many points of it are covered better. Three points leave one degree of
// freedom: they cover up to 99 %, never less than 94. Two know nothing, and say so.
func TestMeter_coverage(t *testing.T) {
	if testing.Short() {
		t.Skip("10^4 draws of many checks")
	}
	for _, n := range []int{2, 3, 4, 6, 10} {
		for _, ratio := range []float64{0.1, 0.3, 1, 3, 10} {
			for name, shape := range map[string]func(*rand.Rand) float64{"normal": normal, "uniform": uniform} {
				k := checked{points: n, ratio: ratio, shape: shape}
				inside, known := k.covered(t)
				name = fmt.Sprintf("%d points, %s, a reference of %g: %.2f %%", n, name, ratio, 100*inside)
				t.Log(name)
				switch {
				case n == 2:
					require.Zero(t, known, name)
				case n == 3:
					require.InDelta(t, 0.965, inside, 0.025, name)
				case n == 10 && ratio < 1:
					require.InDelta(t, 0.96, inside, 0.02, name)
				default:
					require.InDelta(t, 0.955, inside, 0.015, name)
				}
			}
		}
	}
}

// Digits as coarse as three times the scatter: the step stands for what they hide. The
// points of such a check may have no residuals at all.
func TestMeter_coverageOfDigits(t *testing.T) {
	for _, n := range []int{3, 4, 6} {
		inside, known := checked{points: n, ratio: 1, step: 3 * scatterOfPoints, shape: normal}.covered(t)
		t.Logf("%d points: %.2f %%", n, 100*inside)
		require.Equal(t, 1.0, known)
		require.Greater(t, inside, 0.94)
	}
}
