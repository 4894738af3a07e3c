package capture

import "time"

const (
	// lookAhead is how many rows a time that stepped back is given to pass its
	// former maximum again. Rows of several writers do so at once; a clock that
	// was set back does not.
	lookAhead = 64
	// mostKept bounds the rows kept back where most of them are unreadable.
	mostKept = 4 * lookAhead
	// mostEpochs is a bound on clocks that are set back; beyond it the rows are
	// in another order altogether.
	mostEpochs = 1000
	// lateBeforeWrap is how late a row may come after the clock has wrapped and
	// still be one of the time before.
	lateBeforeWrap = int64(time.Minute)
	// suspectJump is a step forward in ns after which the next row is asked
	// whether the time went that far; one that is nearer by nearer times to the
	// time before says that it did not.
	suspectJump = int64(time.Second)
	nearer      = 10
)

// order gives each row its epoch and unrolls a clock without date, without
// changing the order of rows. It keeps back at most mostKept rows.
type order struct {
	plan    *plan
	c       consumer
	began   bool
	epoch   int
	latest  int64 // of the epoch
	offset  int64 // ns in whole cycles of the clock
	cycle   int64
	kept    []row
	behind  int  // of kept: rows with a tick
	suspect bool // the first of kept is one whose time may stand out
}

func newOrder(p *plan, c consumer) *order {
	o := &order{plan: p, c: c, kept: make([]row, 0, lookAhead+1)}
	if p.stamps != nil {
		o.cycle = p.stamps.cycle
	}
	return o
}

func (o *order) push(r *row) error {
	if o.cycle > 0 && r.state != unreadable {
		o.unroll(r)
	}
	return o.place(r)
}

func (o *order) place(r *row) error {
	if r.state == unreadable {
		if len(o.kept) == 0 {
			return o.emit(r)
		}
		return o.keep(r)
	}
	if o.suspect {
		return o.judge(r)
	}
	if o.began && len(o.kept) == 0 && r.tick-o.latest > suspectJump {
		o.suspect = true
		o.kept = append(o.kept, *r)
		return nil
	}
	if o.began && (r.tick < o.latest || len(o.kept) > 0 && r.tick == o.latest) {
		o.behind++
		return o.keep(r)
	}
	if err := o.release(); err != nil {
		return err
	}
	o.began, o.latest = true, r.tick
	return o.emit(r)
}

func (o *order) emit(r *row) error {
	r.epoch = o.epoch
	return o.c.row(r)
}

// keep holds a row back; when time does not recover, the clock was set back
// with the first of the rows that were kept.
func (o *order) keep(r *row) error {
	o.kept = append(o.kept, *r)
	if o.behind < lookAhead {
		if len(o.kept) > mostKept {
			return o.release()
		}
		return nil
	}
	if o.epoch++; o.epoch >= mostEpochs {
		return errBackwards(o.plan.name, r.index)
	}
	again := append([]row(nil), o.kept...)
	o.kept, o.behind, o.began = o.kept[:0], 0, false
	for k := range again {
		if err := o.place(&again[k]); err != nil {
			return err
		}
	}
	return nil
}

// judge tells from the row after it whether the suspect's time stands out.
func (o *order) judge(r *row) error {
	first := &o.kept[0]
	if ahead := r.tick - o.latest; ahead >= 0 && ahead < (first.tick-o.latest)/nearer {
		first.fail("the time stands out from the rows around it")
		o.suspect = false
	}
	if err := o.release(); err != nil {
		return err
	}
	return o.place(r)
}

// release lets the kept rows go as part of the same epoch.
func (o *order) release() error {
	if o.suspect {
		o.latest = o.kept[0].tick
	}
	for k := range o.kept {
		if err := o.emit(&o.kept[k]); err != nil {
			return err
		}
	}
	o.kept, o.behind, o.suspect = o.kept[:0], 0, false
	return nil
}

func (o *order) finish() error { return o.release() }

// unroll adds the full hours or days that a clock without date has gone
// through. A step back by three quarters of its cycle or more is a wrap.
func (o *order) unroll(r *row) {
	r.wrapped = false
	if r.tick >= o.cycle {
		o.cycle = 0 // its minutes go beyond 59: it does not wrap
		r.tick += o.offset
		return
	}
	r.tick += o.offset
	if !o.began {
		return
	}
	switch d := r.tick - o.latest; {
	case d <= -o.cycle/4*3:
		o.offset += o.cycle
		r.tick += o.cycle
		r.wrapped = true
	case d > o.cycle/2 && o.offset > 0 && d-o.cycle <= 0 && d-o.cycle > -lateBeforeWrap:
		r.tick -= o.cycle
	}
}
