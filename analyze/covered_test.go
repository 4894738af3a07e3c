package analyze

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/proof"
)

// The standard uncertainties of the calibrations of the campaign.
const (
	ofVoltage = 0.008
	ofCurrent = 0.012
	ofTravel  = 0.006
)

// statement is what the box says of itself, and what is true of it: each pass draws
// every truth anew within what is said.
type statement struct {
	name  string
	says  func(*series.Source)
	truth func(dice *rand.Rand, b *wrongBox)
	// unknown are the reasons why a pass is not proved, none where all is said.
	unknown []proof.Kind
	// least and most are how often the truth may lie within U.
	least, most float64
}

// wrongBox is a box whose readings are wrong in every way at once.
type wrongBox struct {
	volts, amperes float64 // gains
	skew           float64 // s, how much later current is readEvery
	leads          float64 // ohm
	clock          float64 // share by which its clock is fast
	voltageFilter  filter
	currentFilter  filter
	diameter       float64 // of the bore, over the declared one
}

// saysAll is a box that says everything, and does not lie.
func saysAll(s *series.Source) {
	s.Skew, s.ClockDeviation = series.Stated{Value: 40, Known: true}, series.Stated{Value: 500, Known: true}
	s.Channels[0].Tap, s.Channels[0].Bandwidth, s.Channels[1].Bandwidth = "torch", 2500, 2500
}

// drawn is what may be true of it: the filters are of either order, and a tenth off.
func drawn(dice *rand.Rand, b *wrongBox) {
	*b = wrongBox{
		volts: 1 + ofVoltage*dice.NormFloat64(), amperes: 1 + ofCurrent*dice.NormFloat64(), diameter: 1 + ofTravel*dice.NormFloat64(),
		skew: 40e-6 * either(dice), leads: 0.5e-3 * dice.Float64(), clock: 500e-6 * either(dice),
		voltageFilter: newFilter(2500*(1+0.1*either(dice)), dice.IntN(2) == 0), currentFilter: newFilter(2500*(1+0.1*either(dice)), dice.IntN(2) == 0),
	}
}

// either lies anywhere between -1 and 1.
func either(dice *rand.Rand) float64 { return 2*dice.Float64() - 1 }

// but is what is saysAll, with one thing changed.
func but(change func(*series.Source)) func(*series.Source) {
	return func(s *series.Source) { saysAll(s); change(s) }
}

// with is what may be true, with one thing changed.
func with(change func(*rand.Rand, *wrongBox)) func(*rand.Rand, *wrongBox) {
	return func(dice *rand.Rand, b *wrongBox) { drawn(dice, b); change(dice, b) }
}

// statements are the rows of the campaign. Where something is said that makes the
// reading wrong one way, and is not taken off, U is wider than it need be; where nothing
// is said it holds the worst that is taken for possible.
var statements = []statement{
	{"all as wrong as is said", saysAll, with(func(_ *rand.Rand, b *wrongBox) { b.skew = 40e-6 }), nil, 0.94, 0.96},
	{"less skew than is said", saysAll, drawn, nil, 0.94, 0.975},
	{"order alternating", but(func(s *series.Source) { s.Skew, s.SkewAlternates = series.Stated{}, true }), with(func(_ *rand.Rand, b *wrongBox) { b.skew = 0 }), nil, 0.94, 0.965},
	{
		"skew not said, up to 1 ms", but(func(s *series.Source) { s.Skew = series.Stated{} }),
		with(func(dice *rand.Rand, b *wrongBox) { b.skew = 1e-3 * either(dice) }),
		[]proof.Kind{proof.UnknownSkew},
		0.94, 1,
	},
	{
		"skew not said, 1 ms", but(func(s *series.Source) { s.Skew = series.Stated{} }),
		with(func(_ *rand.Rand, b *wrongBox) { b.skew = 1e-3 }),
		[]proof.Kind{proof.UnknownSkew},
		0.94, 1,
	},
	{
		"bandwidth of current not said", but(func(s *series.Source) { s.Channels[1].Bandwidth = 0 }),
		with(func(dice *rand.Rand, b *wrongBox) {
			b.currentFilter = newFilter(500+2000*dice.Float64(), dice.IntN(2) == 0)
		}),
		[]proof.Kind{proof.UnknownFilters},
		0.94, 1,
	},
	{
		"place of the tap not said", but(func(s *series.Source) { s.Channels[0].Tap = "" }),
		with(func(dice *rand.Rand, b *wrongBox) { b.leads = 5e-3 * dice.Float64() }),
		[]proof.Kind{proof.UnknownLeads},
		0.94, 1,
	},
	{
		"clock not said, up to 5000 ppm", but(func(s *series.Source) { s.ClockDeviation = series.Stated{} }),
		with(func(dice *rand.Rand, b *wrongBox) { b.clock = 5000e-6 * either(dice) }),
		[]proof.Kind{proof.UnknownClock},
		0.94, 0.965,
	},
	{
		"nothing said", func(*series.Source) {}, func(dice *rand.Rand, b *wrongBox) {
			drawn(dice, b)
			b.skew, b.leads, b.clock = 1e-3*either(dice), 5e-3*dice.Float64(), 5000e-6*either(dice)
		}, []proof.Kind{proof.UnknownSkew, proof.UnknownFilters, proof.UnknownLeads, proof.UnknownClock}, 0.94, 1,
	},
}

// drawsOf are drawn for a row: ten thousand where there is time for them, or else a
// thousand of the first and some of the others.
func drawsOf(row int) int {
	switch {
	case os.Getenv("ARCTALLY_TEN_THOUSAND_PASSES") != "":
		return 10_000
	case row == 0:
		return 1000
	default:
		return 100
	}
}

// Every pass has a true heat input, and a box that is wrong in skew, filters, leads,
// clock, lines and diameter, all at once and within what is said of them. U must hold
// the truth as often as it says, and a pass is proved only where all of it is said.
func TestCampaign(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays thousands of passes")
	}
	for n, row := range statements {
		t.Run(row.name, func(t *testing.T) {
			dice := rand.New(rand.NewPCG(9, uint64(n)))
			passes := drawsOf(n)
			inside := map[string]float64{}
			of, wide, proved := map[string]float64{}, 0.0, 0
			for range passes {
				shape := shapes[dice.IntN(len(shapes))]
				truth, p := row.lay(t, dice, shape.draw)
				u := float64(p.Budget.Expanded(*p.ArcEnergy))
				of[shape.name]++
				wide += u / float64(*p.ArcEnergy) / float64(passes)
				if math.Abs(float64(*p.ArcEnergy)-truth) <= u {
					inside[shape.name]++
				}
				one := proof.Of(campaignJob(), []pass.Pass{p}, nil).Passes[0]
				if one.Proved {
					proved++
				}
				row.reasons(t, one)
			}
			total, text := 0.0, ""
			for _, s := range shapes {
				total += inside[s.name]
				text += "  " + s.name + " " + quantity.Text(quantity.Ratio(inside[s.name]/of[s.name]), "%", 1)
			}
			share := total / float64(passes)
			t.Logf("%-34s %d passes, U %.1f %%: covered %.1f %% %s; proved %d", row.name, passes, 100*wide, 100*share, text, proved)
			scatter := 2.5 * math.Sqrt(0.95*0.05/float64(passes))
			assert.GreaterOrEqual(t, share, row.least-scatter)
			assert.LessOrEqual(t, share, row.most+scatter)
			if row.unknown == nil {
				assert.Equal(t, passes, proved)
			} else {
				assert.Zero(t, proved)
			}
		})
	}
}

// reasons holds why a pass is not proved against what is not said.
func (s statement) reasons(t *testing.T, one proof.OfPass) {
	t.Helper()
	var kinds []proof.Kind
	for _, r := range one.Reasons {
		kinds = append(kinds, r.Kind)
	}
	if !slices.Equal(s.unknown, kinds) {
		require.Equal(t, s.unknown, kinds, one.Reasons)
	}
}

// campaignJob turns so quickly that a pass of a second goes some way round.
func campaignJob() *procedure.Job {
	j := boreJob(bore.Helix)
	j.Deposit.Gaps, j.Rotation.Speed = nil, 0.5
	j.Procedure.Judge.Definition = procedure.ArcEnergy
	j.Procedure.Limits.HeatInput = quantity.Range[quantity.JoulesPerMetre]{High: 1e9, HasHigh: true}
	j.Instruments = []calib.Calibration{
		{Channel: "voltage", Gain: 1, Relative: ofVoltage}, {Channel: "current", Gain: 1, Relative: ofCurrent}, {Channel: "travel", Gain: 1, Relative: ofTravel},
	}
	return j
}

// Times of a pass of the campaign, and the grain of its truth.
const (
	grain       = 20e-6 // s
	struckAt    = 0.05  // s
	burnt       = 1.2   // s
	readEvery   = 200e-6
	countsATurn = 400.0 // counts a turn
)

// lay lays one pass, and returns its true arc energy and what the analysis made of it.
func (s statement) lay(t *testing.T, dice *rand.Rand, shape func(*rand.Rand, int) (v, i []float64)) (truth float64, p pass.Pass) {
	var b wrongBox
	s.truth(dice, &b)
	quiet, burning := int(struckAt/grain), int(burnt/grain)
	v, i := shape(dice, burning)
	job, src := campaignJob(), source(countsATurn)
	s.says(&src)
	energy := 0.0
	for k := 1; k < burning; k++ {
		energy += (v[k-1]*i[k-1] + v[k]*i[k]) / 2 * grain
	}
	length := math.Pi * float64(job.Bore.WornDiameter) * b.diameter * float64(job.Rotation.Speed) * float64(burning-1) * grain

	after := 3 * quiet
	volts, amperes := make([]float64, quiet+burning+after), make([]float64, quiet+burning+after)
	for k := range burning {
		volts[quiet+k], amperes[quiet+k] = v[k]+b.leads*i[k], i[k]
	}
	// The filters have settled when the arc is struck, so that they cut nothing off its ends.
	b.voltageFilter.run(volts[quiet : quiet+burning])
	b.currentFilter.run(amperes[quiet : quiet+burning])
	block := series.Block{Kind: series.Arc, Step: int64(readEvery * 1e9), V: make([]int32, 0, len(volts)/8), I: make([]int32, 0, len(volts)/8)}
	for at := 2e-3; at < float64(len(volts)-quiet)*grain; at += readEvery / (1 + b.clock) {
		block.V = append(block.V, int32(math.Round(b.volts*readAt(volts, at)*100)))
		block.I = append(block.I, int32(math.Round(b.amperes*readAt(amperes, at+b.skew)*10)))
	}
	turn := series.Block{Kind: series.Turn, Ticks: []int64{}}
	for n, first := 0.0, dice.Float64(); ; n++ {
		at := (n + first) / countsATurn / float64(job.Rotation.Speed)
		if at > struckAt+burnt+0.1 {
			break
		}
		turn.Ticks, turn.Count = append(turn.Ticks, int64((at-2e-3)*(1+b.clock)*1e9)), append(turn.Count, int64(n))
	}
	r := New(job, nil)
	require.NoError(t, r.Source(src))
	require.NoError(t, r.Block(&turn))
	require.NoError(t, r.Block(&block))
	passes := r.Finish().Passes
	require.Len(t, passes, 1)
	return energy / length, passes[0]
}

// readAt reads a signal between its points; a step of the arc itself is not smoothed.
func readAt(x []float64, at float64) float64 {
	k, part := math.Modf(at / grain)
	n := int(k)
	if x[n] == 0 || x[n+1] == 0 {
		return x[n]
	}
	return x[n] + part*(x[n+1]-x[n])
}
