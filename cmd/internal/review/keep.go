package review

import (
	"context"
	"os"
	"sync"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/compare"
	"arctally/analyze/finding"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/shelf"
)

// judged is what judging comes to, as it is kept. What is large is kept beside it: that is
// nearly all of a long job, and few ask for it.
type judged struct {
	sources []series.Source
	result  analyze.Result
}

// large is what of a judgement grows with the seconds welded.
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
func (r *Review) judgedAs(sources []series.Source, result analyze.Result) {
	r.apart = &apart{known: &large{result.Judged, result.Profiles}}
	r.Sources, r.Result, r.speakers = sources, result, result.Speakers
}

// small is the result without what is large of it.
func (r *Review) small() analyze.Result {
	result := r.Result
	result.Judged, result.Profiles = finding.Judged{}, nil
	return result
}

// restsOn is all that judging rests on besides the program: where any of it differs, what
// was kept is not found. The head stands for what was recorded; size and time of the file
// tell that somebody altered it and left the head as it was.
type restsOn struct {
	what        string
	head        string
	size, time  int64 // bytes, ns
	job         procedure.Job
	calibration []calib.Timed
	speakers    calib.Speakers
}

// restsOn is what judging the record rests on; false where it is still being written, or
// cannot be told from another.
func (r *Review) restsOn() (on restsOn, known bool) {
	info, err := os.Stat(r.File)
	log, noLog := os.Stat(r.File + "-wal")
	if err != nil || noLog == nil && log.Size() > 0 {
		return on, false
	}
	head, err := r.Fingerprint()
	return restsOn{"", head, info.Size(), info.ModTime().UnixNano(), *r.plan.Job, r.Calibration, r.speakers}, err == nil && head != ""
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
	before, known := r.restsOn()
	if s == nil || !known {
		return judge()
	}
	var kept judged
	if s.Fetch(before.of(s, theResult), &kept) {
		r.judgedAs(kept.sources, kept.result)
		r.apart = &apart{shelf: s, key: before.of(s, theLarge)}
		return nil
	}
	if err := judge(); err != nil {
		return err
	}
	after, known := r.restsOn()
	after.speakers = before.speakers                                            // judging found them anew
	if key := before.of(s, theResult); known && key == after.of(s, theResult) { // nobody wrote into it meanwhile
		s.Put(before.of(s, theLarge), r.apart.known)
		s.Put(key, &judged{r.Sources, r.small()})
	}
	return nil
}
