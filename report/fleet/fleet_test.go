//go:build unix

package fleet

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/analyze/finding/chart"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
)

// The ten values of ST-06 as the heat input of ten jobs, in hundredths of kJ/mm: the chart
// of one procedure has the limits that the handbook's formula gives. Source: NIST/SEMATECH
// e-Handbook 6.3.2.2; standing: data memory, arithmetic computed.
func TestCharts_handbook(t *testing.T) {
	engines(t, func(t *testing.T, address string) {
		f := open(t, address)
		for n, x := range []float64{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1} {
			take(t, f, madeJob(n, x/100-0.001, x/100+0.001))
		}
		got, err := f.Charts(t.Context(), HeatInput, ByProcedure, 20)
		require.NoError(t, err)
		require.Len(t, got.Charts, 1)
		c := got.Charts[0]
		require.Equal(t, "MADE-1 rev 2", *c.Name)
		require.Equal(t, int64(10), c.Jobs)
		require.Equal(t, int64(20), c.Passes)
		require.InDelta(t, 0.5081, *c.Mean, 1e-6)
		require.InDelta(t, 0.018778, *c.MeanRange, 1e-6)
		require.Equal(t, 1.0, *c.Widened)
		require.InDelta(t, 0.558041, *c.High, 1e-6)
		require.InDelta(t, 0.458159, *c.Low, 1e-6)
		require.Zero(t, *c.Outside)
		require.Len(t, c.Newest, 10)
		require.Equal(t, Place{Record: "made-000009.arctally", Digest: digestOf("head", 9), Pass: new(1), Review: "#/record/made-000009/pass/1", Simulated: new(true)}, c.Newest[9].Place)
		require.InDelta(t, 0.521, c.Newest[9].Value, 1e-12)
		require.Equal(t, 5, c.OneSided, "51.2 52.6 52.4 53.6 52.1 lie above the mean")
		require.Empty(t, c.Signal)
	})
}

// Whatever came in whatever order, and took whose place, each chart has the sums of its
// newest states in the order of time.
func TestCharts_anyOrder(t *testing.T) {
	engines(t, func(t *testing.T, address string) {
		f := open(t, address)
		random := rand.New(rand.NewPCG(3, 4))
		values := map[int]float64{}
		for _, n := range random.Perm(40) {
			values[n] = 0.4 + 0.01*random.NormFloat64()
			r := madeJob(n, values[n])
			require.Equal(t, []Outcome{New}, take(t, f, r))
			if n%4 == 0 {
				values[n] += 0.02
				more := wentOn(r, 11)
				more.Passes = madeJob(n, values[n]).Passes
				require.Equal(t, []Outcome{WentOn}, take(t, f, more))
			}
		}
		var c chart.Individuals
		for n := range 40 {
			c.Add(values[n])
		}
		got, err := f.Charts(t.Context(), HeatInput, ByBox, 20)
		require.NoError(t, err)
		low, high := c.Limits()
		factor, ok := c.Moments().Widening()
		require.True(t, ok)
		require.Equal(t, 1.0, factor)
		one := got.Charts[0]
		require.Equal(t, "B-0001", *one.Member)
		require.Equal(t, int64(40), one.Jobs)
		require.Equal(t, int64(40), one.Passes)
		require.InEpsilon(t, c.Moments().Mean(), *one.Mean, 1e-12)
		require.InEpsilon(t, low, *one.Low, 1e-9)
		require.InEpsilon(t, high, *one.High, 1e-9)
		require.InEpsilon(t, values[0], *one.first/kiloJoulesPerMM, 1e-12)
		require.InEpsilon(t, values[39], *one.last/kiloJoulesPerMM, 1e-12)
		require.Equal(t, 50, count(t, f, "SELECT count(*) FROM jobs"), "nothing is lost")
		require.Equal(t, 40, count(t, f, "SELECT count(*) FROM fleet_jobs"))
		require.Equal(t, 40, count(t, f, "SELECT count(*) FROM fleet_passes"))
	})
}

// What lies outside is told with the job it leads to, and comes first.
func TestCharts_outside(t *testing.T) {
	f := open(t, t.TempDir())
	for n := range 20 {
		take(t, f, madeJob(n, 0.4+0.002*float64(n%2)))
		quiet := madeJob(100+n, 0.4)
		quiet.Procedure = "MADE-QUIET"
		take(t, f, quiet)
	}
	few := madeJob(200, 0.9)
	few.Procedure = "MADE-FEW"
	take(t, f, madeJob(20, 0.5), few)
	got, err := f.Charts(t.Context(), HeatInput, ByProcedure, 1)
	require.NoError(t, err)
	require.Equal(t, 3, got.InAll)
	require.Len(t, got.Charts, 1)
	c := got.Charts[0]
	require.Equal(t, "MADE-1 rev 2", *c.Name)
	require.Equal(t, 1, *c.Outside)
	require.Equal(t, SignalOutside, c.Signal)
	require.Len(t, c.Farthest, 1)
	require.Equal(t, "#/record/made-000020/pass/1", c.Farthest[0].Review)
	require.InDelta(t, 0.5, c.Farthest[0].Value, 1e-12)
	require.True(t, c.Newest[len(c.Newest)-1].Outside)
	require.False(t, c.Newest[0].Outside)
}

// Limits are given from eight jobs on.
func TestCharts_fewest(t *testing.T) {
	f := open(t, t.TempDir())
	for n := range 8 {
		got, err := f.Charts(t.Context(), HeatInput, ByProcedure, 1)
		require.NoError(t, err)
		for _, c := range got.Charts {
			require.Equal(t, tooFew, *c.NoLimits, n)
			require.Nil(t, c.High, n)
		}
		take(t, f, madeJob(n, 0.4+0.01*float64(n%2)))
	}
	got, err := f.Charts(t.Context(), HeatInput, ByProcedure, 1)
	require.NoError(t, err)
	require.Nil(t, got.Charts[0].NoLimits)
	require.InDelta(t, 0.405+3*0.01/1.128, *got.Charts[0].High, 1e-9)
}

// A record without a date is counted, until it goes on with one.
func TestCharts_undated(t *testing.T) {
	engines(t, func(t *testing.T, address string) {
		f := open(t, address)
		r := madeJob(1, 0.3)
		dated := wentOn(r, 11)
		undated := *r
		undated.State.Created = ""
		undated.Passes = append(undated.Passes[:0:0], undated.Passes...)
		undated.Passes[0].Start = nil
		for charts, one := range []*Results{&undated, dated} {
			take(t, f, one)
			got, err := f.Charts(t.Context(), HeatInput, ByProcedure, 1)
			require.NoError(t, err)
			require.Equal(t, int64(1-charts), got.Undated)
			require.Len(t, got.Charts, charts)
		}
	})
}

// Eight on one side are a signal, seven are none.
func TestCharts_oneSide(t *testing.T) {
	for n, want := range map[int]string{7: "", 8: SignalOneSide} {
		f := open(t, t.TempDir())
		for k := range 60 { // the last of them lies below
			take(t, f, madeJob(k, 0.4+0.01*float64(1-k%2*2)))
		}
		for k := range n {
			take(t, f, madeJob(100+k, 0.408))
		}
		got, err := f.Charts(t.Context(), HeatInput, ByProcedure, 1)
		require.NoError(t, err)
		require.Equal(t, want, got.Charts[0].Signal, n)
	}
}

// By layer each layer is a chart of its own; what is not known stands apart, and has no limits
// while it is little.
func TestCharts_sides(t *testing.T) {
	engines(t, func(t *testing.T, address string) {
		f := open(t, address)
		r := madeJob(1, 0.3, 0.32, 0.4)
		r.Passes[2].Layer = nil
		r.People.Operator = ""
		undated := madeJob(2, 0.9)
		undated.State.Created, undated.Passes[0].Start = "", nil
		take(t, f, r, undated)
		by := func(m Measure, s Side) map[string]Chart {
			got, err := f.Charts(t.Context(), m, s, 20)
			require.NoError(t, err)
			require.Equal(t, int64(1), got.Undated)
			all := map[string]Chart{}
			for _, c := range got.Charts {
				name := "not known"
				if c.Member != nil {
					name = *c.Member
				}
				all[name] = c
			}
			return all
		}
		layers := by(HeatInput, ByLayer)
		require.Len(t, layers, 2)
		require.InDelta(t, 0.31, *layers["1"].Mean, 1e-12)
		require.Equal(t, int64(2), layers["1"].Passes)
		require.InDelta(t, 0.4, *layers["not known"].Mean, 1e-12)
		require.Equal(t, "#/record/made-000001/pass/3", layers["not known"].Newest[0].Review)
		require.Equal(t, tooFew, *layers["1"].NoLimits)
		require.Nil(t, layers["1"].Low)
		require.Nil(t, layers["1"].Outside)
		require.Nil(t, layers["1"].MeanRange)
		require.Contains(t, by(ArcOn, ByOperator), "not known")
		require.InDelta(t, 0.9, *by(ArcOn, ByBox)["B-0001"].Mean, 1e-12)
	})
}

// What the procedure means by heat input is what its window is held beside: E where it says so.
func TestCharts_arcEnergy(t *testing.T) {
	f := open(t, t.TempDir())
	r := madeJob(1, 0.4)
	r.Definition = string(procedure.ArcEnergy)
	take(t, f, r, madeJob(2, 0.4))
	got, err := f.Charts(t.Context(), HeatInput, ByBox, 20)
	require.NoError(t, err)
	require.Len(t, got.Charts, 2)
	for _, c := range got.Charts {
		require.InDelta(t, map[bool]float64{true: 0.5, false: 0.4}[c.JudgesArcEnergy()], *c.Mean, 1e-12)
	}
}

func TestProved(t *testing.T) {
	engines(t, func(t *testing.T, address string) {
		f := open(t, address)
		first := notProved(notProved(madeJob(1, 0.3, 0.3, 0.3), 1, "skew", "findings"), 2, "skew", "skew")
		second := notProved(madeJob(2, 0.3, 0.3), 2, "findings")
		unsaid := madeJob(3, 0.3)
		unsaid.Procedure, unsaid.Proof = "MADE-9", nil
		take(t, f, first, second, unsaid)
		got, err := f.Proved(t.Context(), 20)
		require.NoError(t, err)
		require.Equal(t, Counted{Passes: 6, Proved: 2, NotProved: 3, NotKnown: 1, Share: new(0.4)}, got.Counted)
		require.Len(t, got.Procedures, 2)
		p := got.Procedures[0]
		require.Equal(t, []Bar{
			{Kind: "findings", Passes: 2, Place: Place{"made-000002.arctally", second.State.Head, new(2), "#/record/made-000002/pass/2", new(true)}},
			{Kind: "skew", Passes: 2, Place: Place{"made-000001.arctally", first.State.Head, new(1), "#/record/made-000001/pass/1", new(true)}},
		}, p.Bars)
		require.Nil(t, got.Procedures[1].Share)
		// the first goes on, and only one pass is barred by then
		later := wentOn(first, 12)
		later.Proof = notProved(madeJob(1, 0.3, 0.3, 0.3), 1, "skew").Proof
		take(t, f, later)
		got, err = f.Proved(t.Context(), 20)
		require.NoError(t, err)
		require.Equal(t, Counted{Passes: 6, Proved: 3, NotProved: 2, NotKnown: 1, Share: new(0.6)}, got.Counted)
		require.Equal(t, int64(1), got.Procedures[0].Bars[0].Passes)
		require.Equal(t, later.State.Head, got.Procedures[0].Bars[1].Digest)
		require.Equal(t, 1, count(t, f, "SELECT count(*) FROM passes WHERE proved IS NULL"))
		require.Equal(t, 2, count(t, f, "SELECT count(*) FROM barred"), "of the newest states alone")
	})
}

func TestOpen(t *testing.T) {
	engines(t, func(t *testing.T, address string) {
		f := open(t, address)
		r := withEvent(withEvent(madeJob(2, 0.3, 0.3), 2, "loss of gas"), 1, "arc lost")
		other := withEvent(madeJob(1, 0.3), 1, "arc lost")
		take(t, f, r, other)
		got, err := f.Open(t.Context(), 2)
		require.NoError(t, err)
		require.Equal(t, int64(3), got.InAll)
		require.Equal(t, []CauseOpen{{"arc lost", 2}, {"loss of gas", 1}}, got.Causes)
		require.Len(t, got.Events, 2)
		require.Equal(t, "#/record/made-000001/pass/1", got.Events[0].Review)
		require.InDelta(t, 2.1, *got.Events[0].Depth, 1e-12)
		require.Equal(t, "#/record/made-000002/pass/1", got.Events[1].Review, "it began first")
		// somebody decides on one of them
		later := wentOn(r, 11)
		later.Causes = append([]sheet.EventRow(nil), r.Causes...)
		later.Causes[1].State, later.Causes[1].Open = "accepted", 0
		later.Findings = append([]sheet.FindingRow(nil), r.Findings...)
		later.Findings[1].State, later.Findings[1].Disposition = "accepted", &sheet.DispositionRow{
			Entry: 2, At: "2026-03-03T10:00:00.000000Z", By: "Inspector 1", Method: "visual", Result: "no indication", Decision: "accept",
			History: []sheet.DispositionRow{{Entry: 1, At: "2026-03-03T09:00:00.000000Z", By: "Inspector 1", Decision: "keep open"}},
		}
		require.Equal(t, []Outcome{WentOn}, take(t, f, later))
		got, err = f.Open(t.Context(), 20)
		require.NoError(t, err)
		require.Equal(t, []CauseOpen{{"arc lost", 1}, {"loss of gas", 1}}, got.Causes)
		require.Len(t, got.Events, 2)
		require.Equal(t, later.State.Head, got.Events[1].Digest)
		require.Equal(t, 1, count(t, f, "SELECT count(*) FROM fleet_dispositions WHERE stands AND decision = 'accept'"))
		require.Equal(t, 1, count(t, f, "SELECT count(*) FROM fleet_dispositions WHERE NOT stands AND signed_by IS NULL"))
	})
}

// The day on which it is due, a calibration still holds; the newest of a box and channel
// rules, whatever came in first; one of nobody's box hides none of another.
func TestCalibrations(t *testing.T) {
	engines(t, func(t *testing.T, address string) {
		f := open(t, address)
		due := func(n int, box, date, due, certificate string) *Results {
			r := madeJob(n, 0.3)
			c := &r.Calibrations[0]
			c.Box, c.Date, c.Due, c.Certificate = box, date, due, certificate
			return r
		}
		take(
			t, f, due(1, "B-1", "2026-02-01", "2026-05-01", "new"), due(2, "B-1", "2025-02-01", "2026-01-01", "old"), due(3, "B-2", "2025-06-01", "2026-03-02", ""),
			due(4, "B-3", "2025-06-01", "2026-03-01", ""), due(5, "", "2025-06-01", "2026-02-01", ""), due(6, "", "2025-07-01", "2027-02-01", ""), due(7, "B-4", "2025-06-01", "next spring", ""),
		)
		got, err := f.Calibrations(t.Context(), began, 60, 20)
		require.NoError(t, err)
		require.Equal(t, []int64{6, 2, 2, 1}, []int64{got.InAll, got.Overdue, got.RunOut, got.NoDay})
		var days []int
		var boxes []string
		for _, c := range got.Calibrated {
			days = append(days, c.Days)
			if c.Box != nil {
				boxes = append(boxes, *c.Box)
			}
		}
		require.Equal(t, []int{-29, -1, 0, 60}, days)
		require.Equal(t, []string{"B-3", "B-2", "B-1"}, boxes)
		require.Equal(t, "new", *got.Calibrated[3].Certificate)
		require.Equal(t, "#/record/made-000001", got.Calibrated[3].Review)
		got, err = f.Calibrations(t.Context(), began, 59, 20)
		require.NoError(t, err)
		require.Equal(t, int64(1), got.RunOut)
		// a certificate is one holder, whoever had it taken over, and what is not known of it is NULL
		later := due(8, "", "2026-01-20", "2026-03-20", "C-7")
		later.Calibrations[0].Relative = 0
		take(t, f, due(9, "", "2026-01-10", "2026-02-20", "C-7"), later)
		got, err = f.Calibrations(t.Context(), began, 60, 20)
		require.NoError(t, err)
		require.Equal(t, []int64{7, 2, 3}, []int64{got.InAll, got.Overdue, got.RunOut})
		require.Equal(t, 1, count(t, f, "SELECT count(*) FROM fleet_calibrations WHERE relative_standard_uncertainty IS NULL"))
		// a record goes on with another calibration: the one before it is asked for no more
		more := wentOn(due(5, "", "2026-03-01", "2027-03-01", "C-9"), 11)
		require.Equal(t, []Outcome{WentOn}, take(t, f, more))
		got, err = f.Calibrations(t.Context(), began, 60, 20)
		require.NoError(t, err)
		require.Equal(t, []int64{7, 1}, []int64{got.InAll, got.Overdue})
	})
}

func TestSince(t *testing.T) {
	engines(t, func(t *testing.T, address string) {
		f := open(t, address)
		r := withEvent(madeJob(1, 0.3), 1, "arc lost")
		_, err := f.TakeIn(t.Context(), []*Results{r, madeJob(2, 0.3)}, began)
		require.NoError(t, err)
		later := wentOn(r, 11)
		later.Causes = nil
		_, err = f.TakeIn(t.Context(), []*Results{later}, began.Add(time.Hour))
		require.NoError(t, err)
		got, err := f.Since(t.Context(), began.Add(time.Hour), 20)
		require.NoError(t, err)
		require.Equal(t, int64(1), got.InAll)
		c := got.States[0]
		require.Equal(t, WentOn, c.Outcome)
		require.Equal(t, StateCounts{later.State.Head, 1, new(1), 0}, c.Now)
		require.Equal(t, StateCounts{r.State.Head, 1, new(1), 1}, *c.Before)
		require.Equal(t, "#/record/made-000001", c.Review)
		got, err = f.Since(t.Context(), began, 2)
		require.NoError(t, err)
		require.Equal(t, int64(3), got.InAll)
		require.Len(t, got.States, 2)
		require.Nil(t, got.States[1].Before)
		require.Equal(t, New, got.States[1].Outcome)
	})
}

// Whatever is asked, a record of which a virtual box said some is told from one of an arc, and both from one that does not say.
func TestPlace_simulated(t *testing.T) {
	engines(t, func(t *testing.T, address string) {
		f := open(t, address)
		marks := map[string]string{"simulated": " (simulated)", "of an arc": "", "does not say": ""}
		for n, simulated := range []*bool{new(true), new(false), nil} {
			one := withEvent(notProved(madeJob(n, 0.3), 1, []string{"of an arc", "simulated", "does not say"}[n]), 1, "arc lost")
			one.Simulated, one.Record = simulated, []string{"simulated", "of an arc", "does not say"}[n]
			one.ArcBox, one.Calibrations[0].Box = one.Record, one.Record
			take(t, f, one)
		}
		charts, err := f.Charts(t.Context(), HeatInput, ByProcedure, 20)
		require.NoError(t, err)
		proved, err := f.Proved(t.Context(), 20)
		require.NoError(t, err)
		waiting, err := f.Open(t.Context(), 20)
		require.NoError(t, err)
		due, err := f.Calibrations(t.Context(), began, 1000, 20)
		require.NoError(t, err)
		changes, err := f.Since(t.Context(), time.Time{}, 20)
		require.NoError(t, err)
		var places []Place
		for _, d := range charts.Charts[0].Newest {
			places = append(places, d.Place)
		}
		for _, b := range proved.Procedures[0].Bars {
			places = append(places, b.Place)
		}
		for _, e := range waiting.Events {
			places = append(places, e.Place)
		}
		for _, c := range due.Calibrated {
			places = append(places, c.Place)
		}
		for _, c := range changes.States {
			places = append(places, c.Place)
		}
		require.Len(t, places, 15)
		for _, p := range places {
			require.Equal(t, marks[p.Record], p.Mark(), p.Record)
			require.Equal(t, p.Record != "does not say", p.Simulated != nil, p.Record)
		}
	})
}

// A mean and its limits are never told alike, nor a job that lies outside like the limit that it passed; what is the same
// is told as the same.
func TestChart_Decimals(t *testing.T) {
	c := Chart{Mean: new(0.31574), Low: new(0.31530), High: new(0.31618)}
	require.Equal(t, 4, c.Decimals())
	require.Equal(t, 4, c.DecimalsOf(&Dot{Value: 0.31619}), "it is not outside")
	require.Equal(t, 5, c.DecimalsOf(&Dot{Value: 0.31619, Outside: true}))
	require.Equal(t, 3, (&Chart{Mean: new(0.5), Low: new(0.4), High: new(0.6)}).Decimals())
	require.Equal(t, 3, (&Chart{Mean: new(0.31574)}).Decimals(), "no limits")
	require.Equal(t, 3, (&Chart{Mean: new(0.5), Low: new(0.5), High: new(0.5)}).Decimals())
	require.Equal(t, 7, (&Chart{Mean: new(0.5), Low: new(0.5 - 1e-12), High: new(0.5)}).Decimals(), "no more than people read")
}
