package main

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/quantity"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/note"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/virtualbox"
	"arctally/testdata/job/demo"
)

// turning is one way in which a torch is turned and counted.
type turning struct {
	name    string
	pattern bore.Pattern
	counts  int
	jog     float64 // turns, before the first strike
	change  func(*sensorbox.Plan)
	off     quantity.Degrees // by which the torch begins elsewhere than the job says
	lossy   bool             // some of the arc is not heard
}

// anchor is what a person or a box says of the angle; nothing is the first strike.
type anchor struct {
	name        string
	index, said bool
}

var anchors = []anchor{{name: "index", index: true}, {name: "said", said: true}, {name: "first strike"}}

// angleJob is a small bore of two layers that is laid in two minutes: a ring takes 20 s.
func angleJob(t *testing.T, pattern bore.Pattern) *procedure.Job {
	t.Helper()
	p, err := jobfile.ReadIn(demo.Files, jobfile.Document)
	require.NoError(t, err)
	job := *p.Job
	job.Bore = bore.Bore{WornDiameter: 40e-3, FinishDiameter: 38e-3, WeldToDiameter: 34e-3, Length: 2 * job.Deposit.Pitch, Axis: "horizontal"}
	job.Deposit.Pattern = pattern
	job.Deposit.Gaps = []bore.Gap{{From: 80, To: 116}, {From: 250, To: 280}}
	job.Rotation.StartAngle = 116
	job.Rotation.Speed = quantity.Of[quantity.TurnsPerSecond](3, "rpm")
	return &job
}

// heard is what a box said, in the order in which a recorder hands it out.
type heard struct {
	source series.Source
	blocks []series.Block
	events []series.Event
	after  []int // blocks before each event
}

func (h *heard) Source(s series.Source) error {
	h.source = s
	return nil
}

func (h *heard) Block(b *series.Block) error {
	h.blocks = append(h.blocks, series.Block{})
	h.blocks[len(h.blocks)-1].CopyFrom(b)
	return nil
}

func (h *heard) Event(e series.Event) error {
	h.events, h.after = append(h.events, e), append(h.after, len(h.blocks))
	return nil
}

// lay has the box lay a job, and records what it says.
func (c turning) lay(t *testing.T, job *procedure.Job) (*heard, sensorbox.Truth) {
	t.Helper()
	laid := virtualbox.Plan(&jobfile.File{Job: job}, 2, nil)
	laid.SampleRate, laid.LayerPause, laid.IndexFlag = 5000, 12, true
	laid.CountsPerTurn, laid.JogBefore = c.counts, c.jog
	laid.StartAngle += c.off
	if c.change != nil {
		c.change(&laid)
	}
	box, err := sensorbox.New(laid)
	require.NoError(t, err)
	var stream bytes.Buffer
	truth, err := box.Write(t.Context(), &stream)
	require.NoError(t, err)
	h := &heard{}
	_, err = acquiretest.Record(t.Context(), &stream, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{h}})
	require.NoError(t, err)
	return h, truth
}

// judge judges what was heard as a review does, which knows from the beginning what
// the record says of the angle.
func (h *heard) judge(t *testing.T, job *procedure.Job, a anchor, said []note.Note) analyze.Result {
	t.Helper()
	run := analyze.New(job, nil)
	if a.said {
		for _, n := range said {
			require.NoError(t, run.Event(n.Event()))
		}
	}
	for _, e := range h.events {
		if a.index && e.Kind == series.Index {
			require.NoError(t, run.Event(e))
		}
	}
	require.NoError(t, run.Source(h.source))
	at := 0
	for k := range h.blocks {
		for ; at < len(h.events) && h.after[at] <= k; at++ {
			if h.events[at].Kind != series.Index {
				require.NoError(t, run.Event(h.events[at]))
			}
		}
		b := h.blocks[k]
		b.AtMark = b.AtMark && a.index
		require.NoError(t, run.Block(&b))
	}
	return run.Finish()
}

// sayings are what a person says before each thread of counts is welded with: half
// a second before the first strike of each epoch, in whole degrees.
func sayings(truth *sensorbox.Truth) (said []note.Note) {
	epoch := -1
	for _, p := range truth.Passes {
		if p.Start.Epoch != epoch {
			epoch = p.Start.Epoch
			angle := quantity.Degrees(math.Mod(math.Round(float64(truth.Angle(p.Start.Since-5e8))), 360))
			said = append(said, note.Note{By: "Operator 1", Epoch: epoch, Tick: p.Start.Tick - 5e8, TorchAt: &angle})
		}
	}
	return said
}

// exact judges the same arc with a counter of 36000 counts that began at the first
// strike and never said anything late: what is known of the metal where the angle is.
func (h *heard) exact(t *testing.T, job *procedure.Job, truth *sensorbox.Truth) analyze.Result {
	t.Helper()
	const perTurn = 36000
	began := *job
	began.Rotation.StartAngle = truth.Passes[0].StartAngle
	run := analyze.New(&began, nil)
	source := h.source
	source.CountsPerTurn = perTurn
	require.NoError(t, run.Source(source))
	strike := truth.Passes[0].Start
	for k := range h.blocks {
		b := h.blocks[k]
		if b.Kind == series.Turn {
			continue
		}
		inOneEpoch(&b, truth.Booted(b.Epoch))
		turns := series.Block{Kind: series.Turn}
		for tick := max(strike.Since, b.At(0)); b.Kind == series.Arc && tick <= b.At(b.Len()-1); tick += 10e6 {
			turns.Ticks = append(turns.Ticks, tick)
			turns.Count = append(turns.Count, int64(math.Round(perTurn*truth.Turned(tick))))
		}
		if len(turns.Ticks) > 0 {
			turns.Tick = turns.Ticks[0]
			require.NoError(t, run.Block(&turns))
		}
		require.NoError(t, run.Block(&b))
	}
	return run.Finish()
}

// inOneEpoch has a block stand on the clock of the first boot.
func inOneEpoch(b *series.Block, booted int64) {
	b.Epoch = 0
	b.Tick += booted
	b.Ticks = slices.Clone(b.Ticks)
	for k := range b.Ticks {
		b.Ticks[k] += booted
	}
}

// angleScore is how far a judgement is from the truth.
type angleScore struct {
	passes, wanted int
	worst          float64 // deg, of the places of passes whose angle is known
	stating        bool    // places state an uncertainty
	beyond         float64 // worst ratio of the error of an angle to its expanded uncertainty
	findings       int     // on an arc with nothing wrong: all of them false
	energy         float64 // worst relative error of a pass
	stock          float64 // mm, error of the least stock
	stated         float64 // mm, its expanded uncertainty
	covered        float64 // share of the cells whose stock is covered
}

// statedAngle returns the expanded uncertainty that a place states of its angle.
func statedAngle(p *bore.Place) (u quantity.Degrees, known bool) {
	return p.AngleUncertainty, p.AngleUncertainty < rotation.NoAngle
}

func scoreOf(got, exact analyze.Result, truth *sensorbox.Truth) angleScore {
	s := angleScore{passes: len(got.Passes), wanted: len(truth.Passes), findings: len(got.Findings)}
	energy := make([]float64, len(truth.Passes))
	since := func(m pass.Moment) int64 { return truth.Booted(m.Epoch) + m.Tick }
	for k := range got.Passes {
		p := &got.Passes[k]
		s.place(p.StartPlace, truth.Angle(since(p.Start)))
		s.place(p.EndPlace, truth.Angle(since(p.End)))
		of := 0
		for of+1 < len(truth.Passes) && truth.Passes[of+1].Start.Since <= since(p.Start)+5e8 {
			of++
		}
		energy[of] += float64(p.Energy)
	}
	for k, p := range truth.Passes {
		s.energy = max(s.energy, math.Abs(energy[k]/float64(p.Energy)-1))
	}
	s.metal(got.Map, exact.Map)
	return s
}

// place holds an angle against the true one, where anything is known of it.
func (s *angleScore) place(p *bore.Place, want quantity.Degrees) {
	if p == nil {
		return
	}
	if u, known := statedAngle(p); known {
		off := angleOff(p.Angle, float64(want), 360)
		s.worst = max(s.worst, off)
		s.stating, s.beyond = true, max(s.beyond, off/float64(u))
	}
}

// metal holds the map against that of exact counts: what the wire, the bore and the
// efficiency may be wrong by is the same in both, so that the angle alone is tried.
func (s *angleScore) metal(got, exact *bore.Map) {
	allowed := got.NewAllowance(bore.DefaultEccentricity)
	clean := got.CleanUp(allowed)
	if clean.Answer == "" { // it says that it cannot tell
		s.covered = 1
		return
	}
	s.stock = 1e3 * float64(clean.Least-exact.CleanUp(allowed).Least)
	s.stated = 1e3 * float64(clean.Expanded)
	cells, covered := 0, 0
	for column := range got.Columns {
		if got.BesideGap(column) {
			continue
		}
		for row := range got.Rows {
			cells++
			if math.Abs(float64(got.Stock(row, column)-exact.Stock(row, column))) <= statedStock(got, row, column, allowed) {
				covered++
			}
		}
	}
	s.covered = float64(covered) / float64(cells)
}

// statedStock finds the expanded uncertainty of a cell's stock by what its answer
// takes for enough: the stock less the allowance must be more than it.
func statedStock(m *bore.Map, row, column int, a bore.Allowance) float64 {
	none, all := 0.0, float64(m.Bore.WornDiameter)
	for range 40 {
		middle := (none + all) / 2
		a.Eccentricity = m.Stock(row, column) - quantity.Metres(middle)
		if m.CellAnswer(row, column, a) == bore.Enough {
			all = middle
		} else {
			none = middle
		}
	}
	return all
}

func (s angleScore) String() string {
	beyond := "-"
	if s.stating {
		beyond = fmt.Sprintf("%.2f", s.beyond)
	}
	return fmt.Sprintf("%3d/%-3d %8.2f %7s %5d %8.4f %7.3f %6.3f %6.1f", s.passes, s.wanted, s.worst, beyond, s.findings, 100*s.energy, s.stock, s.stated, 100*s.covered)
}

// wrong says what is wrong with a score, nothing where all is as it should be.
func (s angleScore) wrong() (reasons []string) {
	for _, of := range []struct {
		reason string
		wrong  bool
	}{
		{"passes", s.passes != s.wanted},
		{"findings", s.findings > 0},
		{"energy", s.energy > 1e-3},
		{"angle", s.beyond > 1.5}, // three standard uncertainties, of some hundred angles
		{"least stock", math.Abs(s.stock) > s.stated},
		{"cells", s.covered < 0.94},
	} {
		if of.wrong {
			reasons = append(reasons, of.reason)
		}
	}
	return reasons
}

var patterns = []bore.Pattern{bore.Helix, bore.Rings, bore.SegmentReversing, bore.SegmentOneWay}

// turnings are those of the campaign: all of them in the long run, and one of each
// habit else.
func turnings(whole bool) (all []turning) {
	for _, counts := range []int{1, 8, 36, 60, 360} {
		for k, pattern := range patterns {
			for _, jog := range []float64{0, 1.3} {
				if whole || (counts < 60 && k < 3 && jog != 0) {
					all = append(all, turning{name: fmt.Sprintf("jogged %g", jog), pattern: pattern, counts: counts, jog: jog})
				}
			}
		}
	}
	return all
}

// habits are what boxes and people do besides.
func habits(whole bool) (all []turning) {
	restart := func(f sensorbox.Fault) func(*sensorbox.Plan) {
		return func(p *sensorbox.Plan) { p.JogBetween, p.Faults = 0.3, []sensorbox.Fault{f} }
	}
	for _, c := range []turning{
		{name: "counts late", change: func(p *sensorbox.Plan) { p.CountsLate = 9 }},
		{name: "gathered", change: func(p *sensorbox.Plan) { p.GatherCounts, p.OnlyChanges = 5, true }},
		{name: "changes only", change: func(p *sensorbox.Plan) { p.OnlyChanges = true }},
		{name: "uneven by 8 %", change: func(p *sensorbox.Plan) { p.Wobble = 0.08 }},
		{name: "jogged between", change: func(p *sensorbox.Plan) { p.JogBetween = -1.4 }},
		{name: "anti-clockwise", change: func(p *sensorbox.Plan) { p.RotationSpeed = -p.RotationSpeed }},
		{name: "begun elsewhere", off: 40},
		{name: "restart between", change: restart(sensorbox.Fault{Kind: sensorbox.Reboot, Pass: 1, After: true, Duration: 2})},
		{name: "restart in a pass", change: restart(sensorbox.Fault{Kind: sensorbox.Reboot, Pass: 2, Turn: 1, From: 200, Duration: 0.5}), lossy: true},
	} {
		for _, counts := range []int{1, 8, 360} {
			if counts == 1 && c.name == "counts late" {
				continue // the mark that is never said is lost: a turn may be missing for ever
			}
			if whole || counts == 8 {
				c.pattern, c.counts, c.jog = bore.Rings, counts, -0.3
				all = append(all, c)
			}
		}
	}
	return all
}

// TestCampaign_Angle turns and counts the torch as people and boxes do, and holds the
// judgement against the truth.
func TestCampaign_Angle(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays many passes")
	}
	whole := os.Getenv("ARCTALLY_CAMPAIGN") != ""
	var table strings.Builder
	fmt.Fprintf(&table, "\n%-16s %-18s %6s %-12s %7s %8s %7s %5s %8s %7s %6s %6s\n",
		"habit", "pattern", "counts", "anchor", "passes", "deg off", "of U", "false", "energy %", "least", "+- mm", "cells %")
	for _, c := range append(turnings(whole), habits(whole)...) {
		job := angleJob(t, c.pattern)
		h, truth := c.lay(t, job)
		exact := h.exact(t, job, &truth)
		for _, a := range anchors {
			if c.off != 0 && !a.index && !a.said {
				continue // the job is wrong, and nobody says so
			}
			s := scoreOf(h.judge(t, job, a, sayings(&truth)), exact, &truth)
			if c.lossy {
				s.energy, s.wanted = 0, s.passes
			}
			fmt.Fprintf(&table, "%-16s %-18s %6d %-12s %s  %s\n", c.name, c.pattern, c.counts, a.name, s, strings.Join(s.wrong(), ", "))
			assert.Empty(t, s.wrong(), "%s, %s, %d counts, %s", c.name, c.pattern, c.counts, a.name)
		}
		assert.Empty(t, exact.Findings, "%s, %s: with exact counts", c.name, c.pattern)
	}
	t.Log(table.String())
}
