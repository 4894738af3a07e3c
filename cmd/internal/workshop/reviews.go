package workshop

import (
	"context"
	"errors"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"arctally/analyze"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/review"
	"arctally/report/page"
)

const (
	keptReviews  = 4                      // judged records in memory
	freshFor     = 10 * time.Second       // a record that is being written is judged no more often
	quickReview  = 300 * time.Millisecond // a review that takes no longer is waited for
	unasked      = 2 * time.Minute        // a judging that no page has asked for so long is given up
	openRemember = 1000                   // records whose number of open findings is remembered
)

// reviews keeps what was judged, and judges one record at a time in the background.
type reviews struct {
	ctx  context.Context
	stop context.CancelFunc
	turn chan struct{} // holds one token while a record is judged
	work sync.WaitGroup
	told func() // a judgement has begun, or has ended

	mu      sync.Mutex
	kept    []*judgement // the one that was asked for last stands last
	unasked time.Duration
	opened  map[string]int
	failed  map[string]string // why a record could not be judged
	closing bool
}

// judgement is a record that was judged, or is being judged.
type judgement struct {
	record string
	stamp  stamp
	began  time.Time
	share  atomic.Uint64 // done, in millionths
	house  bool          // it is judged whether a page asks or not
	asking atomic.Int64  // pages that wait for it
	asked  atomic.Int64  // when one last did, Unix ns
	done   chan struct{}

	review *review.Review // its reader is closed
	err    error
}

func newReviews(ctx context.Context, told func()) *reviews {
	ctx, stop := context.WithCancel(ctx)
	return &reviews{ctx: ctx, stop: stop, turn: make(chan struct{}, 1), told: told, unasked: unasked, opened: map[string]int{}, failed: map[string]string{}}
}

// close gives up what is being judged.
func (c *reviews) close() {
	c.mu.Lock()
	c.closing = true
	c.mu.Unlock()
	c.stop()
	c.work.Wait()
}

// of returns the review of a record as it is now, or how far its making is.
// Writing is set where the record grows, and a review that is not quite new will do.
func (c *reviews) of(ctx context.Context, record, file string, now stamp, writing bool, patience time.Duration) (r *review.Review, share float64, err error) {
	j, err := c.judgement(record, file, now, writing, false)
	if err != nil {
		return nil, 0, err
	}
	defer j.ask()()
	if j.ended() { // however little patience there is, and however slow the machine
		return j.review, 1, j.err
	}
	timer := time.NewTimer(patience)
	defer timer.Stop()
	select {
	case <-j.done:
		return j.review, 1, j.err
	case <-timer.C:
		return nil, float64(j.share.Load()) / 1e6, nil
	case <-ctx.Done():
		return nil, 0, ctx.Err()
	}
}

// ask says that a page waits for a judgement, until leave.
func (j *judgement) ask() (leave func()) {
	j.asking.Add(1)
	return func() {
		j.asked.Store(time.Now().UnixNano())
		j.asking.Add(-1)
	}
}

// judgement returns the one that is there, or begins one; house is one that is wanted
// whether a page asks for it or not.
func (c *reviews) judgement(record, file string, now stamp, writing, house bool) (*judgement, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if k := slices.IndexFunc(c.kept, func(j *judgement) bool { return j.record == record }); k >= 0 {
		j := c.kept[k]
		if j.stamp == now || !j.ended() || writing && time.Since(j.began) < freshFor {
			c.kept = append(slices.Delete(c.kept, k, k+1), j)
			return j, nil
		}
	}
	if c.closing {
		return nil, context.Canceled
	}
	j := &judgement{record: record, stamp: now, began: time.Now(), done: make(chan struct{}), house: house}
	j.asked.Store(j.began.UnixNano())
	c.keep(j)
	c.work.Go(func() {
		c.told()
		c.judge(j, file)
		c.told()
	})
	return j, nil
}

// keep puts a judgement in place of the former one, and gives up the one that
// nobody has asked for for the longest time.
func (c *reviews) keep(j *judgement) {
	c.kept = slices.DeleteFunc(c.kept, func(other *judgement) bool { return other.record == j.record })
	c.kept = append(c.kept, j)
	if len(c.kept) > keptReviews {
		if k := slices.IndexFunc(c.kept, (*judgement).ended); k >= 0 {
			c.kept = slices.Delete(c.kept, k, k+1)
		}
	}
}

func (j *judgement) ended() bool {
	select {
	case <-j.done:
		return true
	default:
		return false
	}
}

func (c *reviews) judge(j *judgement, file string) {
	defer close(j.done)
	ctx, giveUp := context.WithCancel(c.ctx)
	defer giveUp()
	if !j.house {
		c.work.Go(func() { c.watch(ctx, j, giveUp) })
	}
	select {
	case c.turn <- struct{}{}:
		defer func() { <-c.turn }()
	case <-ctx.Done():
		j.err = ctx.Err()
		c.forget(j)
		return
	}
	told := func(share float64) { j.share.Store(uint64(1e6 * share)) }
	mistake := recording.Caught(func() { j.review, j.err = closed(review.Judge(ctx, file, "", told)) })
	if mistake != nil { // it must not end a recording that runs meanwhile
		j.review, j.err = nil, mistake
	}
	if errors.Is(j.err, context.Canceled) {
		c.forget(j)
		return
	}
	c.remember(j)
}

// alone judges a record for who keeps nothing of it, in turn with the others; what is in memory is taken. The caller
// closes the review.
func (c *reviews) alone(ctx context.Context, record, file string, now stamp, told func(share float64)) (r *review.Review, err error) {
	if kept := c.finished(record, now); kept != nil {
		return kept.Again()
	}
	select {
	case c.turn <- struct{}{}:
		defer func() { <-c.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	mistake := recording.Caught(func() { r, err = review.Judge(ctx, file, "", told) })
	if mistake != nil { // the other records are judged all the same
		return nil, mistake
	}
	return r, err
}

// finished is the judgement of a record as it is now, where it is in memory; else nil.
func (c *reviews) finished(record string, now stamp) *review.Review {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, j := range c.kept {
		if j.record == record && j.stamp == now && j.ended() && j.err == nil {
			return j.review
		}
	}
	return nil
}

// watch gives a judging up that no page asks for any more.
func (c *reviews) watch(ctx context.Context, j *judgement, giveUp func()) {
	ticker := time.NewTicker(c.unasked / 4)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
		if j.asking.Load() == 0 && time.Since(time.Unix(0, j.asked.Load())) > c.unasked {
			giveUp()
		}
	}
}

// forget drops a judgement that was given up: whoever asks next has it begun anew.
func (c *reviews) forget(j *judgement) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.kept = slices.DeleteFunc(c.kept, func(other *judgement) bool { return other == j })
}

// closed closes the reader of a review that was made.
func closed(r *review.Review, err error) (*review.Review, error) {
	if err != nil {
		return nil, err
	}
	return r, r.Close()
}

// remember keeps the number of open findings.
func (c *reviews) remember(j *judgement) {
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.failed, j.record)
	if j.err != nil && len(c.failed) < openRemember {
		c.failed[j.record] = j.err.Error()
	}
	if j.err != nil || len(c.opened) >= openRemember {
		delete(c.opened, j.record)
		return
	}
	c.opened[j.record] = j.review.Book.Open()
}

// open is how many findings of a record are open; nil where it was not judged.
func (c *reviews) open(record string) *int {
	c.mu.Lock()
	defer c.mu.Unlock()
	if n, ok := c.opened[record]; ok {
		return &n
	}
	return nil
}

// judged says how far a record is judged, by what is in memory.
func (c *reviews) judged(row *page.RecordRow) page.Judged {
	switch row.State {
	case page.InProgress:
		return page.Judged{State: page.BeingJudged, Why: new("it is judged as it is recorded")}
	case page.ChecksOnly:
		return page.Judged{State: page.NotJudgedYet, Why: new("nothing was welded yet")}
	case page.Unreadable:
		return page.Judged{State: page.NotJudgedYet, Why: new("it cannot be read")}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, j := range c.kept {
		if j.record == row.Record && !j.ended() {
			return page.Judged{State: page.BeingJudged, Progress: new(float64(j.share.Load()) / 1e6)}
		}
	}
	if _, ok := c.opened[row.Record]; ok {
		return page.Judged{State: page.IsJudged}
	}
	if why, ok := c.failed[row.Record]; ok {
		return page.Judged{State: page.NotJudgedYet, Why: &why}
	}
	return page.Judged{State: page.NotJudgedYet, Why: new("nobody has opened it since the program began")}
}

// ready keeps what was judged while it was recorded: reading it again would give
// the same bits.
func (c *reviews) ready(record, file string, now stamp, result analyze.Result) error {
	j := &judgement{record: record, stamp: now, began: time.Now(), done: make(chan struct{})}
	j.review, j.err = closed(review.JudgedLive(file, result))
	if j.err != nil {
		return j.err
	}
	close(j.done)
	c.mu.Lock()
	c.keep(j)
	c.mu.Unlock()
	c.remember(j)
	return nil
}

// carry keeps a judgement for a record to which only what people say was added.
func (c *reviews) carry(record string, was, now stamp, open int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.opened[record] = open
	for _, j := range c.kept {
		if j.record == record && j.stamp == was {
			j.stamp = now
		}
	}
}
