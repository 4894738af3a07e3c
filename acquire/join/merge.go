package join

import (
	"arctally/acquire/series"
)

// release hands on what need not wait, in the order of the keys. At one key samples
// come last.
func (j *Join) release() error {
	if err := j.mishaps(); err != nil {
		return err
	}
	for {
		b, l, quiet := j.lowest()
		first := theEnd
		if l != nil {
			first = l.head().key
		}
		p := j.pieces.head()
		var err error
		switch {
		case p != nil && p.key().before(first):
			if !p.key().before(quiet) {
				return nil
			}
			j.went(p.key())
			err = j.handPiece(p, sooner(first, quiet))
		case l != nil && first.before(quiet):
			j.went(first)
			x := *l.head()
			l.take()
			err = j.hand(b, &x)
		default:
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// went takes note of the key of what is handed on.
func (j *Join) went(key place) {
	j.late = j.late || key.before(j.handed)
	j.handed = later(j.handed, key)
}

// lowest finds the lane whose head has the lowest key, nil where none has one, and the
// place before which nothing is still to come.
func (j *Join) lowest() (of *box, lowest *lane, quiet place) {
	quiet = theEnd
	for _, b := range j.boxes {
		for k := range b.lanes {
			l := &b.lanes[k]
			if !j.put(b, l) {
				quiet = sooner(quiet, b.past)
			} else if lowest == nil || l.head().key.before(lowest.head().key) {
				of, lowest = b, l
			}
		}
	}
	if j.pieces.head() == nil {
		quiet = sooner(quiet, j.boxes[0].past)
	}
	if j.haste {
		quiet = theEnd
	}
	return of, lowest, quiet
}

// put gives the head of a lane its place; false where there is none, or it waits for a
// fit.
func (j *Join) put(b *box, l *lane) bool {
	for h := l.head(); h != nil; h = l.head() {
		if h.placed {
			return true
		}
		full := len(l.items)-l.front > mostWaiting
		at, a := j.placeOf(b, h, j.haste || full)
		switch a {
		case known:
			j.late = j.late || full
			l.put(at)
			return true
		case wait:
			return false
		case never:
			b.lost++
			l.take()
		}
	}
	return false
}

// handPiece hands on what comes before a key of what is first of box 0.
func (j *Join) handPiece(p *piece, before place) error {
	if p.said > 0 {
		j.boxes[0].inForce = p.said
		j.pieces.take()
		return j.describe(p.floor)
	}
	n := p.upTo(before)
	if n == p.block.Len() {
		j.pieces.take()
		return j.to.Block(&p.block)
	}
	first := p.cut(n)
	return j.to.Block(&first)
}

// hand hands on one item.
func (j *Join) hand(b *box, x *item) error {
	if b.number > 0 && x.said > b.inForce {
		b.inForce = x.said
		if err := j.describe(x.at); err != nil {
			return err
		}
	}
	if j.merged == nil {
		b.lost++ // nothing can be said before box 0 has said who it is
		return nil
	}
	switch x.what {
	case reading:
		return j.handReading(b, x)
	case count:
		return j.handCount(b, x)
	default:
		return j.handEvent(b, x)
	}
}

func (j *Join) handReading(b *box, x *item) error {
	channel := int(x.channel)
	if b.number > 0 {
		if channel >= len(b.index) || b.index[channel] < 0 {
			return nil
		}
		channel = b.index[channel]
	} else if channel >= len(b.said[b.inForce-1].Channels) {
		return nil // what it does not say that it has is not that of another box
	}
	return j.to.Block(&series.Block{
		Kind: series.Slow, Epoch: x.at.epoch, Tick: x.at.tick,
		Channel: []uint8{uint8(channel)}, Value: []float64{x.value},
	})
}

// thread is how the counts of a companion go on in an epoch of box 0.
type thread struct {
	box   *box
	own   int // epoch of the box
	epoch int // of box 0
	last  int64
	base  int64 // added to what the box counts
}

// follow takes a count of a box, and reports whether it began anew within an epoch of
// box 0: then it goes on from where it was, and nobody knows how far the torch turned
// meanwhile.
func (t *thread) follow(b *box, x *item, count int64) (anew bool) {
	switch {
	case t.box == nil || t.epoch != x.at.epoch:
		*t = thread{box: b, own: x.epoch, epoch: x.at.epoch}
	case t.box != b || t.own != x.epoch:
		t.box, t.own, t.base, anew = b, x.epoch, t.last-count, true
	}
	t.last = count + t.base
	return anew
}

// handCount hands on a count, where it is the box's that counts the turns.
func (j *Join) handCount(b *box, x *item) error {
	if j.owner != b {
		return nil
	}
	if err := j.follow(b, x, x.count); err != nil {
		return err
	}
	return j.to.Block(&series.Block{
		Kind: series.Turn, Epoch: x.at.epoch, Tick: x.at.tick, Ticks: []int64{x.at.tick}, Count: []int64{x.count + j.base(b)},
	})
}

// base is what is added to the counts of a box.
func (j *Join) base(b *box) int64 {
	if b.number == 0 {
		return 0
	}
	return j.turned.base
}

// follow takes a count of a companion, and tells where it began anew.
func (j *Join) follow(b *box, x *item, count int64) error {
	if b.number == 0 || !j.turned.follow(b, x, count) {
		return nil
	}
	return j.to.Event(series.Event{
		Kind: series.CountsAnew, Box: b.number, Epoch: x.at.epoch, Tick: x.at.tick, Until: x.at.tick, Count: 1,
		Text: who(b, x.said) + " began to count the turns anew: how far the torch turned meanwhile is not known",
	})
}
