package proof

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// helix is four turns of a bore, with a gap of 36 degrees.
func helix() *procedure.Job {
	return &procedure.Job{
		Bore:    bore.Bore{WornDiameter: 0.092, FinishDiameter: 0.090, WeldToDiameter: 0.086, Length: 0.012},
		Deposit: bore.Deposit{Pattern: bore.Helix, Pitch: 0.003, WireDiameter: 0.9e-3, Efficiency: 0.95, Gaps: []bore.Gap{{From: 80, To: 116}}},
		Procedure: procedure.Procedure{
			Name: "P", Process: "MAG",
			Limits: procedure.Limits{HeatInput: quantity.Range[quantity.JoulesPerMetre]{Low: 0.25e6, High: 0.55e6, HasLow: true, HasHigh: true}},
			Judge:  procedure.Judge{Definition: procedure.EN1011, Power: series.Instantaneous, GuardBand: 1},
		},
	}
}

func calibrated() []calib.Calibration {
	return []calib.Calibration{
		{Channel: "voltage", Gain: 1, Relative: 0.008}, {Channel: "current", Gain: 1, Relative: 0.012}, {Channel: "travel", Gain: 1, Relative: 0.006},
	}
}

func inDate() []calib.Calibration {
	all := calibrated()
	for k := range all {
		all[k].Due, all[k].Certificate = "2026-06-30", "C-7"
	}
	return all
}

// spring is the clock of the passes under proof.
func spring(m pass.Moment) (time.Time, bool) {
	return time.Date(2026, 6, 30, 23, 0, 0, 0, time.UTC).Add(time.Duration(m.Tick)), true
}

// provable is a pass of the first layer in the middle of the window.
func provable(job *procedure.Job, d heat.Doubt, c heat.Circumstances, q quantity.JoulesPerMetre) pass.Pass {
	b := d.Budget(c)
	u, e := b.Expanded(q), q/0.8
	p := pass.Pass{
		Number: 1, Layer: 1, Diameter: 0.092, ArcTime: 40, Budget: b, HeatInput: &q, ArcEnergy: &e, ExpandedUncertainty: &u,
		Travel: new(quantity.Metres(1.04)), TravelBasis: c.Travel, PowerBasis: series.Instantaneous,
	}
	judge := job.Procedure.Judge
	p.Verdict = heat.Judge(q, u, job.Procedure.Limits.HeatInput, judge.GuardBand)
	if judge.Definition == procedure.ArcEnergy {
		p.Verdict = heat.Judge(e, b.Expanded(e), job.Procedure.Limits.HeatInput, judge.GuardBand)
	}
	return p
}

func counted() heat.Circumstances {
	return heat.Circumstances{
		Travel: heat.TravelMeasured, Turning: true, Counted: 0.0005, Voltage: 17, VoltageScale: 0.01, Current: 140, CurrentScale: 0.1, Signals: said(),
	}
}

// said are signals of which everything is known.
func said() heat.Signals {
	return heat.Signals{
		Skew: series.Stated{Known: true}, VoltageBandwidth: 3000, CurrentBandwidth: 3000,
		Tap: heat.AtTorch, Clock: series.Stated{Value: 50e-6, Known: true},
	}
}

// without is a job's knowledge with something of its signals changed.
func without(change func(*heat.Signals)) heat.Circumstances {
	c := counted()
	change(&c.Signals)
	return c
}

func kinds(all []Reason) (kinds []Kind) {
	for _, r := range all {
		kinds = append(kinds, r.Kind)
	}
	return kinds
}

const middle = 0.4e6 // J/m, of the window

func TestOf_reasons(t *testing.T) {
	late := inDate()
	late[1].Due = "2026-06-29"
	missing, declared := counted(), counted()
	missing.Missing, declared.Travel = 0.4, heat.TravelDeclared
	for name, test := range map[string]struct {
		calibrations []calib.Calibration
		around       heat.Circumstances
		value        quantity.JoulesPerMetre
		change       func(*procedure.Job, *pass.Pass)
		reasons      []Kind
		remarks      []Kind
	}{
		"proved":               {inDate(), counted(), middle, nil, nil, nil},
		"near the limit":       {inDate(), counted(), 0.549e6, nil, []Kind{NearLimit}, nil},
		"outside, near":        {inDate(), counted(), 0.551e6, nil, []Kind{OutsideWindow}, nil},
		"outside":              {inDate(), counted(), 0.1e6, nil, []Kind{OutsideWindow}, nil},
		"overdue":              {late, counted(), middle, nil, []Kind{Overdue}, nil},
		"no calibration":       {inDate()[:2], counted(), middle, nil, []Kind{NoCalibration}, nil},
		"none at all":          {nil, counted(), middle, nil, []Kind{NoCalibration, NoCalibration, NoCalibration}, nil},
		"skew not declared":    {inDate(), without(func(s *heat.Signals) { s.Skew = series.Stated{} }), middle, nil, []Kind{UnknownSkew}, nil},
		"skew that is long":    {inDate(), without(func(s *heat.Signals) { s.Skew.Value = 150e-6 }), middle, nil, []Kind{UnknownSkew}, nil},
		"order alternates":     {inDate(), without(func(s *heat.Signals) { s.Skew, s.Alternates = series.Stated{}, true }), middle, nil, nil, nil},
		"bandwidth of voltage": {inDate(), without(func(s *heat.Signals) { s.VoltageBandwidth = 0 }), middle, nil, []Kind{UnknownFilters}, nil},
		"bandwidth of current": {inDate(), without(func(s *heat.Signals) { s.CurrentBandwidth = 0 }), middle, nil, []Kind{UnknownFilters}, nil},
		"low bandwidth":        {inDate(), without(func(s *heat.Signals) { s.CurrentBandwidth = 499 }), middle, nil, []Kind{UnknownFilters}, nil},
		"filters that differ":  {inDate(), without(func(s *heat.Signals) { s.CurrentBandwidth = 1000 }), middle, nil, []Kind{UnknownFilters}, nil},
		"tap not said":         {inDate(), without(func(s *heat.Signals) { s.Tap = "" }), middle, nil, []Kind{UnknownLeads}, nil},
		"tap at the feeder":    {inDate(), without(func(s *heat.Signals) { s.Tap = heat.AtFeeder }), middle, nil, []Kind{UnknownLeads}, nil},
		"leads that are known": {inDate(), without(func(s *heat.Signals) { s.Tap, s.Leads = heat.AtFeeder, series.Stated{Value: 1e-3, Known: true} }), middle, nil, nil, nil},
		"clock not said":       {inDate(), without(func(s *heat.Signals) { s.Clock = series.Stated{} }), middle, nil, []Kind{UnknownClock}, nil},
		"nothing said":         {inDate(), without(func(s *heat.Signals) { *s = heat.Signals{} }), middle, nil, []Kind{UnknownSkew, UnknownFilters, UnknownLeads, UnknownClock}, nil},
		"a gap that matters":   {inDate(), missing, middle, nil, []Kind{GapInData}, nil},
		"declared":             {inDate()[:2], declared, middle, nil, []Kind{NoCalibration, DeclaredTravel}, nil},
		"declared but checked": {inDate(), declared, middle, nil, nil, []Kind{DeclaredTravel}},
		"a gap that does not":  {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) { p.GapTime = 0.1 }, nil, []Kind{GapInData}},
		"averaged":             {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) { p.PowerBasis = series.Average }, []Kind{AveragedPower}, nil},
		"unprotected":          {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) { p.Unprotected = true }, []Kind{Unprotected}, nil},
		"averaged, as the limits": {inDate(), counted(), middle, func(j *procedure.Job, p *pass.Pass) {
			p.PowerBasis, j.Procedure.Judge.Power = series.Average, series.Average
		}, nil, nil},
		"held": {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) { p.HeldTime = 2 }, []Kind{HeldValues}, nil},
		"held or steady, another verdict": {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) {
			p.MayBeHeld, p.Verdict = &pass.WithoutMayBeHeld{Time: 2, Verdict: heat.Outside}, heat.WithinNearLimit
		}, []Kind{HeldValues}, nil},
		"held or steady, the same verdict": {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) {
			p.MayBeHeld = &pass.WithoutMayBeHeld{Time: 2, Verdict: p.Verdict}
		}, nil, []Kind{HeldValues}},
		"no travel": {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) {
			*p = pass.Pass{Number: 1, ArcTime: 5}
		}, []Kind{NoTravel}, nil},
		"no arc time": {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) {
			*p = pass.Pass{Number: 1, Travel: p.Travel, TravelBasis: heat.TravelMeasured}
		}, []Kind{NoEnergy}, nil},
		"no efficiency": {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) { p.HeatInput = nil }, []Kind{NoEfficiency}, nil},
		"no window": {inDate(), counted(), middle, func(j *procedure.Job, p *pass.Pass) {
			j.Procedure.Limits.HeatInput, p.Verdict = quantity.Range[quantity.JoulesPerMetre]{}, ""
		}, []Kind{NoWindow}, nil},
		"no uncertainty": {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) { p.Budget = nil }, []Kind{NoUncertainty}, nil},
		"findings":       {inDate(), counted(), middle, func(_ *procedure.Job, p *pass.Pass) { p.Findings = 2 }, nil, []Kind{OpenFindings}},
	} {
		t.Run(name, func(t *testing.T) {
			job := helix()
			p := provable(job, heat.DoubtOf(test.calibrations), test.around, test.value)
			if test.change != nil {
				test.change(job, &p)
			}
			proof := Of(job, []pass.Pass{p}, spring)
			one := proof.Passes[0]
			assert.Equal(t, test.reasons, kinds(one.Reasons), one.Reasons)
			assert.Equal(t, test.remarks, kinds(one.Remarks), one.Remarks)
			assert.Equal(t, len(test.reasons) == 0, one.Proved)
			assert.Equal(t, one.Proved, proof.Whole())
			for _, m := range proof.Missing {
				assert.NotEmpty(t, m.Remedy, m.Kind)
				assert.Equal(t, []int{1}, m.Passes, m.Kind)
			}
		})
	}
}

// A due date that cannot be held against a day proves nothing; no due date is
// only said.
func TestOf_dueDates(t *testing.T) {
	job := helix()
	p := provable(job, heat.DoubtOf(inDate()), counted(), middle)
	proof := Of(job, []pass.Pass{p}, nil)
	assert.Equal(t, []Kind{UndatedDue, UndatedDue, UndatedDue}, kinds(proof.Passes[0].Reasons))
	later := inDate()
	later[0].Date = "2026-07-01"
	p = provable(job, heat.DoubtOf(later), counted(), middle)
	proof = Of(job, []pass.Pass{p}, spring)
	assert.True(t, proof.Whole())
	assert.Equal(t, []Kind{LaterDone}, kinds(proof.Passes[0].Remarks))
	p = provable(job, heat.DoubtOf(calibrated()), counted(), middle)
	proof = Of(job, []pass.Pass{p}, spring)
	assert.True(t, proof.Whole())
	assert.Equal(t, []Kind{UndatedDue, UndatedDue, UndatedDue}, kinds(proof.Passes[0].Remarks))
}

func TestOf_arcEnergyRules(t *testing.T) {
	job := helix()
	job.Procedure.Judge.Definition = procedure.ArcEnergy
	p := provable(job, heat.DoubtOf(inDate()), counted(), 0.5e6) // E is 0.625 kJ/mm
	proof := Of(job, []pass.Pass{p}, spring)
	assert.Equal(t, []Kind{OutsideWindow}, kinds(proof.Passes[0].Reasons))
	assert.Contains(t, proof.Claim, "arc energy E = W/s")
	assert.InDelta(t, 0.625e6, float64(*proof.Passes[0].Value), 1)
	assert.Less(t, *proof.Passes[0].Conformity, 0.01)
}

// What is covered: four turns of a bore of 12 mm at a pitch of 3 mm are the whole
// wall, but for the planned gap of a tenth.
func TestOf_areas(t *testing.T) {
	job := helix()
	turn := bore.HelixPathPerTurn(0.092, job.Deposit.Pitch)
	first := provable(job, heat.DoubtOf(inDate()), counted(), middle)
	first.Travel = new(0.9 * 3 * turn)
	second := provable(job, heat.DoubtOf(inDate()), counted(), 0.6e6)
	second.Number, second.Travel = 2, new(0.9*turn)
	proof := Of(job, []pass.Pass{first, second}, spring)
	require.Len(t, proof.Layers, 1)
	layer := proof.Layers[0]
	assert.InDelta(t, 0.9, float64(layer.Planned), 1e-12)
	assert.InDelta(t, 0.9, float64(layer.Laid), 1e-3)
	assert.InDelta(t, 0.675, float64(layer.Proved), 1e-3)
	assert.InDelta(t, 0.75, float64(*proof.ProvedArea / *proof.Laid), 1e-12)
	assert.Equal(t, 1, proof.Proved)
	assert.False(t, proof.Whole())
	plate := helix()
	plate.Deposit.Pattern = bore.Straight
	proof = Of(plate, []pass.Pass{first}, spring)
	assert.Nil(t, proof.Laid, "a plate has no bore to cover")
	assert.Nil(t, proof.Passes[0].Area)
	assert.False(t, Of(job, nil, spring).Whole(), "nothing is no proof")
}

// The instruments of 0.8, 1.2 and 0.6 % make U 3.13 % of the value: of its square the
// current has 1.44 of 2.44 parts.
func TestOf_saysByHowMuch(t *testing.T) {
	for _, c := range []struct {
		value quantity.JoulesPerMetre
		guard float64
		want  string
	}{
		{0.549e6, 1, "0.549 kJ/mm is closer to a limit than the guard band of 0.017 kJ/mm; most of U comes from current (57 %)"},
		{0.549e6, 0.5, "0.549 kJ/mm is closer to a limit than the guard band of 0.009 kJ/mm; most of U comes from current (57 %)"},
		{0.1e6, 1, "0.100 kJ/mm is outside by 0.150 kJ/mm, U is 0.003 kJ/mm"},
		{0.7e6, 1, "0.700 kJ/mm is outside by 0.150 kJ/mm, U is 0.022 kJ/mm"},
	} {
		job := helix()
		job.Procedure.Judge.GuardBand = c.guard
		one := Of(job, []pass.Pass{provable(job, heat.DoubtOf(inDate()), counted(), c.value)}, spring).Passes[0]
		require.Len(t, one.Reasons, 1)
		assert.Equal(t, c.want, one.Reasons[0].Text)
		assert.Equal(t, c.value, *one.Value)
	}
}

// What has no length, pitch, diameter or layer covers nothing; the rest does.
func TestOf_areasOfWhatIsKnown(t *testing.T) {
	for name, spoil := range map[string]func(*procedure.Job){
		"length": func(j *procedure.Job) { j.Bore.Length = 0 },
		"pitch":  func(j *procedure.Job) { j.Deposit.Pitch = 0 },
	} {
		job := helix()
		p := provable(job, heat.DoubtOf(inDate()), counted(), middle)
		spoil(job)
		assert.Nil(t, Of(job, []pass.Pass{p}, spring).Laid, name)
	}
	job := helix()
	whole := provable(job, heat.DoubtOf(inDate()), counted(), middle)
	nowhere, loose, still := whole, whole, whole
	nowhere.Diameter, loose.Layer, still.Travel = 0, 0, nil
	proof := Of(job, []pass.Pass{nowhere, loose, still, whole}, spring)
	assert.Nil(t, proof.Passes[0].Area)
	assert.NotNil(t, proof.Passes[1].Share)
	assert.Nil(t, proof.Passes[2].Area)
	require.Len(t, proof.Layers, 1)
	assert.Equal(t, *proof.Passes[3].Share, proof.Layers[0].Laid, "a pass of no layer is in none")
	// 1.04 m of bead at 3 mm are 3120 mm2, of which a bore of 92 by 12 mm has 3468.3.
	assert.InDelta(t, 3120e-6, float64(*proof.Passes[3].Area), 1e-12)
	assert.InDelta(t, 0.899571, float64(*proof.Passes[3].Share), 1e-6)
	assert.InDelta(t, 2*3120e-6, float64(*proof.Laid), 1e-12)
	second := whole
	second.Number, second.Layer = 2, 2
	assert.Len(t, Of(job, []pass.Pass{whole, second, whole}, spring).Layers, 2)
}

func TestOf_claim(t *testing.T) {
	job := helix()
	const subject = "the heat input Q = k*E (EN 1011-1) of each pass, energy over net path length, lies within the window of procedure P, "
	assert.Equal(t, subject+"0.250 to 0.550 kJ/mm", Of(job, nil, nil).Claim)
	job.Procedure.Limits.HeatInput.HasLow = false
	assert.Equal(t, subject+"at most 0.550 kJ/mm", Of(job, nil, nil).Claim)
	job.Procedure.Limits.HeatInput.HasLow, job.Procedure.Limits.HeatInput.HasHigh = true, false
	assert.Equal(t, subject+"at least 0.250 kJ/mm", Of(job, nil, nil).Claim)
	job.Procedure.Limits.HeatInput.HasLow = false
	assert.Equal(t, "none: procedure P has no limit of heat input", Of(job, nil, nil).Claim)
}

// Each reason is listed once, with the passes that it is of.
func TestOf_missing(t *testing.T) {
	job := helix()
	bad := provable(job, heat.DoubtOf(nil), counted(), middle) // three channels without calibration
	good := provable(job, heat.DoubtOf(inDate()), counted(), middle)
	held := good
	held.HeldTime = 1
	bad.Number, good.Number, held.Number = 1, 2, 3
	last := bad
	last.Number, last.HeldTime = 4, 1
	missing := Of(job, []pass.Pass{bad, good, held, last}, spring).Missing
	require.Len(t, missing, 2)
	assert.Equal(t, Missing{NoCalibration, []int{1, 4}, remedies[NoCalibration]}, missing[0])
	assert.Equal(t, Missing{HeldValues, []int{3, 4}, remedies[HeldValues]}, missing[1])
}
