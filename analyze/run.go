package analyze

import (
	"fmt"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/byangle"
	"arctally/analyze/finding"
	"arctally/analyze/note"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// Run is one analysis under way. Source, Block and Event take what a recorder
// or a record hands out, in any division into blocks. It keeps no more than the
// last half second of samples and the results.
type Run struct {
	job      *procedure.Job
	eras     []era // by the place from which they hold; there is always one
	source   series.Source
	lanes    lanes
	epoch    int
	done     int64 // latest tick that was handed on
	late     int64 // turn counts that came too late
	splitter *pass.Splitter
	watch    *finding.Watch
	unrolled *unrolled
	byAngle  *byangle.Watch
	passes   []pass.Pass
	events   []series.Event
	flagged  bool // the source has an arc flag
	watched  watched
}

// slowChannel is what becomes of the readings of a slow channel.
type slowChannel struct {
	use  func(r *Run, tick int64, value float64)
	toSI func(value float64) float64
}

// New returns an analysis of a job whose procedure is filled in, with the
// calibrations in force from the beginning; those of the job stand in where
// there is none. Calibrate adds those that came later.
func New(job *procedure.Job, calibrations []calib.Calibration) *Run {
	r := &Run{job: job, eras: []era{begun(calib.InForce(job.Instruments, calibrations...))}, watch: finding.NewWatch(job), done: minTick}
	r.unrolled = r.unroll()
	r.byAngle = byangle.NewWatch(job, r.swept)
	r.splitter = pass.NewSplitter(job, r.doubtAt(pass.Moment{}), keeper{pass.Listeners{r.byAngle, r.watch, r.unrolled, &r.watched.trail}, r})
	r.splitter.DoubtBy(r.doubtAt)
	r.watch.Follow(r.splitter)
	r.unrolled.Follow(r.splitter)
	return r
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
	r.drain(maxTick) // what has come was said by the source before
	r.source = s
	if err := r.describe(); err != nil {
		return err
	}
	r.splitter.Source(s)
	return nil
}

// slowUse tells what becomes of a slow channel, by its name.
func slowUse(c series.Channel, line calib.Line) (slowChannel, error) {
	corrected := line.Of
	var s slowChannel
	var err error
	switch c.Name {
	case "wire_speed":
		s.use = func(r *Run, tick int64, v float64) {
			r.splitter.WireSpeed(v)
			r.watch.Wire(tick, v)
			r.unrolled.WireSpeed(v)
			r.byAngle.WireSpeed(v)
			r.watched.wire = reading{tick, v, true}
		}
		s.toSI, err = converter[quantity.MetresPerSecond](c.Unit, corrected)
	case "wire_length":
		s.use = func(r *Run, _ int64, v float64) { r.splitter.WireLength(v) }
		s.toSI, err = converter[quantity.Metres](c.Unit, corrected)
	case "gas_flow":
		s.use = func(r *Run, tick int64, v float64) {
			r.watch.Gas(tick, v)
			r.watched.gas = reading{tick, v, true}
		}
		s.toSI, err = converter[quantity.CubicMetresPerSecond](c.Unit, corrected)
	case "temperature":
		s.use = func(r *Run, tick int64, v float64) {
			r.watch.Temperature(quantity.Celsius(v))
			r.watched.temperature = reading{tick, v, true}
		}
		s.toSI, err = converter[quantity.Celsius](c.Unit, corrected)
	}
	if err != nil {
		return s, fmt.Errorf("channel %q: %w", c.Name, err)
	}
	return s, nil
}

// converter returns the way from a channel's unit to SI, after correction.
func converter[Q quantity.Quantity](unit string, corrected func(float64) float64) (func(float64) float64, error) {
	if _, err := quantity.Parse[Q]("1 " + unit); err != nil {
		return nil, err
	}
	return func(v float64) float64 { return float64(quantity.Of[Q](corrected(v), unit)) }, nil
}

// Block takes samples; it copies what it keeps.
func (r *Run) Block(b *series.Block) error {
	if r.source.Channels == nil {
		return fmt.Errorf("samples of epoch %d came before their source", b.Epoch)
	}
	if b.Epoch != r.epoch {
		r.newEpoch(b.Epoch)
	}
	switch b.Kind {
	case series.Arc:
		r.pushArc(b)
	case series.Sums:
		r.pushSums(b)
	case series.Slow:
		r.pushSlow(b)
	case series.Turn:
		r.pushTurns(b)
	}
	if r.lanes.any {
		r.drain(r.lanes.newest - lag)
	}
	return nil
}

func (r *Run) newEpoch(epoch int) {
	r.drain(maxTick)
	r.before(maxTick)
	r.splitter.Epoch(epoch)
	r.epoch, r.done = epoch, minTick
	r.lanes.any = false
	r.watched.wire, r.watched.gas, r.watched.temperature = reading{}, reading{}, reading{}
}

// Event takes what happened to the measurement itself.
//
// What a person typed in must come before the samples at whose time it holds,
// however late it was typed: while a record is made, at any tick after the Moment
// of Standing.
func (r *Run) Event(e series.Event) error {
	if n, ok := note.Parse(e); ok {
		r.watch.Note(n)
		if n.EndOfPass {
			r.splitter.EndBy(n.By, pass.Moment{Epoch: n.Epoch, Tick: n.Tick})
		}
		return nil
	}
	r.events = append(r.events, e)
	return nil
}

// Finish takes everything for complete and returns the result.
func (r *Run) Finish() Result {
	r.drain(maxTick)
	r.before(maxTick)
	r.splitter.Finish()
	r.byAngle.Finish()
	return r.Result()
}

// Result returns the passes that are complete so far, their findings, and the
// warnings.
func (r *Run) Result() Result {
	return Result{Passes: r.passes, Findings: r.watch.Found(), Warnings: r.warnings(), Map: r.wallMap(), Profiles: r.unrolled.profiles.Profiles(), Sweeps: r.byAngle.Sweeps(), Melting: r.watch.Melting(), Charts: r.watch.PassCharts(), Notes: r.watch.Notes()}
}
