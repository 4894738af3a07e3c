package sheet_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/inspect"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/proof"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// sound is a job of which nothing is open and nothing unknown.
func sound() *sheet.Sheet {
	in := sheettest.Input()
	in.Result.Passes = []pass.Pass{sheettest.Pass(1), sheettest.Pass(2)}
	in.Result.Findings = []finding.Finding{sheettest.Finding(1, finding.Voltage, 214, 20, 20, 19)}
	in.Entries = []inspect.Entry{
		{Number: 1, By: "Inspector 1", Disposition: &inspect.Disposition{Of: inspect.Refer(&in.Result.Findings[0]), Method: inspect.Visual, Result: inspect.NoIndication, Decision: inspect.Accept}},
		{Number: 2, By: "Machinist 1", Machining: sheettest.Machining()},
	}
	in.Integrity = sheet.Integrity{Verified: true}
	s := sheet.New(in)
	s.Proof.Missing, s.Proof.Proved = nil, len(s.Proof.Passes)
	for k := range s.Proof.Passes {
		s.Proof.Passes[k].Proved = true
	}
	return s
}

// faults make one truth of a sound job bad, each in every way that there is.
var faults = []struct {
	kind sheet.TruthKind
	ways []func(*sheet.Sheet)
}{
	{sheet.OfRecord, []func(*sheet.Sheet){
		func(s *sheet.Sheet) { s.Integrity = sheet.Integrity{Damage: "commit 7 was altered"} },
		func(s *sheet.Sheet) { s.Integrity = sheet.Integrity{} },
		func(s *sheet.Sheet) { s.Integrity = sheet.Integrity{Verified: true, Damage: "commit 7 was altered"} },
	}},
	{sheet.OfSimulation, []func(*sheet.Sheet){func(s *sheet.Sheet) { s.Simulated = true }}},
	{sheet.OfCleanUp, []func(*sheet.Sheet){
		func(s *sheet.Sheet) {
			machined(s, func(m *inspect.Machining) { m.CleanedUp, m.Where = inspect.NotAllRound, "250 deg" })
		},
		func(s *sheet.Sheet) { machined(s, func(m *inspect.Machining) { m.CleanedUp = inspect.NotSaid }) },
		func(s *sheet.Sheet) {
			machined(s, func(m *inspect.Machining) { m.CleanedUp = inspect.NotSaid })
			s.Wall = sheettest.Map()
		},
	}},
	{sheet.OfEvents, []func(*sheet.Sheet){
		func(s *sheet.Sheet) { s.Book.Findings[0].State, s.Book.Events[0].State = inspect.Open, inspect.Open },
		func(s *sheet.Sheet) {
			s.Book.Findings[0].State, s.Book.Events[0].State = inspect.ToRepair, inspect.ToRepair
		},
		func(s *sheet.Sheet) { s.Book.Orphans = []inspect.Item{{State: inspect.Open}} },
	}},
	{sheet.OfDiameters, []func(*sheet.Sheet){
		func(s *sheet.Sheet) { machined(s, func(m *inspect.Machining) { m.Stations[2].Diameter = 0.0901 }) },
		func(s *sheet.Sheet) { machined(s, func(m *inspect.Machining) { m.Stations[2].Diameter = 0.09004 }) },
		func(s *sheet.Sheet) { machined(s, func(m *inspect.Machining) { m.Stations[2].Diameter = 0.08990 }) },
		func(s *sheet.Sheet) { machined(s, func(m *inspect.Machining) { m.Stations[2].Diameter = 0.09003 }) },
		func(s *sheet.Sheet) { machined(s, func(m *inspect.Machining) { m.Expanded = nil }) },
		func(s *sheet.Sheet) {
			machined(s, func(m *inspect.Machining) { m.Wanted = quantity.Range[quantity.Metres]{} })
		},
		func(s *sheet.Sheet) { machined(s, func(m *inspect.Machining) { m.Stations = nil }) },
	}},
	{sheet.OfHeat, []func(*sheet.Sheet){
		func(s *sheet.Sheet) { s.Passes[1].Verdict = heat.Outside },
		func(s *sheet.Sheet) { s.Passes[1].Verdict = heat.OutsideNearLimit },
		func(s *sheet.Sheet) { s.Passes[0].Verdict = heat.WithinNearLimit },
		func(s *sheet.Sheet) { s.Passes[0].Verdict = "" },
	}},
	{sheet.OfCalibration, []func(*sheet.Sheet){
		func(s *sheet.Sheet) {
			s.Proof.Missing = []proof.Missing{{Kind: proof.NoCalibration, Passes: []int{1, 2}}}
		},
		func(s *sheet.Sheet) { s.Proof.Missing = []proof.Missing{{Kind: proof.Overdue, Passes: []int{2}}} },
	}},
	{sheet.OfProof, []func(*sheet.Sheet){func(s *sheet.Sheet) { s.Proof.Proved, s.Proof.Passes[0].Proved = 1, false }}},
}

// machined changes the final measurement.
func machined(s *sheet.Sheet, change func(*inspect.Machining)) {
	own := *s.Book.Machinings[0].Machining
	own.Stations = slices.Clone(own.Stations)
	change(&own)
	s.Book.Machinings[0].Machining = &own
}

// Of every combination of truths the worst stands first, none is left out, and all is well
// only where nothing is open or unknown.
func TestBanner_everyCombination(t *testing.T) {
	for mask := range 1 << len(faults) {
		s := sound()
		var want []sheet.TruthKind
		for k, fault := range faults {
			if mask&(1<<k) != 0 {
				fault.ways[mask%len(fault.ways)](s)
				want = append(want, fault.kind)
			}
		}
		banner := s.Banner(sheet.Metric)
		var bad, good []sheet.TruthKind
		for _, truth := range banner {
			require.NotEmpty(t, truth.Short)
			require.True(t, strings.HasSuffix(truth.Words, "."), truth.Words)
			if truth.Good() {
				good = append(good, truth.Kind)
			} else {
				require.Empty(t, good, "what is good stands last: %v", banner)
				bad = append(bad, truth.Kind)
			}
		}
		require.Equal(t, want, bad, "%b", mask)
		require.Equal(t, len(want) == 0, banner.Good(), "%b", mask)
		if len(want) > 0 {
			require.Equal(t, want[0], banner.Worst().Kind)
		}
		for _, fault := range faults {
			if fault.kind != sheet.OfSimulation && fault.kind != sheet.OfProof { // these two are only told where they are bad
				require.Contains(t, append(bad, good...), fault.kind, "nothing is left unsaid")
			}
		}
	}
}

// Every way in which a truth is bad is told by itself, and none of them reads as good.
func TestBanner_everyWay(t *testing.T) {
	for _, fault := range faults {
		for k, way := range fault.ways {
			s := sound()
			way(s)
			worst := s.Banner(sheet.US).Worst()
			assert.Equal(t, fault.kind, worst.Kind, "%s %d", fault.kind, k)
			assert.NotEqual(t, sheet.SignWithin, worst.Sign)
		}
	}
}

func TestBanner_words(t *testing.T) {
	words := func(kind sheet.TruthKind, u sheet.Units, change ...func(*sheet.Sheet)) string {
		s := sound()
		for _, one := range change {
			one(s)
		}
		b := s.Banner(u)
		k := slices.IndexFunc(b, func(t sheet.Truth) bool { return t.Kind == kind })
		if k < 0 {
			return ""
		}
		return b[k].Short + ": " + b[k].Words
	}
	notSaid := func(s *sheet.Sheet) { machined(s, func(m *inspect.Machining) { m.CleanedUp = inspect.NotSaid }) }
	mapped := func(change func(*bore.Map)) func(*sheet.Sheet) {
		return func(s *sheet.Sheet) {
			s.Wall = sheettest.Map()
			change(s.Wall)
		}
	}
	thick := func(m *bore.Map) {
		for k := range m.Cells {
			if m.Cells[k].Unseen == 0 {
				m.Cells[k].Volume = 60e-9
			}
		}
	}
	out := func(diameter float64) func(*sheet.Sheet) {
		return func(s *sheet.Sheet) {
			machined(s, func(m *inspect.Machining) { m.Stations[2].Diameter = quantity.Metres(diameter / 1000) })
		}
	}
	plate := func(s *sheet.Sheet) { s.Job.Deposit.Pattern = bore.Straight }
	for _, c := range []struct{ want, got string }{
		{"cleaned up: The cut cleaned up all round, says Machinist 1 (name typed).", words(sheet.OfCleanUp, sheet.Metric)},
		{"clean-up not known: Whether it will clean up is not known: there is no map of the wall.", words(sheet.OfCleanUp, sheet.Metric, notSaid)},
		{
			"will not clean up: By calculation it will not clean up: 1.25 ±0.06 mm short at 252 deg, 10.5 mm deep.",
			words(sheet.OfCleanUp, sheet.Metric, notSaid, mapped(func(*bore.Map) {})),
		},
		{"clean-up not known: Whether it will clean up is not known from 250 deg to 265 deg, 24.0 mm to 27.0 mm deep: data is missing there.", words(sheet.OfCleanUp, sheet.Metric, notSaid, mapped(thick))},
		{"clean-up in doubt: Whether it will clean up is too close to tell: -0.07 ±0.08 mm to spare at 2 deg, 1.5 mm deep.", words(sheet.OfCleanUp, sheet.Metric, notSaid, mapped(func(m *bore.Map) {
			for k := range m.Cells {
				m.Cells[k].Volume, m.Cells[k].Unseen = 14e-9, 0
			}
		}))},
		{"will clean up: By calculation it will clean up all round.", words(sheet.OfCleanUp, sheet.Metric, notSaid, mapped(func(m *bore.Map) {
			for k := range m.Cells {
				m.Cells[k].Volume, m.Cells[k].Unseen = 60e-9, 0
			}
		}))},
		{"1 event open: 1 event is open (1 finding): somebody has still to do something.", words(sheet.OfEvents, sheet.Metric, faults[3].ways[0])},
		{"1 event open: 1 event is open (1 finding), and 1 finding of another judgement left open: somebody has still to do something.", words(sheet.OfEvents, sheet.Metric, faults[3].ways[1], faults[3].ways[2])},
		{"1 finding open: 1 finding of another judgement left open: somebody has still to do something.", words(sheet.OfEvents, sheet.Metric, faults[3].ways[2])},
		{"no event open: Somebody has decided on every event.", words(sheet.OfEvents, sheet.Metric)},
		{"1 diameter out: 1 diameter of 6 out of the limits of the drawing, 90.000 mm to 90.035 mm: the worst is 90.100 mm at 0 deg, 30.0 mm deep, 0.065 mm above.", words(sheet.OfDiameters, sheet.Metric, out(90.1))},
		{
			"1 diameter out: 1 diameter of 6 out of the limits of the drawing, 3.5433 in to 3.5447 in: the worst is 3.5394 in at 0 deg, 1.18 in deep, 0.0039 in below.",
			words(sheet.OfDiameters, sheet.US, out(89.9)),
		},
		{"no diameter: No diameter is on record after machining.", words(sheet.OfDiameters, sheet.Metric, faults[4].ways[6])},
		{"", words(sheet.OfDiameters, sheet.Metric, plate)},
		{"", words(sheet.OfCleanUp, sheet.Metric, plate)},
		{
			"heat input outside in 1 pass: The heat input is outside in pass 2; not judged in pass 1.",
			words(sheet.OfHeat, sheet.Metric, faults[5].ways[0], faults[5].ways[3]),
		},
		{
			"heat input outside in 1 pass: The heat input is outside in pass 2; outside, closer to a limit than the guard band in pass 1.",
			words(sheet.OfHeat, sheet.Metric, faults[5].ways[0], func(s *sheet.Sheet) { s.Passes[0].Verdict = heat.OutsideNearLimit }),
		},
		{"arc energy within: Every pass lies inside the window of the arc energy.", words(sheet.OfHeat, sheet.Metric, func(s *sheet.Sheet) { s.Job.Procedure.Judge.Definition = procedure.ArcEnergy })},
		{"calibration missing: No calibration that holds stands behind what was measured in passes 1, 2.", words(sheet.OfCalibration, sheet.Metric, faults[6].ways[0])},
		{"no pass: No pass was found in this record: nothing is judged.", words(sheet.OfPasses, sheet.Metric, func(s *sheet.Sheet) { s.Passes = nil })},
	} {
		assert.Equal(t, c.want, c.got)
	}
}

// What a virtual box said is simulated, whatever the record says of it besides.
func TestBanner_simulated(t *testing.T) {
	in := sheettest.Input()
	assert.False(t, sheet.New(in).Simulated)
	in.Source.Name = series.VirtualBox + " beside"
	s := sheet.New(in)
	assert.Contains(t, s.Banner(sheet.Metric), sheet.Truth{Kind: sheet.OfSimulation, Sign: sheet.SignOutside, Short: "simulated", Words: "Simulated: a virtual sensor box said this, and nothing was welded."})
	in.Source.Name, in.Simulated = "box", true
	assert.True(t, sheet.New(in).Simulated, "another box of the record may have been a virtual one")
}
