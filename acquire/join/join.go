package join

import (
	"math"
	"slices"
	"time"

	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// patience is how long, of the host's time, what box 0 says waits for a companion.
const patience = int64(15 * time.Second)

// lead is how far, in ns on its own clock, a box is read ahead of what is handed on of
// it where all is known (Past): nothing that it brings is further behind what it brought
// before. Ours; a box may gather counts for 5 s (sensor link).
const lead = int64(30 * time.Second)

// mostWaiting is how many readings of a companion wait for a fit that may not come.
const mostWaiting = 1 << 17

// Join is a sink for what several boxes say, and hands on to another one what one box
// would have said. It is used by one goroutine at a time.
type Join struct {
	to     series.Sink
	baud   func(port string) int
	haste  bool // nothing waits
	all    bool // every fit is known
	late   bool
	boxes  []*box // by number; box 0 is the one that tells the arc
	pieces pieces
	floor  place // of what box 0 says now: after all that it said under another description
	top    place // the highest key of box 0
	spoken int   // epoch of box 0

	handed place          // key of what was handed on last
	merged *series.Source // as it was handed on last
	owner  *box           // whose turn counts are used
	turned thread
	noted  map[string]bool // remarks that were made
	early  map[series.Event]bool
}

// box is what is known of one box.
type box struct {
	number  int
	fits    timeline
	lanes   [lanes]lane
	events  lane // what happened to it: handed on once it has a place
	beats   lane // its fits, until they have a place
	said    []series.Source
	inForce int // number of descriptions that are in force
	index   []int
	past    place // nothing comes any more whose key is lower
	newest  int64 // tick of what came last, but for what came late
	epoch   int
	late    clock.Lateness
	bounded bool          // by round trips
	fast    time.Duration // what its clock gains or loses in the time between two fits
	apart   time.Duration
	lost    int64 // readings and counts without a fit
}

// New returns a join that hands on to a sink. So many boxes are waited for, heard or not;
// baud is the rate of the line on a port, 0 where it is not known.
func New(to series.Sink, boxes int, baud func(port string) int) *Join {
	j := &Join{to: to, baud: baud, floor: nowhere, top: nowhere, handed: nowhere, spoken: math.MinInt, noted: map[string]bool{}, early: map[series.Event]bool{}}
	for k := range max(1, min(boxes, mostBoxes)) {
		j.box(k)
	}
	return j
}

// NewAhead returns a join for who looks on: nothing waits, and what is known later is
// not known.
func NewAhead(to series.Sink, boxes int, baud func(port string) int) *Join {
	j := New(to, boxes, baud)
	j.haste = true
	return j
}

// mostBoxes is what no recording has. Ours.
const mostBoxes = 256

// box is the one with a number.
func (j *Join) box(number int) *box {
	for len(j.boxes) <= number {
		n := len(j.boxes)
		b := &box{
			number: n, lanes: [lanes]lane{newLane(countsAllowed), newLane(slowAllowed), newLane(slowAllowed), newLane(countsAllowed)},
			past: place{math.MinInt, math.MinInt64 + 1}, epoch: math.MinInt,
		}
		b.fits.complete = j.all
		j.boxes = append(j.boxes, b)
	}
	return j.boxes[number]
}

// of is the box with a number that a box can have; nil else.
func (j *Join) of(number int) *box {
	if number < 0 || number >= mostBoxes {
		return nil
	}
	return j.box(number)
}

// Late reports whether something came when what comes after it had been handed on: what
// was made of it does not hold, and the record must be read.
func (j *Join) Late() bool { return j.late }

// Source implements series.Sink.
func (j *Join) Source(s series.Source) error {
	b := j.of(s.Box)
	if b == nil {
		return nil
	}
	s.Channels = slices.Clone(s.Channels)
	b.said = append(b.said, s)
	if b.number == 0 {
		j.floor = later(j.floor, j.top)
		j.pieces.push(nil, len(b.said), j.floor)
		j.floor.tick = plus(j.floor.tick, 1)
	}
	return j.release()
}

// Block implements series.Sink.
func (j *Join) Block(x *series.Block) error {
	b := j.of(x.Box)
	if b == nil || x.Len() == 0 || !inTime(x) {
		return nil
	}
	b.see(j, x.Epoch, x.End())
	switch {
	case x.Kind == series.Slow && len(x.Channel) == len(x.Value):
		for k, v := range x.Value {
			j.push(b, &b.lanes[slow], item{epoch: x.Epoch, tick: x.At(k), what: reading, channel: x.Channel[k], value: v})
		}
	case x.Kind == series.Turn:
		for k, c := range x.Count {
			j.push(b, &b.lanes[turns], item{epoch: x.Epoch, tick: x.At(k), what: count, count: c})
		}
	case b.number == 0 && (x.Kind == series.Sums || len(x.V) == len(x.I)):
		j.pieces.push(x, 0, j.floorOf(x.Epoch))
		j.top = later(j.top, place{x.Epoch, x.End()})
	}
	return j.release()
}

// floorOf is the floor of what box 0 says in an epoch.
func (j *Join) floorOf(epoch int) place {
	if epoch != j.spoken {
		j.spoken = epoch
		j.floor = later(j.floor, place{epoch, math.MinInt64})
	}
	return j.floor
}

// push puts an item into a lane. What is of box 0 has its place.
func (j *Join) push(b *box, l *lane, x item) {
	x.said = len(b.said)
	if b.number == 0 {
		x.placed, x.at = true, place{x.epoch, x.tick}
		x.key = later(later(l.last, j.floorOf(x.epoch)), place{x.epoch, plus(x.tick, l.allowed)})
		l.last = x.key
		j.top = later(j.top, x.key)
	}
	l.push(x)
}

// see takes note of how far a box has come. What is far behind that may be handed on
// elsewhere where all is known.
func (b *box) see(j *Join, epoch int, tick int64) {
	if epoch != b.epoch {
		b.epoch, b.newest = epoch, tick
	}
	if tick < b.newest-lead/3 {
		j.late = true
	}
	b.newest = max(b.newest, tick)
}

// Event implements series.Sink. What happened to box 0 is handed on at once.
func (j *Join) Event(e series.Event) error {
	b := j.of(e.Box)
	if b == nil {
		return nil
	}
	x := item{epoch: e.Epoch, tick: e.Tick, what: event, event: e}
	switch {
	case e.Kind == series.Offset, b.number > 0 && e.Kind == series.ClockRate:
		j.push(b, &b.lanes[news], x)
	case b.number == 0:
		return j.to.Event(e)
	case e.Kind == series.Index:
		if j.early[e] {
			return nil
		}
		j.push(b, &b.lanes[marks], x)
	default:
		j.push(b, &b.events, x)
	}
	return j.release()
}

// Clock takes a fit (acquire.ClockSink).
func (j *Join) Clock(f clock.Fit) error {
	b := j.of(f.Box)
	if b == nil || j.all {
		return nil
	}
	b.fits.add(f)
	if b.number > 0 {
		b.beats.push(item{epoch: f.Epoch, tick: f.Tick})
	} else {
		b.past = later(b.past, place{f.Epoch, f.Tick})
		j.loseWait()
	}
	for _, c := range j.boxes[1:] {
		for h := c.beats.head(); h != nil; h = c.beats.head() {
			at, a := j.placeOf(c, h, false)
			if a == wait {
				break
			}
			if a == known {
				c.past = later(c.past, at)
			}
			c.beats.take()
		}
	}
	return j.release()
}

// loseWait lets nothing of box 0 wait longer than the patience.
func (j *Join) loseWait() {
	own := &j.boxes[0].fits
	at, a := own.place(own.newest-patience, false)
	if a != known {
		return
	}
	for _, c := range j.boxes[1:] {
		c.past = later(c.past, at)
	}
}

// Know says that these are all fits that there are. It comes first; Past says then how
// far the boxes have been read.
func (j *Join) Know(fits []clock.Fit) {
	for _, f := range fits {
		if b := j.of(f.Box); b != nil {
			b.fits.add(f)
		}
	}
	for _, b := range j.boxes {
		b.fits.complete = true
	}
	j.all = true
}

// Early hands on where a companion's counts stood at the reference mark, which holds at
// times before it as well. It comes after Know, and before everything else.
func (j *Join) Early(events []series.Event) error {
	for _, e := range events {
		b := j.of(e.Box)
		if e.Kind != series.Index || b == nil || b.number == 0 || !j.oneThread(b, e.Epoch) {
			continue
		}
		at, a := j.placeOf(b, &item{epoch: e.Epoch, tick: e.Tick}, false)
		if a != known {
			continue
		}
		j.early[e] = true
		e.Epoch, e.Tick, e.Until = at.epoch, at.tick, at.tick
		if err := j.to.Event(e); err != nil {
			return err
		}
	}
	return nil
}

// oneThread reports whether the counts of an epoch of a box are the first of it in an
// epoch of box 0.
func (j *Join) oneThread(b *box, epoch int) bool {
	for k := range b.fits.spans {
		if b.fits.spans[k].epoch != epoch {
			continue
		}
		if k == 0 {
			return true
		}
		before, here := &b.fits.spans[k-1], &b.fits.spans[k]
		last, _ := j.boxes[0].fits.place(before.marks[len(before.marks)-1].wall, true)
		first, _ := j.boxes[0].fits.place(here.marks[0].wall, true)
		return last.epoch != first.epoch
	}
	return false
}

// Wants returns the box that must be read next where all is known: a companion that is
// not far enough ahead of box 0, else box 0. has says which of them have more.
func (j *Join) Wants(has func(number int) bool) int {
	for _, b := range j.boxes[1:] {
		if has(b.number) && b.past.before(j.top) {
			return b.number
		}
	}
	return 0
}

// Past says that a box has been read up to a tick of an epoch.
func (j *Join) Past(number, epoch int, tick int64) error {
	b := j.of(number)
	if b == nil {
		return nil
	}
	at, a := place{epoch, tick - lead/6}, known
	if number > 0 {
		at, a = j.placeOf(b, &item{epoch: epoch, tick: tick - lead}, false)
	}
	if a == known {
		b.past = later(b.past, at)
	}
	return j.release()
}

// End says that a box brings nothing more.
func (j *Join) End(number int) error {
	if b := j.of(number); b != nil {
		b.past = theEnd
	}
	return j.release()
}

// Finish says that nothing comes any more.
func (j *Join) Finish() error {
	for _, b := range j.boxes {
		b.past, b.fits.complete = theEnd, true
	}
	if err := j.release(); err != nil {
		return err
	}
	return j.remains()
}

// placeOf is the place of something of a companion.
func (j *Join) placeOf(b *box, x *item, haste bool) (place, answer) {
	host, a := b.fits.host(x.epoch, x.tick, haste)
	if a != known {
		return place{}, a
	}
	return j.boxes[0].fits.place(host, haste)
}
