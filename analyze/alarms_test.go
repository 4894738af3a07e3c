package analyze

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"text/tabwriter"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/arcsim"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/procedure"
)

// trial is one job with simulated arcs: passes of two turns each.
type trial struct {
	mode   arcsim.Mode
	seed   uint64
	rate   float64 // Hz
	plate  bool    // nobody knows how far the torch has turned
	passes int
	swing  float64 // of the current, once a turn

	// What goes wrong in the last pass, from one time to another, in s of it.
	fault    arcsim.Fault
	from, to float64
	fall     float64 // of the current over the last pass
	declared arcsim.Mode

	divide func(*series.Block) []*series.Block // nil is into one
}

const (
	turnTime = 48.0 // s
	passTime = 2 * turnTime
	pause    = 30.0 // s, between passes: the wire feeds for its last second
	runIn    = 0.4  // s, of wire and voltage before the strike
)

// sampled are the rates of the trials, in Hz.
var sampled = []float64{5_000, 10_000, 20_000}

// job returns the job of a trial: limits of 15 % about the voltage that the arc is set to, and of
// 20 % about its current.
func (tr *trial) job(a *arcsim.Arc) *procedure.Job {
	job := boreJob(bore.Helix)
	job.Bore = bore.Bore{WornDiameter: 0.2, FinishDiameter: 0.12, WeldToDiameter: 0.1, Length: 0.006}
	job.Deposit.Gaps = nil
	if tr.plate {
		job.Bore, job.Deposit.Pattern = bore.Bore{}, bore.Straight
		job.Setpoints.TravelSpeed = 5e-3
	}
	about := func(x, share float64) (low, high float64) { return (1 - share) * x, (1 + share) * x }
	job.Procedure.Limits = procedure.Limits{
		Voltage: between(volts(about(a.Mean(), 0.15))), Current: between(amperes(about(a.Current, 0.2))),
		WireSpeed: between[quantity.MetresPerSecond](0.08, 0.1),
	}
	job.Procedure.Transfer = string(tr.declared)
	return job
}

func volts(low, high float64) (quantity.Volts, quantity.Volts) {
	return quantity.Volts(low), quantity.Volts(high)
}

func amperes(low, high float64) (quantity.Amperes, quantity.Amperes) {
	return quantity.Amperes(low), quantity.Amperes(high)
}

// lay lays a trial, and hands the run to somebody after every tenth of a second.
func (tr *trial) lay(t testing.TB, look func(r *Run, tick int64)) Result {
	t.Helper()
	a := arcsim.New(tr.mode, tr.rate, tr.seed)
	begin := New
	if look != nil {
		begin = NewAhead
	}
	r := begin(tr.job(a), nil)
	turns := 360.0
	if tr.plate {
		turns = 0
	}
	require.NoError(t, r.Source(source(turns)))
	p := player{trial: tr, arc: a, run: r, rng: rand.New(rand.NewPCG(tr.seed, 2)), look: look}
	for k := range tr.passes {
		p.rest(t, pause)
		p.pass(t, k == tr.passes-1)
	}
	p.rest(t, 3)
	return r.Finish()
}

// player plays a trial to a run, a tenth of a second at a time.
type player struct {
	*trial
	arc    *arcsim.Arc
	run    *Run
	rng    *rand.Rand
	look   func(*Run, int64)
	tick   int64
	turned float64
	wander float64 // of the current, a share
}

// tenth plays a tenth of a second.
func (p *player) tenth(t testing.TB, wire float64, sample func(k int) (v, i int32)) {
	t.Helper()
	step := int64(1e9 / p.rate)
	n := int(100_000_000 / step)
	b := series.Block{Kind: series.Arc, Tick: p.tick, Step: step, V: make([]int32, n), I: make([]int32, n)}
	for k := range n {
		b.V[k], b.I[k] = sample(k)
	}
	slow := series.Block{Kind: series.Slow}
	for k := range int64(2) {
		slow.Ticks = append(slow.Ticks, p.tick+k*50*ms)
		slow.Channel, slow.Value = append(slow.Channel, 2), append(slow.Value, wire*(1+0.004*p.rng.NormFloat64()))
	}
	blocks := []*series.Block{&slow, &b}
	if p.divide != nil {
		blocks = append(blocks[:1], p.divide(&b)...)
	}
	if !p.plate {
		blocks = append(blocks, &series.Block{Kind: series.Turn, Ticks: []int64{p.tick}, Count: []int64{int64(math.Floor(360*p.turned + 1e-6))}})
	}
	for _, block := range blocks {
		require.NoError(t, p.run.Block(block))
	}
	p.tick += int64(n) * step
	if p.look != nil {
		p.look(p.run, p.tick)
	}
}

// rest plays time without arc: first nothing, then a second of jogging the wire, then voltage
// with the wire running in.
func (p *player) rest(t testing.TB, seconds float64) {
	t.Helper()
	for k := range int(math.Round(seconds * 10)) {
		left, wire, v := seconds-float64(k)/10, 0.0, int32(0)
		switch {
		case left <= runIn:
			wire, v = 0.03, int32(100*p.arc.OpenCircuit)
		case left < 5 && left > 3:
			wire = 0.09
		}
		p.tenth(t, wire, func(int) (int32, int32) { return v, int32(p.rng.IntN(3)) })
	}
}

// What the current of a good arc does beside swinging: it burns hot for a moment, creeps, and
// wanders about its mean. Shares of it.
const (
	hotStart   = 0.15
	hotFor     = 0.3 // s
	mostCreep  = 0.02
	wanders    = 0.01
	wanderTime = 5.0 // s
)

// pass plays a pass. In its first tenth of a second the arc comes and goes.
func (p *player) pass(t testing.TB, last bool) {
	t.Helper()
	creep := mostCreep * (2*p.rng.Float64() - 1)
	if last && p.fall > 0 {
		creep = 0 // else it would fall by more, or less, than is said
	}
	for k := range int(passTime * 10) {
		at := float64(k) / 10
		p.wander += -0.1/wanderTime*p.wander + wanders*math.Sqrt(0.2/wanderTime)*p.rng.NormFloat64()
		p.arc.Swing = p.swing*math.Cos(2*math.Pi*p.turned) + p.wander + creep*at/passTime
		if at < hotFor {
			p.arc.Swing += hotStart
		}
		p.arc.Fault, p.arc.Fall = "", 0
		if last {
			p.arc.Fall = p.fall * at / passTime
			if at >= p.from && at < p.to {
				p.arc.Fault = p.fault
			}
		}
		p.tenth(t, 0.09, func(n int) (int32, int32) {
			v, i := p.arc.Sample()
			if k == 0 && n%97 == 96 {
				return int32(100 * p.arc.OpenCircuit), 0
			}
			return v, i
		})
		p.turned += 0.1 / turnTime
	}
}

// trueSwing tells of the findings that a torch which swings calls for.
func trueSwing(f *finding.Finding) bool {
	return f.Rule == finding.OffCentre || f.Rule == finding.OvalBore
}

// tally is what some trials came to.
type tally struct {
	hours       float64
	found       map[finding.Rule]int
	passes, odd int // passes, and those told in another mode
}

func (a *tally) alarms() (n int) {
	for _, k := range a.found {
		n += k
	}
	return n
}

// goodArcs lays good arcs of a mode for so many hours.
func goodArcs(t testing.TB, mode arcsim.Mode, hours float64) tally {
	t.Helper()
	sum := tally{found: map[finding.Rule]int{}}
	for k := 0; sum.hours < hours; k++ {
		tr := trial{mode: mode, seed: uint64(50_001 + k), rate: sampled[k%3], plate: k%4 == 3, passes: 6, swing: 0.08 * float64(k%3) / 2}
		res := tr.lay(t, nil)
		for j := range res.Findings {
			f := &res.Findings[j]
			if !trueSwing(f) {
				sum.found[f.Rule]++
				t.Logf("false alarm: %s, seed %d, %.0f Hz, swing %.2f: %s", mode, tr.seed, tr.rate, tr.swing, f.Sentence)
			}
		}
		require.Len(t, res.Passes, tr.passes)
		for _, p := range res.Passes {
			sum.hours += float64(p.ArcTime) / 3600
			sum.passes++
			if p.Waveform == nil || string(p.Waveform.Mode) != string(mode) {
				sum.odd++
			}
			require.Zero(t, p.BriefArcOuts, "the arc comes and goes as it is struck")
		}
	}
	return sum
}

// bad is something that goes wrong, and what may be found of it.
type bad struct {
	name  string
	modes []arcsim.Mode
	trial trial
	named []finding.Rule // that call it by its name
	also  []finding.Rule // that send a person to look as well
}

var allModes = []arcsim.Mode{arcsim.Dip, arcsim.Spray, arcsim.Globular, arcsim.Pulsed}

// bads are what may go wrong, each of some seconds in the last of three passes.
var bads = []bad{
	{"stubbing tip", allModes[:1], trial{fault: arcsim.Stubbing, to: 6}, []finding.Rule{finding.Stubbing}, []finding.Rule{finding.ShortRate, finding.Voltage, finding.Current}},
	{"arc lost", allModes, trial{fault: arcsim.Lost, to: 3}, []finding.Rule{finding.ArcOut}, []finding.Rule{finding.VoltageOnly}},
	{"gas lost", allModes, trial{fault: arcsim.NoGas, to: 8}, []finding.Rule{finding.GasSignature, finding.ArcUnrest, finding.VoltageRisen}, []finding.Rule{finding.Voltage, finding.ShortRate}},
	{"long arc", allModes, trial{fault: arcsim.LongArc, to: 8}, []finding.Rule{finding.ShortRate, finding.PulseRate, finding.Voltage, finding.VoltageRisen}, []finding.Rule{finding.ArcUnrest, finding.WireSlip}},
	{"current falls 8 %", allModes, trial{fall: 0.08}, []finding.Rule{finding.CurrentFall}, nil},
	{"voltage lead off", allModes, trial{fault: arcsim.NoVolts, to: 3}, []finding.Rule{finding.CurrentOnly}, []finding.Rule{finding.Voltage}},
	{"wrong mode", allModes, trial{declared: "other"}, []finding.Rule{finding.TransferMode}, nil},
}

// missed counts the trials of a fault in which nothing was found, and those in which it was not
// called by its name.
func (b *bad) missed(t testing.TB, mode arcsim.Mode, trials int) (nothing, unnamed int) {
	t.Helper()
	for k := range trials {
		tr := b.trial
		tr.mode, tr.seed, tr.rate, tr.plate = mode, uint64(90_000+k), sampled[k%3], k%4 == 3
		tr.passes, tr.swing = 3, 0.08*float64(k%3)/2
		tr.from, tr.to = 40, 40+tr.to
		if tr.declared != "" {
			tr.declared = allModes[(slices.Index(allModes, mode)+1+k%3)%4]
		}
		res := tr.lay(t, nil)
		told, named := false, false
		began := float64(tr.passes)*(pause+passTime) - passTime
		for j := range res.Findings {
			f := &res.Findings[j]
			at := float64(f.Start.Tick)*1e-9 - began
			inTime := tr.fault == "" || at > tr.from-3 && at < tr.to+3
			named = named || inTime && slices.Contains(b.named, f.Rule)
			told = told || inTime && slices.Contains(b.also, f.Rule)
		}
		if !named {
			unnamed++
			t.Logf("not named: %s, %s, seed %d, %.0f Hz: %v", mode, b.name, tr.seed, tr.rate, rulesFound(res))
		}
		if !named && !told {
			nothing++
		}
	}
	return nothing, unnamed
}

// misses are how often nothing was found of a fault in a mode, and how often not by its name.
type misses struct {
	name             string
	mode             arcsim.Mode
	nothing, unnamed int
}

// goodOfAll lays good arcs of all modes, by their order, some at a time.
func goodOfAll(t *testing.T, hours float64) []tally {
	t.Helper()
	all := make([]tally, len(allModes))
	t.Run("good", func(t *testing.T) {
		for k, mode := range allModes {
			t.Run(string(mode), func(t *testing.T) {
				t.Parallel()
				all[k] = goodArcs(t, mode, hours)
			})
		}
	})
	return all
}

// missedOfAll lays bad arcs of all kinds.
func missedOfAll(t *testing.T, trials int) []misses {
	t.Helper()
	var all []misses
	for k := range bads {
		for _, mode := range bads[k].modes {
			all = append(all, misses{name: bads[k].name, mode: mode})
		}
	}
	t.Run("bad", func(t *testing.T) {
		for k := range all {
			m := &all[k]
			t.Run(m.name+" "+string(m.mode), func(t *testing.T) {
				t.Parallel()
				at := slices.IndexFunc(bads, func(b bad) bool { return b.name == m.name })
				m.nothing, m.unnamed = bads[at].missed(t, m.mode, trials)
			})
		}
	})
	return all
}

func rulesFound(res Result) (all []finding.Rule) {
	for _, f := range res.Findings {
		all = append(all, f.Rule)
	}
	return all
}

// TestArcs_falseAlarmsAndMisses lays good and bad simulated arcs of every mode, and counts
// false alarms and misses. ARCTALLY_ARC_HOURS says for how many arc-hours in all the good ones
// burn; make long has 24.
func TestArcs_falseAlarmsAndMisses(t *testing.T) {
	if testing.Short() {
		t.Skip("it simulates hours of arc")
	}
	hours, trials := 0.6, 1
	if s := os.Getenv("ARCTALLY_ARC_HOURS"); s != "" {
		var err error
		hours, err = strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		trials = max(2, int(hours/3))
	}
	var table strings.Builder
	fmt.Fprintln(&table, "good arcs\tarc-hours\tfalse alarms\tan hour\tpasses\tin another mode\t")
	all, alarms, odd := 0.0, 0, 0
	for k, a := range goodOfAll(t, hours/float64(len(allModes))) {
		fmt.Fprintf(&table, "%s\t%.2f\t%d\t%.3f\t%d\t%d\t\n", allModes[k], a.hours, a.alarms(), float64(a.alarms())/a.hours, a.passes, a.odd)
		all, alarms, odd = all+a.hours, alarms+a.alarms(), odd+a.odd
	}
	fmt.Fprintf(&table, "all\t%.2f\t%d\t%.3f\t\t%d\t\n\n", all, alarms, float64(alarms)/all, odd)
	fmt.Fprintln(&table, "bad arcs\tmode\ttrials\tmissed\tnot by name\t")
	lost := 0
	for _, m := range missedOfAll(t, trials) {
		fmt.Fprintf(&table, "%s\t%s\t%d\t%d\t%d\t\n", m.name, m.mode, trials, m.nothing, m.unnamed)
		lost += m.nothing
	}
	t.Logf("simulated:\n%s", aligned(t, table.String()))
	if trials == 1 {
		require.Zero(t, alarms)
		require.Zero(t, odd)
		require.Zero(t, lost)
	}
	require.Less(t, float64(alarms)/all, 0.1, "false alarms an arc-hour")
}

// aligned returns a table whose cells end in tabs, in columns.
func aligned(t testing.TB, cells string) string {
	t.Helper()
	var text strings.Builder
	w := tabwriter.NewWriter(&text, 0, 0, 2, ' ', tabwriter.AlignRight)
	_, err := w.Write([]byte(cells))
	require.NoError(t, err)
	require.NoError(t, w.Flush())
	return text.String()
}
