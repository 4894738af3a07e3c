package analyze

import (
	"math"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/pass"
	"arctally/analyze/rotation"
	"arctally/analyze/tape"
)

// A record that was judged once may be judged by other limits without its samples: what the
// detector told of them is on a tape then, with all else that came to the passes and to those
// who judge them, in the order in which it came.

// The marks of an analysis, behind those of the arc.
const (
	beginsWith tape.Mark = arc.LastMark + 1 + iota
	happens
	speaksNow
	anotherEpoch
	countComes
	turnPassed
	windowComes
	slowRead
	finishes
	wasLeftOut
)

// The columns of an analysis, behind those of the arc.
const (
	countTicks = arc.LastColumn + 1 + iota
	counts
	slowTicks
	slowValues
)

// spoken is who speaks, from where on, and where his first block stands.
type spoken struct {
	source      series.Source
	from, heard pass.Moment
}

// leftOut is what of the samples shows in warnings alone.
type leftOut struct {
	late, beyond, skipped int64
	flagged               bool
	left                  []Warning
}

// taping writes the tape of an analysis. It is the taker of what has been put into its order.
type taping struct {
	tape.Writer
	taker
	arc   *arc.Taped
	grain arc.Grain
	slow  slowPlace
}

// slowPlace is where the readings of slow channels stand on a tape: when the last one of any
// was, and what that of each was.
type slowPlace struct {
	tick int64
	last [len(slowChannels)]float64
}

// Tape has the analysis, which has heard nothing yet, write on a tape what it hears. It must
// not be asked how things stand before it is finished.
func (r *Run) Tape(to tape.Writer) {
	r.tape = &taping{Writer: to, taker: r.splitter, arc: r.splitter.Tape(to)}
	r.splitter.WhileOut(r.judge.Idle)
	r.order.taker, r.order.worth = r.tape, r.tape.worth
}

// value writes something with its value; to no tape nothing is written.
func (t *taping) value(m tape.Mark, of any) {
	if t != nil {
		t.Mark(m)
		t.Value(of)
	}
}

// number writes something with its number.
func (t *taping) number(m tape.Mark, c tape.Column, x int64) {
	if t != nil {
		t.Mark(m)
		t.Number(c, x)
	}
}

// worth says what the codes of a block are worth.
func (t *taping) worth(voltage, current calib.Line, b *series.Block) {
	g := arc.Grain{VScale: voltage.Scale, VOffset: voltage.Offset, IScale: current.Scale, IOffset: current.Offset}
	if b.Ticks == nil {
		g.Step = b.Step
	}
	if g != t.grain {
		t.grain = g
		t.arc.Are(g)
	}
}

// Count implements taker.
func (t *taping) Count(tick, count int64) {
	t.number(countComes, countTicks, tick)
	t.Number(counts, count)
	t.taker.Count(tick, count)
}

// Turn implements taker.
func (t *taping) Turn(tick int64) {
	t.number(turnPassed, countTicks, tick)
	t.taker.Turn(tick)
}

// Window implements taker.
func (t *taping) Window(w arc.Window) {
	t.number(windowComes, slowValues, int64(math.Float64bits(w.Wire)))
	t.taker.Window(w)
}

// read writes the readings of a slow channel before they are taken.
func (t *taping) read(name string, take func(int64, float64)) func(int64, float64) {
	which := slowNumber(name)
	return func(tick int64, value float64) {
		t.number(slowRead, slowTicks, int64(which))
		t.Number(slowTicks, tick-t.slow.tick)
		t.Number(slowValues, int64(math.Float64bits(value)-math.Float64bits(t.slow.last[which])))
		t.slow.tick, t.slow.last[which] = tick, value
		take(tick, value)
	}
}

// end writes what of the samples shows in warnings alone.
func (t *taping) end(r *Run) {
	t.value(wasLeftOut, &leftOut{r.order.late, r.order.beyond, r.splitter.Doubts().Skipped, r.order.flagged, r.sound.left})
}

// Play has the analysis, which has heard nothing yet, judge what is on a tape, and returns the
// result, or why the tape does not fit.
func (r *Run) Play(from tape.Reader) (result Result, err error) {
	p := playing{Run: r, from: from, arc: r.splitter.Play(from)}
	r.splitter.WhileOut(r.judge.Idle)
	err = tape.Playing(func() {
		p.all()
		result = r.Result()
	})
	return result, err
}

// playing plays a tape to an analysis.
type playing struct {
	*Run
	from tape.Reader
	arc  *arc.Player
	slow slowPlace
}

func (p *playing) all() {
	m := p.from.Mark()
	for ; m != wasLeftOut; m = p.from.Mark() {
		p.play(m)
	}
	var l leftOut
	p.from.Value(&l)
	tape.Expect(p.from, tape.End)
	p.order.late, p.order.beyond, p.order.flagged, p.sound.left = l.late, l.beyond, l.flagged, l.left
	p.arc.HadSkipped(l.skipped)
}

// play plays what a mark begins.
func (p *playing) play(m tape.Mark) {
	switch m {
	case beginsWith:
		var heard []rotation.Said
		p.from.Value(&heard)
		p.Begin(heard)
	case happens:
		var e series.Event
		p.from.Value(&e)
		if err := p.Event(e); err != nil {
			tape.Misfit("%v", err)
		}
	case speaksNow:
		var s spoken
		p.from.Value(&s)
		p.speaks(s)
	case anotherEpoch:
		p.beginEpoch(int(p.from.Number(countTicks)))
	case countComes:
		tick := p.from.Number(countTicks)
		p.splitter.Count(tick, p.from.Number(counts))
	case turnPassed:
		p.splitter.Turn(p.from.Number(countTicks))
	case windowComes:
		p.splitter.Window(arc.Window{Wire: math.Float64frombits(uint64(p.from.Number(slowValues)))})
	case slowRead:
		p.read()
	case finishes:
		p.end()
	default:
		p.arc.Play(m)
	}
}

// read takes the reading of a slow channel.
func (p *playing) read() {
	which := p.from.Number(slowTicks)
	if which < 0 || which >= int64(len(slowChannels)) {
		tape.Misfit("there is no slow channel %d", which)
	}
	s := &p.slow
	s.tick += p.from.Number(slowTicks)
	s.last[which] = math.Float64frombits(math.Float64bits(s.last[which]) + uint64(p.from.Number(slowValues)))
	p.slowTaker(slowChannels[which])(s.tick, s.last[which])
}
