package review

import (
	"context"
	"sync"

	"arctally/acquire/calib"
	"arctally/analyze"
	"arctally/analyze/compare"
	"arctally/analyze/finding"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/shelf"
)

// large is what of a judgement grows with the seconds welded. It is kept beside the result:
// it is nearly all of a long job, and few ask for it.
type large struct {
	judged   finding.Judged
	profiles []*compare.Profile
}

// apart is what is large of a judgement. It is there, or else on the shelf until somebody
// asks for it; the copies of a review share it.
type apart struct {
	mu    sync.Mutex
	known *large
	shelf *shelf.Shelf
	key   shelf.Key
}

// large returns what of the judgement is large. Where that was kept and has gone
// meanwhile, the record is judged again.
func (r *Review) large(ctx context.Context) (*large, error) {
	a := r.apart
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.known != nil {
		return a.known, nil
	}
	kept := new(large)
	if !a.shelf.Fetch(a.key, kept) {
		again := *r
		prepared, err := again.prepare(r.jobFile)
		if err == nil {
			err = again.judgeWhole(ctx, prepared, func(float64) {})
		}
		if err != nil {
			return nil, err
		}
		kept = again.apart.known
	}
	a.known = kept
	return kept, nil
}

// Means returns the means that were held against the limits.
func (r *Review) Means(ctx context.Context) (*finding.Judged, error) {
	l, err := r.large(ctx)
	if err != nil {
		return nil, err
	}
	return &l.judged, nil
}

// judgedAs takes what judging came to.
func (r *Review) judgedAs(result analyze.Result) {
	r.apart = &apart{known: &large{result.Judged, result.Profiles}}
	r.Result, r.speakers = result, result.Speakers
}

// small is the result without what is large of it.
func (r *Review) small() analyze.Result {
	result := r.Result
	result.Judged, result.Profiles = finding.Judged{}, nil
	return result
}

// restsOn is all that judging rests on besides the program: where any of it differs, what
// was kept is not found. The head of what was measured stands for what was recorded; the
// touch of the file tells that somebody altered it and left the head as it was.
type restsOn struct {
	what        string
	measured    string
	samples     touch // since when they are what they are
	job         procedure.Job
	calibration []calib.Timed
	speakers    calib.Speakers
}

// restsOn is what judging the record rests on; false where it is still being written, or
// cannot be told from another.
func (r *Review) restsOn(s *shelf.Shelf) (on restsOn, known bool) {
	samples, known := touchOf(r.File)
	if !known || !r.Lasting() {
		return on, false
	}
	s.Fetch(samples.samplesSince(s), &samples)
	measured, err := r.Measured()
	return restsOn{"", measured, samples, *r.plan.Job, r.Calibration, r.speakers}, err == nil && measured != ""
}

// Adding has something added to a record by this program, which leaves all that was there
// as it was: what judging came to stays, unless something was measured or happened.
func Adding(ctx context.Context, file string, add func() error) error {
	before, known := touchOf(file)
	if err := add(); err != nil {
		return err
	}
	if after, now := touchOf(file); known && now {
		s := shelf.From(ctx)
		s.Fetch(before.samplesSince(s), &before)
		s.Put(after.samplesSince(s), &before)
	}
	return nil
}

// of is the key under which a part of the judgement is kept.
func (on restsOn) of(s *shelf.Shelf, what string) shelf.Key {
	on.what = what
	return s.Key(&on)
}

// The parts of a judgement.
const (
	theResult = "result"
	theLarge  = "large"
)

// judgeOnce judges the record, unless that was done before and nothing has changed since.
func (r *Review) judgeOnce(ctx context.Context, judge func() error) error {
	s := shelf.From(ctx)
	before, known := r.restsOn(s)
	if s == nil || !known {
		return judge()
	}
	var kept analyze.Result
	if s.Fetch(before.of(s, theResult), &kept) {
		r.judgedAs(kept)
		r.apart = &apart{shelf: s, key: before.of(s, theLarge)}
		return nil
	}
	if r.judgedByTape(ctx, s, before) {
		r.keepAs(before, s)
		return nil
	}
	r.taping = r.newTaping(s, before)
	err := judge()
	taping := r.taping
	r.taping = nil
	if err == nil && r.restsStillOn(before, s) {
		r.keepAs(before, s)
		taping.keep()
		return nil
	}
	taping.drop()
	return err
}

// restsStillOn reports whether nobody wrote into the record since it was asked what judging it
// rests on.
func (r *Review) restsStillOn(before restsOn, s *shelf.Shelf) bool {
	after, known := r.restsOn(s)
	after.speakers = before.speakers // judging found them anew
	return known && before.of(s, theResult) == after.of(s, theResult)
}

// keepAs keeps what judging came to. What is large of it is from then on there alone, until somebody asks for it.
func (r *Review) keepAs(on restsOn, s *shelf.Shelf) {
	small, key := r.small(), on.of(s, theLarge)
	kept := s.Put(key, r.apart.known)
	s.Put(on.of(s, theResult), &small)
	if kept {
		r.Result, r.apart = small, &apart{shelf: s, key: key}
	}
}

// KeepLive keeps what a record was judged to be while it was recorded, so that the first
// look at it costs no more than any other. What keeps it from that, who looks will learn.
func KeepLive(ctx context.Context, file string, result analyze.Result) {
	s := shelf.From(ctx)
	if s == nil {
		return
	}
	r, err := OpenSamples(file)
	if err != nil {
		return
	}
	if on, known := r.restsOn(s); known {
		r.judgedAs(result)
		r.keepAs(on, s)
	}
	_ = r.Close() // it only read
}
