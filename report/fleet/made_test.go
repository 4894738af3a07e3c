//go:build unix

package fleet

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/report/sheet"
)

// All results in these tests are made, and say so by the names of their records.

var began = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

func digestOf(of ...any) string { return fmt.Sprintf("%064x", uint64(id(of...))) }

// madeJob makes the results of a job number n with passes whose heat input is as given, in kJ/mm.
func madeJob(n int, heat ...float64) *Results {
	r := &Results{
		Record: fmt.Sprintf("made-%06d.arctally", n), Job: fmt.Sprintf("Made job %d", n), Procedure: "MADE-1 rev 2", Definition: "EN 1011-1", Rule: "guard band",
		Simulated: new(true), ArcBox: "B-0001",
		Calibrations: []calib.Calibration{{Channel: "voltage", Gain: 1, Relative: 0.01, Date: "2026-01-05", Due: "2026-12-24", Box: "B-0001", Certificate: "C-1"}},
		Sources:      []Source{{Name: "made box", Serial: "B-0001", Link: "binary"}},
	}
	r.State.Head, r.State.Begins, r.State.Groups = digestOf("head", n), digestOf("begins", n), new(int64(10))
	start := began.Add(time.Duration(n) * time.Hour)
	r.State.Created = sheet.Timestamp(start.Add(-time.Minute))
	r.People.Operator = "Operator 1"
	r.Window.Low, r.Window.High = new(0.25), new(0.55)
	for k, q := range heat {
		at := start.Add(time.Duration(k) * 10 * time.Minute)
		r.Passes = append(r.Passes, sheet.PassRow{
			Number: k + 1, Layer: new(1 + k/2), Pattern: new("helix"), Start: new(sheet.Timestamp(at)), End: new(sheet.Timestamp(at.Add(9 * time.Minute))),
			Elapsed: new(540.0), ArcTime: new(486.0), ArcOnRatio: new(0.9), VoltageMean: new(17.5), CurrentMean: new(140.0), Energy: new(1.19e6),
			Travel: new(3000.0), TravelSpeed: new(360.0), ArcEnergy: new(q / 0.8), HeatInput: new(q), ExpandedUncertainty: new(0.014), Verdict: new("within"),
		})
		r.Proof = append(r.Proof, Proof{Pass: k + 1, Proved: true})
	}
	return r
}

// wentOn is the same record some groups later.
func wentOn(r *Results, groups int64) *Results {
	more := *r
	more.State.Head, more.State.Groups = digestOf("later", r.State.Head, groups), &groups
	return &more
}

// withEvent gives a job an open event in a pass.
func withEvent(r *Results, pass int, cause string) *Results {
	start := r.Passes[pass-1].Start
	n := len(r.Causes) + 1
	r.Findings = append(r.Findings, sheet.FindingRow{
		Number: n, Event: n, Rule: "arc out", Pass: pass, Angle: new(250.0), Depth: new(2.1), Start: start, Duration: new(2.0), Worst: new(2.0), Limit: new(0.3),
		Unit: "s", Sentence: "arc out for 2.0 s", State: "open",
	})
	r.Causes = append(r.Causes, sheet.EventRow{
		Number: n, Cause: cause, Findings: []int{n}, Lead: n, Passes: []int{pass}, Layer: new(1), Angle: new(250.0), Depth: new(2.1), Start: start,
		Sentence: "arc lost", State: "open", Open: 1,
	})
	return r
}

// notProved bars a pass.
func notProved(r *Results, pass int, kinds ...string) *Results {
	r.Proof[pass-1] = Proof{Pass: pass, Barred: kinds}
	return r
}

func take(t *testing.T, f *Fleet, all ...*Results) (outcomes []Outcome) {
	t.Helper()
	done, err := f.TakeIn(t.Context(), all, began)
	require.NoError(t, err)
	for _, d := range done {
		outcomes = append(outcomes, d.Outcome)
	}
	return outcomes
}

// madeFleet makes jobs of some passes each, by boxes, operators, procedures and layers as a
// company may have them; it hands them out in the order of time.
func madeFleet(jobs, passes int, take func(*Results)) {
	random := rand.New(rand.NewPCG(7, uint64(jobs)))
	for n := range jobs {
		heat := make([]float64, passes)
		for k := range heat {
			heat[k] = 0.4 + 0.01*random.NormFloat64()
		}
		r := madeJob(n, heat...)
		r.Procedure = fmt.Sprintf("MADE-%d", n%12)
		r.ArcBox = fmt.Sprintf("B-%04d", random.IntN(max(jobs/10, 4)))
		r.People.Operator = fmt.Sprintf("Operator %d", random.IntN(max(jobs/50, 3)))
		r.Calibrations[0].Box, r.Calibrations[0].Due = r.ArcBox, began.AddDate(0, 0, random.IntN(700)).Format(time.DateOnly)
		for k := range r.Passes {
			r.Passes[k].ArcOnRatio = new(0.9 + 0.005*random.NormFloat64())
			if random.IntN(3) == 0 {
				notProved(r, k+1, []string{"no-calibration", "findings", "skew"}[:1+random.IntN(3)]...)
			}
			if random.IntN(25) == 0 {
				withEvent(r, k+1, []string{"arc lost", "loss of gas", "slip of the wire"}[random.IntN(3)])
			}
		}
		take(r)
	}
}

// count asks for one number.
func count(t *testing.T, f *Fleet, query string) (n int) {
	t.Helper()
	require.NoError(t, f.db.QueryRowContext(context.Background(), f.sql(query)).Scan(&n), strings.TrimSpace(query))
	return n
}
