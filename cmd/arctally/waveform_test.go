package main

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/procedure"
	"arctally/analyze/waveform"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/virtualbox"
)

// fitting is what is fitted to the machine besides voltage, current and turns.
type fitting struct {
	gas      bool // a flow sensor
	atMotor  bool // wire speed is counted at the motor, which turns on when the wire slips
	rejudged func(*procedure.Job)
}

// judgeLaid has a box lay a plan, and judges its blocks as they come.
func judgeLaid(t *testing.T, job *procedure.Job, laid sensorbox.Plan, fit fitting) (analyze.Result, sensorbox.Truth) {
	t.Helper()
	if testing.Short() {
		t.Skip("it lays whole passes")
	}
	box, err := sensorbox.New(laid)
	require.NoError(t, err)
	own := *job
	if fit.rejudged != nil {
		fit.rejudged(&own)
	}
	judge := analyze.New(&own, nil)
	source := laid.Source()
	require.NoError(t, judge.Source(source))
	truth, err := box.Each(t.Context(), func(b *series.Block) error {
		if b.Kind == series.Slow {
			switch name := source.Channels[b.Channel[0]].Name; {
			case name == "gas_flow" && !fit.gas:
				return nil
			case name == "wire_speed" && fit.atMotor:
				b.Value[0] = float64(laid.WireSpeed)
			}
		}
		return judge.Block(b)
	})
	require.NoError(t, err)
	return judge.Finish(), truth
}

// recordedArc is the set-up of the arcs whose statistics stand in
// testdata/standards/short-circuit-arc.tsv.
func recordedArc(rate quantity.Hertz) (*procedure.Job, sensorbox.Plan) {
	laid := sensorbox.Demo()
	laid.Length, laid.Layers, laid.Gaps = laid.Pitch, 1, nil
	laid.RotationSpeed = quantity.Of[quantity.TurnsPerSecond](5, "rpm")
	laid.WireDiameter, laid.Voltage, laid.Current = 1.2e-3, 18.9, 195
	laid.WireSpeed = quantity.Of[quantity.MetresPerSecond](4.35, "m/min")
	laid.SampleRate = rate
	job := &procedure.Job{Deposit: bore.Deposit{Pattern: bore.Straight}, Setpoints: procedure.Setpoints{TravelSpeed: 5e-3}}
	job.Procedure.Judge = procedure.Judge{AverageOver: 0.5, Dwell: 1, Hold: 0.3, ArcCurrent: 15, ArcVoltage: 8}
	return job, laid
}

// recordedBounds reads the statistics of the recorded arcs by id.
func recordedBounds(t *testing.T) map[string][2]float64 {
	t.Helper()
	text, err := os.ReadFile("../../testdata/standards/short-circuit-arc.tsv")
	require.NoError(t, err)
	bounds := map[string][2]float64{}
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n")[1:] {
		f := strings.Split(line, "\t")
		low, err := strconv.ParseFloat(f[4], 64)
		require.NoError(t, err)
		high, err := strconv.ParseFloat(f[5], 64)
		require.NoError(t, err)
		bounds[f[0]] = [2]float64{low, high}
	}
	return bounds
}

// TestWaveform_recordedArcs holds what the analysis finds in the box's arc, with
// no threshold given, against the statistics of recorded arcs. Their rate of all shorts counts
// every dip of the voltage: it is held against what the box laid. Those that are long enough for
// a bridge of metal are fewer, and as many at 10 kHz as at 50 kHz.
func TestWaveform_recordedArcs(t *testing.T) {
	bounds := recordedBounds(t)
	var rates []float64
	for _, rate := range []quantity.Hertz{50_000, 10_000, 2_000} {
		job, laid := recordedArc(rate)
		result, truth := judgeLaid(t, job, laid, fitting{})
		require.Len(t, result.Passes, 1)
		w := result.Passes[0].Waveform
		require.NotNil(t, w)
		got := map[string]float64{
			"SA-05": float64(w.Transfer), "SA-06": float64(w.ShortShare),
			"SA-07": float64(w.ShortLevel), "SA-08": float64(w.ArcLevel),
		}
		all := "not told"
		if w.ShortRate != nil {
			all = fmt.Sprintf("%.1f/s (%d of the %d laid)", float64(*w.ShortRate), *w.Shorts, truth.Passes[0].Shorts)
		}
		if w.ShortRate != nil {
			got["SA-04"] = float64(truth.Passes[0].Shorts) / float64(result.Passes[0].ArcTime)
			rates = append(rates, float64(*w.ShortRate))
		}
		assert.Equal(t, waveform.Dip, w.Mode)
		for id, value := range got {
			assert.True(t, value >= bounds[id][0] && value <= bounds[id][1], "%s at %g Hz: %g", id, float64(rate), value)
		}
		t.Logf("%5.0f Hz: shorts %s, over 1 ms %.1f/s, share %.3f, short %.2f V, arc %.2f V, instability %.3f",
			float64(rate), all, float64(w.Transfer), float64(w.ShortShare), float64(w.ShortLevel), float64(w.ArcLevel), float64(*w.Instability))
		assert.Equal(t, rate >= 10_000, w.ShortRate != nil)
	}
	assert.InEpsilon(t, rates[0], rates[1], 0.1)
	job, laid := recordedArc(1_000)
	result, _ := judgeLaid(t, job, laid, fitting{})
	assert.Nil(t, result.Passes[0].Waveform, "1 kHz is too slow")
}

// campaignSeeds is how often each fault is laid.
const campaignSeeds = 2

// campaignFault is one kind of fault, and what has to find it.
type campaignFault struct {
	name  string
	fault sensorbox.Fault // of the third turn; none where it has no kind
	fit   fitting
	rule  finding.Rule
}

// unlimited takes away the limits that would find the fault by another way.
func unlimited(job *procedure.Job) {
	limits := &job.Procedure.Limits
	limits.Current, limits.Voltage, limits.WireSpeed = quantity.Range[quantity.Amperes]{}, quantity.Range[quantity.Volts]{}, quantity.Range[quantity.MetresPerSecond]{}
}

var campaign = []campaignFault{
	{name: "gas loss, no flow sensor", fault: sensorbox.Fault{Kind: sensorbox.GasLoss}, rule: finding.GasSignature},
	{name: "slip, feed counted at the motor", fault: sensorbox.Fault{Kind: sensorbox.WireSlip}, fit: fitting{atMotor: true}, rule: finding.WireSlip},
	{name: "slip by a quarter, same", fault: sensorbox.Fault{Kind: sensorbox.WireSlip, Amount: 0.75}, fit: fitting{atMotor: true, rejudged: unlimited}, rule: finding.WireSlip},
	{name: "stubbing", fault: sensorbox.Fault{Kind: sensorbox.StubbingTip}, rule: finding.Stubbing},
	{name: "arc-out of 0.2 s", fault: sensorbox.Fault{Kind: sensorbox.ArcOut}, rule: finding.BriefArcOuts},
	{name: "arc-out of 2 s", fault: sensorbox.Fault{Kind: sensorbox.ArcOut}, rule: finding.ArcOut},
	{name: "none", fit: fitting{gas: true}},
	{name: "none, off centre by 0.5 mm", fault: sensorbox.Fault{Kind: sensorbox.OffCentre, Toward: 180}},
	{name: "none, oval by 0.5 mm", fault: sensorbox.Fault{Kind: sensorbox.OvalBore, Amount: 0.5e-3, Toward: 90}},
}

// waveformRules are those that only a waveform can break.
var waveformRules = map[finding.Rule]bool{
	finding.Stubbing: true, finding.ShortRate: true, finding.GasSignature: true, finding.WireSlip: true,
	finding.ContactDrift: true, finding.Instability: true, finding.BriefArcOuts: true,
}

// score is what became of one kind of fault.
type score struct {
	laid, found, placed, falseAlarms int
	arc, worst                       float64
}

// layCampaign lays one kind of fault with several seeds: each time four turns,
// with the fault in the third; two layers of them where none is due.
func (c campaignFault) layCampaign(t *testing.T, job *procedure.Job) score {
	var s score
	layers := 1
	if c.rule == "" {
		layers = 2
	}
	for seed := range uint64(campaignSeeds) {
		laid := virtualbox.Plan(&jobfile.File{Job: job}, layers, nil)
		laid.Seed = seed + 1
		laid.Faults = c.faults(seed)
		result, truth := judgeLaid(t, job, laid, c.fit)
		for _, p := range result.Passes {
			s.arc += float64(p.ArcTime)
		}
		s.count(c, result, truth)
	}
	return s
}

func (c campaignFault) faults(seed uint64) []sensorbox.Fault {
	f := c.fault
	f.Pass, f.Turn, f.From, f.Duration = 1, 3, quantity.Degrees(130+40*seed), 4
	switch {
	case c.fault.Kind == "":
		return nil
	case c.rule == "":
		f.Pass, f.Turn, f.From, f.Duration = 0, 0, 0, 0
	case c.rule == finding.ArcOut:
		f.Duration = 2
	case c.rule == finding.BriefArcOuts:
		return []sensorbox.Fault{brief(f, 0), brief(f, 20), brief(f, 40), brief(f, 60), brief(f, 80), brief(f, 100), brief(f, 120), brief(f, 140), brief(f, 160)}
	}
	return []sensorbox.Fault{f}
}

func brief(f sensorbox.Fault, further quantity.Degrees) sensorbox.Fault {
	f.From, f.Duration = f.From+further/2, 0.2
	return f
}

// count sorts the findings into found and false.
func (s *score) count(c campaignFault, result analyze.Result, truth sensorbox.Truth) {
	const late = 1_500_000_000
	if c.rule != "" {
		s.laid++
	}
	found, placed := false, false
	for _, f := range result.Findings {
		during := false
		for _, laid := range truth.Faults {
			during = during || f.Pass == laid.Pass && f.Start.Tick >= laid.Start.Tick-late && f.Start.Tick <= laid.End.Tick+late
		}
		if f.Rule == c.rule && (during || f.Rule == finding.BriefArcOuts) {
			found = true
			if f.Place != nil && len(truth.Faults) == 1 {
				off := math.Abs(math.Remainder(float64(f.Place.Angle-truth.Faults[0].Angle), 360))
				s.worst, placed = math.Max(s.worst, off), placed || off <= 5
			}
			continue
		}
		if waveformRules[f.Rule] && !(during && c.rule != "") {
			s.falseAlarms++
		}
	}
	s.found += asCount(found)
	s.placed += asCount(placed)
}

func asCount(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

func TestWaveform_campaign(t *testing.T) {
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.FourTurns))
	require.NoError(t, err)
	var table strings.Builder
	fmt.Fprintf(&table, "%-34s %-15s %5s %5s %8s %9s %6s %6s\n", "fault", "rule", "laid", "found", "in 5 deg", "worst deg", "false", "arc s")
	for _, c := range campaign {
		s := c.layCampaign(t, p.Job)
		fmt.Fprintf(&table, "%-34s %-15s %5d %5d %8d %9.1f %6d %6.0f\n", c.name, c.rule, s.laid, s.found, s.placed, s.worst, s.falseAlarms, s.arc)
		assert.Equal(t, s.laid, s.found, c.name)
		assert.Zero(t, s.falseAlarms, c.name)
		if c.rule != "" && c.rule != finding.BriefArcOuts {
			assert.Equal(t, s.laid, s.placed, c.name)
		}
	}
	t.Log("\n" + table.String())
}
