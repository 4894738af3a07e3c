package analyze

import (
	"fmt"
	"slices"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/byangle"
	"arctally/analyze/event"
	"arctally/analyze/finding"
	"arctally/analyze/note"
	"arctally/analyze/now"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
)

// Run is one analysis under way. Source, Block and Event take what a recorder
// or a record hands out, in any division into blocks. It keeps no more than the
// last half second of samples and the results.
type Run struct {
	job         *procedure.Job
	instruments instruments
	sound       sound
	order       order
	next        *series.Source // announced, and not heard yet
	epoch       int
	splitter    *pass.Splitter
	judge       *finding.Watch
	byPiece     *byPiece
	byAngle     *byangle.Watch
	now         *now.Watch
	passes      []pass.Pass
	said        []rotation.Said // that it began with
	indexes     []int           // epochs in which the torch stood at the mark
	events      []series.Event
	warned      warned
	companions  companions
	tape        *taping // nil is none
}

// New returns an analysis of a job whose procedure is filled in, with the
// calibrations in force from the beginning; those of the job stand in where
// there is none. Calibrate adds those that came later.
func New(job *procedure.Job, calibrations []calib.Calibration) *Run {
	r := &Run{job: job, judge: finding.NewWatch(job), byPiece: newByPiece(job)}
	r.instruments = newInstruments(calib.InForce(job.Instruments, calibrations...), r.slowChannel)
	r.byAngle = byangle.NewWatch(job, r.swept)
	r.now = now.NewWatch(job, r.judge, r.byPiece.mapper)
	r.splitter = pass.NewSplitter(job, r.instruments.doubtAt(pass.Moment{}), keeper{pass.Listeners{r.byAngle, r.judge, r.byPiece, r.now}, r})
	r.splitter.DoubtBy(r.instruments.doubtAt)
	r.order = order{instruments: &r.instruments, taker: r.splitter, done: minTick}
	r.splitter.WhileOut(r.judge.Idle)
	r.judge.Follow(r.splitter)
	r.byPiece.Follow(r.splitter)
	r.now.Follow(r.splitter)
	return r
}

// NewAhead returns an analysis for who looks on: it waits for nothing. Where the torch
// was is carried on from the last count, and set right as the next one comes; New
// gives the results that stay.
func NewAhead(job *procedure.Job, calibrations []calib.Calibration) *Run {
	r := New(job, calibrations)
	r.order.ahead = true
	r.splitter.LookAhead()
	r.byPiece.trail.Follow(r.splitter)
	return r
}

// PutAway has the means that are held against the limits handed to away, sheet by sheet: a
// long job has a million. The result then has the rest, which fill no sheet. It is to be
// said before anything is judged; away copies what it keeps.
func (r *Run) PutAway(away func(sheet []finding.JudgedMeans)) { r.judge.PutAway(away) }

// Heard returns what persons said of where the torch stood, with what was counted then.
// Where that, or a count at the reference mark, came too late for passes for which it
// holds, late is set: an analysis that begins with it and with those counts must judge
// them anew.
func (r *Run) Heard() (said []rotation.Said, late bool) { return r.splitter.Heard() }

// Begin begins with what an earlier analysis of the same samples has heard.
func (r *Run) Begin(heard []rotation.Said) {
	r.tape.value(beginsWith, &heard)
	r.said = heard
	for _, s := range heard {
		r.splitter.Say(s)
	}
}

// say takes where a person said that the torch stood, unless that is known.
func (r *Run) say(n note.Note) {
	for _, s := range r.said {
		if s.Epoch == n.Epoch && s.Tick == n.Tick && s.By == n.By {
			return
		}
	}
	r.splitter.Say(rotation.Said{Epoch: n.Epoch, Tick: n.Tick, Angle: *n.TorchAt, By: n.By})
}

// keeper keeps the passes with what the listeners before it made of them.
type keeper struct {
	pass.Listeners
	run *Run
}

// End implements pass.Listener.
func (k keeper) End(p *pass.Pass) {
	k.Listeners.End(p)
	k.run.passes = append(k.run.passes, *p)
}

// Source tells who speaks from here on. The first two channels must be voltage
// and current.
func (r *Run) Source(s series.Source) error {
	if len(s.Channels) < 2 {
		return fmt.Errorf("source %q has %d channels; voltage and current are needed", s.Name, len(s.Channels))
	}
	if !r.companions.alone(s) {
		r.order.drain(maxTick) // what has come was said by the source before
	}
	s.Channels = slices.Clone(s.Channels)
	r.next = &s
	return nil
}

// begin has the source that was announced speak, from its first block on: a pass that
// ends with the clock before it has nothing to do with it.
func (r *Run) begin(b *series.Block) {
	if r.next == nil || b.Len() == 0 {
		return
	}
	s := r.sound.speaks(*r.next)
	r.next = nil
	r.speaks(spoken{s, r.order.past(b.Epoch), pass.Moment{Epoch: b.Epoch, Tick: firstOf(b)}})
}

// speaks takes who speaks from here on.
func (r *Run) speaks(s spoken) {
	r.tape.value(speaksNow, &s)
	r.instruments.speaks(s.source, s.from, s.heard)
	r.splitter.Source(s.source)
	r.splitter.DoubtAlso(r.instruments.doubt())
	r.companions.spoke(s.source)
	r.apart()
}

// firstOf is the tick of the first sample of a block, which may have too few of them.
func firstOf(b *series.Block) int64 {
	if b.Ticks != nil && len(b.Ticks) == 0 {
		return b.Tick
	}
	return b.At(0)
}

// Block takes samples; it copies what it keeps.
func (r *Run) Block(b *series.Block) error {
	if r.instruments.source.Channels == nil && r.next == nil {
		return fmt.Errorf("samples of epoch %d came before their source", b.Epoch)
	}
	switch {
	case b.Epoch < r.epoch:
		r.sound.leave(int64(b.Len()), "samples of an epoch came after the next one had begun: they are not used")
		return nil
	case b.Epoch > r.epoch:
		r.newEpoch(b.Epoch)
	}
	r.begin(b)
	if whole := r.sound.block(b); whole != nil {
		r.order.block(whole)
	} else if b.Kind == series.Arc {
		r.order.missed = true
	}
	return nil
}

func (r *Run) newEpoch(epoch int) {
	r.order.newEpoch()
	r.beginEpoch(epoch)
}

// beginEpoch begins an epoch when all of the one before has been handed on.
func (r *Run) beginEpoch(epoch int) {
	r.tape.number(anotherEpoch, countTicks, int64(epoch))
	r.splitter.Epoch(epoch)
	r.now.Epoch()
	r.epoch = epoch
}

// Event takes what happened to the measurement itself.
//
// What a person typed in must come before the samples at whose time it holds,
// however late it was typed: while a record is made, at any tick after the Moment
// of Now.
func (r *Run) Event(e series.Event) error {
	r.tape.value(happens, &e)
	if n, ok := note.Parse(e); ok {
		r.judge.Note(n)
		if n.EndOfPass {
			r.splitter.EndBy(n.By, pass.Moment{Epoch: n.Epoch, Tick: n.Tick})
		}
		if n.TorchAt != nil {
			r.say(n)
		}
		return nil
	}
	if e.Kind == series.AnotherBox {
		return nil // told by what the sources say of themselves
	}
	if e.Kind == series.Index {
		r.splitter.Index(pass.Moment{Epoch: e.Epoch, Tick: e.Tick}, e.Count)
		slipped := slices.Contains(r.indexes, e.Epoch)
		if r.indexes = append(r.indexes, e.Epoch); !slipped {
			return nil
		}
	}
	switch e.Kind {
	case series.Offset:
		if e.Box > 0 {
			r.companions.took(e)
			r.apart()
		}
		return nil
	case series.ClockRate:
		r.splitter.ClockSeen(e.Epoch, float64(e.Count)*1e-6)
	case series.CountsAnew:
		r.splitter.CountsAnew(e.Tick)
	}
	r.events = append(r.events, e)
	return nil
}

// swept files what a sweep shows. Its last pass may be complete already.
func (r *Run) swept(s byangle.Sweep) {
	late := r.judge.Swept(s)
	for k := range r.passes {
		if r.passes[k].Number == s.Last {
			r.passes[k].Findings += late
		}
	}
}

// Finish takes everything for complete and returns the result.
func (r *Run) Finish() Result {
	r.order.drainAll()
	r.end()
	if r.tape != nil {
		r.tape.end(r)
	}
	return r.Result()
}

// end ends what is open when all has been handed on.
func (r *Run) end() {
	if r.tape != nil {
		r.tape.Mark(finishes)
	}
	r.splitter.Finish()
	r.byAngle.Finish()
}

// Result returns the passes that are complete so far, their findings, and the
// warnings.
func (r *Run) Result() Result {
	result := Result{
		Passes: r.passes, Findings: r.judge.Found(), Events: event.Group(r.judge.Found()), Warnings: r.warnings(), Map: r.wallMap(),
		Profiles: r.byPiece.profiles.Profiles(), Sweeps: r.byAngle.Sweeps(), Melting: r.judge.Melting(),
		Charts: r.judge.PassCharts(), Notes: r.judge.Notes(), Judged: r.judge.Judged(),
		Speakers: slices.Clone(r.instruments.speakers),
	}
	_, open := r.splitter.UnderWay()
	for _, what := range result.impossible(open) {
		result.Warnings = append(result.Warnings, Warning{
			Kind: "program-error", Count: 1,
			Text: "program error: " + what + "; nothing of this result is proved: please hand the record to those who make the program",
		})
	}
	return result
}
