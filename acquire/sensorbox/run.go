package sensorbox

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"

	"arctally/acquire/quantity"
)

// listener takes what the box has to say, in the order in which it says it.
// Ticks are in ns of the present epoch. After an error nothing more comes.
type listener interface {
	boot(epoch int, fed float64) error
	hello(tick int64) error
	samples(tick int64, v, i []int16, fed float64) error
	slow(tick int64, channel uint8, value float64) error
	// turns takes counts; the last of them may stand at the mark.
	turns(ticks, counts []int64, atMark bool) error
	// lose says that what comes from now on never arrives.
	lose(lost bool)
}

const (
	stepsPerControl = int(controlTime / stepTime)
	controlNs       = stepNs * int64(stepsPerControl)
)

// run is one laying of a plan.
type run struct {
	plan     Plan
	arc      *arc
	torch    *torch
	ledger   ledger
	meters   *meters
	troubles []trouble
	truth    Truth
	listener listener
	pace     func(since int64) error // waits until the wall clock is there; nil does not
	noise    *rand.Rand

	since      int64 // ns since the first boot
	epoch      int
	epochStart int64
	now        conditions
	silent     bool // the box is down
	nextHello  int64
	way        int     // of the torch in this step; 0 stands
	layerFed   float64 // wire fed before the layer

	sampleEvery int // steps
	untilSample int
	v, i        []int16
	first       int64 // tick of v[0]
}

func newRun(p Plan, l listener, pace func(int64) error) *run {
	r := &run{
		plan: p, torch: newTorch(p), meters: newMeters(p), troubles: troublesOf(p), listener: l, pace: pace,
		arc:         newArc(lawOf(float64(p.WireDiameter)), rand.New(rand.NewPCG(p.Seed, 1)), float64(p.Standoff)),
		noise:       rand.New(rand.NewPCG(p.Seed, 2)),
		sampleEvery: int(math.Round(1 / (float64(p.SampleRate) * stepTime))),
	}
	r.truth.startAngle = p.StartAngle
	r.ledger = ledger{truth: &r.truth, moment: r.moment, hold: int64(float64(p.Hold) * 1e9)}
	// About a hundredth of a second to a frame, and no more than fit in one.
	n := min(max(int(float64(p.SampleRate)/100), 1), 100)
	r.v, r.i = make([]int16, 0, n), make([]int16, 0, n)
	return r
}

func (r *run) moment(since int64) Moment {
	return Moment{Epoch: r.epoch, Tick: since - r.epochStart, Since: since}
}

func (r *run) seconds() float64 { return float64(r.since) / 1e9 }

// all lays the whole plan.
func (r *run) all(ctx context.Context) (Truth, error) {
	if err := r.boot(); err != nil {
		return r.truth, err
	}
	for r.torch.phase != done {
		if err := ctx.Err(); err != nil {
			return r.truth, err
		}
		if err := r.control(); err != nil {
			return r.truth, err
		}
		if err := r.signal(); err != nil {
			return r.truth, err
		}
		if err := r.speak(); err != nil {
			return r.truth, err
		}
		if r.pace != nil {
			if err := r.pace(r.since); err != nil {
				return r.truth, err
			}
		}
	}
	r.truth.End = r.moment(r.since)
	r.truth.keep(r.since, r.torch.direction*r.torch.turnedAll)
	for k := range r.troubles {
		if r.troubles[k].active {
			r.close(&r.troubles[k])
		}
	}
	return r.truth, r.flush()
}

// boot begins an epoch: ticks, counts and sequence start again.
func (r *run) boot() error {
	r.epochStart, r.silent = r.since, false
	r.truth.booted = append(r.truth.booted, r.since)
	r.untilSample, r.v, r.i = 0, r.v[:0], r.i[:0]
	r.meters.boot(r.torch.turnedAll, r.arc.fed, r.since)
	r.nextHello = r.since
	return r.listener.boot(r.epoch, r.arc.fed)
}

// control moves machine and faults on by one control step, and sets the arc's
// surroundings.
func (r *run) control() error {
	t := r.torch
	if err := r.trouble(); err != nil {
		return err
	}
	before, stood := t.turned, t.turnedAll
	began, ended := t.advance(r.seconds(), r.now.rotation, r.ledger.on, r.arc.sourceOn)
	if began {
		r.ledger.begin(t)
	}
	if ended && t.lastOfLayer() {
		t.closeBore((r.arc.fed - r.layerFed) * r.arc.law.area)
		r.layerFed = r.arc.fed
	}
	r.ledger.travel(t, t.turned-before)
	r.follow(stood)
	if t.turnedAll != stood {
		r.meters.turn(stood, t.turnedAll, t.direction, r.since-r.epochStart)
	}
	r.surround()
	return nil
}

// follow keeps the true angle for the truth: where the torch begins to turn, turns
// back and stops, and now and then on its way.
func (r *run) follow(stood float64) {
	way := cmp.Compare(r.torch.turnedAll, stood)
	if way != r.way {
		r.way = way
		r.truth.keep(r.since, r.torch.direction*stood)
	}
	if past := r.since + controlNs; way != 0 && past >= r.truth.kept()+angleEvery {
		r.truth.keep(past, r.torch.direction*r.torch.turnedAll)
	}
}

func (r *run) surround() {
	a, p := r.arc, r.plan
	a.line = float64(p.Voltage) + r.now.volts + sourceSlope*float64(p.Current)
	a.standoff, a.stubbing = r.now.standoff, r.now.stubbing
	a.gasless = 1 - r.now.gas
	if r.now.arcOut && a.contact == burning {
		a.sourceOn = false
	}
	r.torch.drive(a, r.torch.arcWanted() && !r.now.arcOut && !r.now.halted, float64(p.WireSpeed)*r.now.feed)
	flow := 0.0
	if r.torch.gasOn(r.seconds()) {
		flow = quantity.In(p.GasFlow, "L/min") * r.now.gas
	}
	r.meters.follow(flow, a.voltage*a.through)
}

// trouble begins and ends faults and sums up what they do.
func (r *run) trouble() error {
	now := r.seconds()
	r.now = conditions{feed: 1, rotation: 1, gas: 1, stubbing: 1, standoff: float64(r.plan.Standoff)}
	for k := range r.troubles {
		t := &r.troubles[k]
		if t.begins(r.torch) {
			r.beginFault(t, now)
		}
		if t.active && t.Kind == Interruption && !t.goneOn && now >= t.until {
			t.goneOn = true
			r.ledger.goOn(r.torch)
		}
		if t.active && t.ends(r.torch, now, r.ledger.on) {
			if err := r.endFault(t); err != nil {
				return err
			}
		}
		if t.active {
			t.apply(&r.now, r.torch, now)
		}
	}
	r.listener.lose(r.now.lost)
	return nil
}

func (r *run) beginFault(t *trouble, now float64) {
	t.active, t.goneOn, t.doneIn, t.until, t.truth = true, false, r.torch.pass, now+float64(t.Duration), len(r.truth.Faults)
	r.truth.Faults = append(r.truth.Faults, FaultTruth{
		Fault: t.Fault, Pass: len(r.truth.Passes), Start: r.moment(r.since),
		Angle: quantity.Degrees(r.torch.angle()), Depth: quantity.Metres(r.torch.depth()),
	})
	if t.Kind == Reboot {
		r.silent = true
	}
}

func (r *run) endFault(t *trouble) error {
	t.active = false
	if t.Kind == Reboot {
		r.epoch++
		if err := r.boot(); err != nil {
			return err
		}
	}
	r.close(t)
	return nil
}

// close books the end of a fault.
func (r *run) close(t *trouble) {
	f := &r.truth.Faults[t.truth]
	f.End = r.moment(r.since)
	f.Duration = quantity.Seconds(float64(f.End.Since-f.Start.Since) / 1e9)
}

// signal runs the arc for one control step, books the truth and takes samples.
func (r *run) signal() error {
	for range stepsPerControl {
		r.arc.step()
		r.ledger.step(r.arc, r.torch, r.since)
		if r.untilSample == 0 {
			r.untilSample = r.sampleEvery
			if err := r.sample(); err != nil {
				return err
			}
		}
		r.untilSample--
		r.since += stepNs
	}
	return nil
}

// sample takes voltage and current of this very step.
func (r *run) sample() error {
	if r.silent {
		return nil
	}
	if len(r.v) == 0 {
		r.first = r.since - r.epochStart
	}
	bits := r.noise.Uint64()
	v := min(r.arc.voltage, maxVoltage)/voltageScale + scatter(uint32(bits))*voltageNoise
	i := r.arc.through/currentScale + scatter(uint32(bits>>32))*currentNoise
	r.v = append(r.v, int16(math.Round(v)))
	r.i = append(r.i, int16(math.Round(i)))
	if len(r.v) < cap(r.v) {
		return nil
	}
	return r.flush()
}

// scatter turns random bits into the triangular scatter of the converter's last
// digit, from -1 to 1.
func scatter(bits uint32) float64 {
	return float64(int32(bits&0xffff)-int32(bits>>16)) / 0x10000
}

// flush hands over the samples taken so far.
func (r *run) flush() error {
	if len(r.v) == 0 {
		return nil
	}
	err := r.listener.samples(r.first, r.v, r.i, r.arc.fed)
	r.v, r.i = r.v[:0], r.i[:0]
	return err
}

// speak says what is due besides the samples.
func (r *run) speak() error {
	if r.silent {
		return nil
	}
	if r.since > r.nextHello {
		if err := r.hello(); err != nil {
			return err
		}
	}
	gather := int64(float64(r.plan.GatherCounts) * 1e9)
	if len(r.meters.ticks) > 0 && r.since-r.epochStart-r.meters.ticks[0] >= gather-controlNs {
		if err := r.pulses(); err != nil {
			return err
		}
	}
	return r.slow()
}

// hello also gives the turn count, so that who comes late knows the angle, unless
// the box tells changes only.
func (r *run) hello() error {
	tick := r.nextHello - r.epochStart
	r.nextHello += helloEvery
	if err := r.listener.hello(tick); err != nil {
		return err
	}
	if r.plan.OnlyChanges {
		return nil
	}
	r.meters.note(r.since-r.epochStart, r.torch.direction, false)
	return r.pulses()
}

// pulses sends the counts that were gathered. A count at the mark is the last of its
// frame: the flag is that of the frame.
func (r *run) pulses() error {
	m := r.meters
	defer m.sent()
	if r.countsLate() {
		return nil
	}
	from := 0
	for k := range m.ticks {
		atMark := r.plan.IndexFlag && m.marked[k]
		if !atMark && k < len(m.ticks)-1 {
			continue
		}
		if err := r.listener.turns(m.ticks[from:k+1], m.counts[from:k+1], atMark); err != nil {
			return err
		}
		from = k + 1
	}
	return nil
}

// countsLate tells whether the box still keeps its counts to itself.
func (r *run) countsLate() bool {
	late := int64(float64(r.plan.CountsLate) * 1e9)
	return late > 0 && (len(r.truth.Passes) == 0 || len(r.truth.Passes[0].Arcs) == 0 || r.since < r.truth.Passes[0].Start.Since+late)
}

// slow reads the slow sensors that are due.
func (r *run) slow() error {
	m := r.meters
	for k, s := range slowSensors {
		if r.since < m.due[k] {
			continue
		}
		m.due[k] += s.every
		if err := r.listener.slow(r.since-r.epochStart, s.channel, s.read(m, r.arc)); err != nil {
			return err
		}
	}
	return nil
}
