// Package live knows what the page of a running recording shows: the words, the
// units and the fields of its state, and the strip of what the source brings.
// Nothing here waits or sends: who records hands in what happens, and takes the
// state out as often as it tells it.
//
// Terms. The board is the state as it is filled in. A margin is how a value
// stands against its limits. The strip is the extremes of short equal stretches
// of time; the roll is what it is cut from.
package live

import (
	"slices"
	"time"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/event"
	"arctally/analyze/finding"
	"arctally/analyze/now"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/report/sheet"
)

// Board is what a page shows of one recording. It turns what the analysis says
// into words and fields; the rest of its state is filled in by who has it.
type Board struct {
	State
	job    *procedure.Job
	whole  results
	latch  latch
	fresh  []finding.Finding // that no alarm tells of yet
	known  map[foundBy]bool  // findings that came before
	out    map[string]int64  // channels outside of which no deviation tells, since a tick
	badly  []*keptAlarm      // of each box the alarm that goes on
	first  int               // epoch with which this recording began
	awaits bool              // an end of the pass is on record, and the pass goes on

	metal  metal
	newest Last // that was known of an arc

	angle     quantity.Degrees // of the torch, when it was last looked at
	backwards bool             // it goes anti-clockwise
}

// NewBoard waits for the first sample of a job; first names it.
func NewBoard(first State, job *procedure.Job) *Board {
	b := &Board{State: first, job: job}
	b.Title = job.Name
	b.Phase = Waiting
	b.describe()
	return b
}

// newest is how many findings a page shows as they come.
const newest = 3

// describe fills in what the job says and no sample changes.
func (b *Board) describe() {
	s, job := &b.State, b.job
	s.Whose.Without = []string{}
	s.Channels, s.Ring, s.Gaps = []Channel{}, []Cell{}, []Gap{}
	s.Deviations, s.LastFindings, s.LastEvents, s.Boxes = []Deviation{}, []Finding{}, []Event{}, []Box{}
	s.Alarms = []Alarm{}
	for _, g := range job.Deposit.Gaps {
		s.Gaps = append(s.Gaps, Gap{From: float64(g.From), To: float64(g.To)})
	}
	if job.Bore.WornDiameter == 0 {
		return
	}
	s.Bore = &Bore{
		Worn: declared(job.Bore.WornDiameter, lengthUnit), Finish: declared(job.Bore.FinishDiameter, lengthUnit),
		WeldTo: declared(job.Bore.WeldToDiameter, lengthUnit), Length: declared(job.Bore.Length, lengthUnit),
		StartAngle: float64(job.Rotation.StartAngle),
	}
}

// results are what a whole result is needed for; they are made anew when there is more.
type results struct {
	passes, found, events int
	arcTime               quantity.Seconds
	last                  *pass.Pass // that has ended
	findings              []Finding
	newestEvents          []Event
	recent                []finding.Finding // of the pass under way and the one before
}

// foundBy tells findings apart, whatever their numbers.
type foundBy struct {
	rule finding.Rule
	pass int
	at   pass.Moment
}

// Begin says with which epoch this recording begins: what is earlier was recorded before.
func (b *Board) Begin(epoch int) { b.first = epoch }

// WantsResult tells whether there is more than when Take last took the whole result.
func (b *Board) WantsResult(s *now.Status) bool {
	return b.whole.findings == nil || s.Passes != b.whole.passes || s.Findings != b.whole.found
}

// Take takes the whole result.
func (b *Board) Take(result analyze.Result) {
	r := &b.whole
	r.passes, r.found, r.events, r.arcTime, r.findings = len(result.Passes), len(result.Findings), len(result.Events), 0, []Finding{}
	for k := range result.Passes {
		r.arcTime += result.Passes[k].ArcTime
	}
	last := result.Findings[max(0, len(result.Findings)-newest):]
	for _, f := range slices.Backward(last) {
		told := Finding{Rule: string(f.Rule), Pass: f.Pass, Sentence: f.Sentence}
		for k := range result.Events {
			if e := &result.Events[k]; slices.Contains(e.Findings, f.Number) {
				told.Event, told.Cause = e.Number, string(e.Cause)
			}
		}
		if f.Place != nil {
			told.Angle, told.Depth = sheet.Known(float64(f.Place.Angle)), sheet.In(&f.Place.Depth, lengthUnit)
		}
		r.findings = append(r.findings, told)
	}
	if n := len(result.Passes); n > 0 {
		last := result.Passes[n-1] // the analysis may still add findings to its own
		r.last = &last
	}
	r.newestEvents = newestEvents(result.Events)
	r.recent = recent(result)
	b.notice(result.Findings)
}

// newestEvents are the events that a page shows.
func newestEvents(events []event.Event) []Event {
	told := []Event{}
	for _, e := range slices.Backward(events[max(0, len(events)-newest):]) {
		row := Event{Number: e.Number, Cause: string(e.Cause), Findings: len(e.Findings), Pass: e.Passes[0], Sentence: e.Sentence}
		if e.Place != nil {
			row.Angle, row.Depth = sheet.Known(float64(e.Place.Angle)), sheet.In(&e.Place.Depth, lengthUnit)
		}
		told = append(told, row)
	}
	return told
}

// recent are the findings that what is laid now may belong to.
func recent(result analyze.Result) []finding.Finding {
	from := len(result.Findings)
	for from > 0 && result.Findings[from-1].Pass >= len(result.Passes) {
		from--
	}
	return result.Findings[from:]
}

// notice keeps the findings that are new, for the alarms. What was found before this
// recording began is in the record, and was shown by the one before.
func (b *Board) notice(findings []finding.Finding) {
	if b.known == nil {
		b.known = map[foundBy]bool{}
	}
	for k := range findings {
		f := &findings[k]
		if by := (foundBy{f.Rule, f.Pass, f.Start}); !b.known[by] {
			b.known[by] = true
			if f.Start.Epoch >= b.first {
				b.fresh = append(b.fresh, *f)
			}
		}
	}
	b.metal.mark(b.fresh)
}

// Show fills in how the arc stands, as a source tells of it, at a time of the host.
func (b *Board) Show(standing *now.Status, ring now.Turn, source *series.Source, at time.Time) {
	s := &b.State
	s.Epoch, s.TickNS = standing.Moment.Epoch, standing.Newest
	s.ArcOn, s.InGap = standing.ArcOn, standing.InGap != nil && *standing.InGap
	s.Steady = sheet.In(standing.Since, "s")
	s.Counts = Counts{Passes: standing.Passes, Findings: standing.Findings, Events: b.whole.events, Warnings: standing.Warnings}
	s.LastFindings, s.LastEvents, s.ArcTime = b.whole.findings, b.whole.newestEvents, float64(b.whole.arcTime)
	if standing.Pass != nil {
		s.ArcTime += float64(standing.Pass.ArcTime)
	}
	s.Channels = channels(standing, source)
	s.Pass, s.Place, s.Next = b.pass(standing), place(standing), next(standing)
	s.Deviations, s.Seen = deviations(standing.Deviations), word(standing.Seen)
	b.turn(s.Place)
	s.Ring = b.ring(ring)
	if s.Bore != nil {
		s.Bore = new(*s.Bore) // the former one is being sent
		s.Bore.Layers = standing.PlannedLayers
	}
	b.remember(standing)
	b.alarm(standing, at)
}

// Touch says that a person has seen alarms, and with more all that are not listed.
func (b *Board) Touch(ids []int64, more bool) {
	b.latch.seen(ids, more)
	b.list()
}

// Stumble takes every value away, since it would be an old one: the program made
// a mistake in looking at what is recorded.
func (b *Board) Stumble(at string) {
	s := &b.State
	b.describe()
	b.latch.rest(ofArc)
	b.list()
	s.Held, s.Last, b.newest = true, nil, Last{}
	s.Ending = nil
	s.At, s.ArcOn, s.InGap, s.Steady, s.Seen = at, false, false, nil, nil
	s.Pass, s.Place, s.Next, s.Raw = nil, nil, nil, nil
	s.Link = Link{
		Port: s.Link.Port, State: LinkDoubtful,
		Words: "the program made a mistake and shows no values any more; the recording goes on",
	}
}
