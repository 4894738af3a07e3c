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
	profiles []*compare.Profile
	judged   finding.Judged // but for the sheets that are on the shelf
	sheets   []sheetOf
}

// apart is what is large of a judgement. It is there, or else on the shelf until somebody
// asks for it; the copies of a review share it.
type apart struct {
	mu    sync.Mutex
	known *large
	shelf *shelf.Shelf
	key   shelf.Key // of large
	means shelf.Key // of its sheets
}

// large returns what of the judgement is large. Where that was kept and has gone
// meanwhile, the record is judged again.
func (r *Review) large(ctx context.Context) (*large, error) {
	r.apart.mu.Lock()
	defer r.apart.mu.Unlock()
	return r.knownLarge(ctx)
}

// knownLarge is large for who has locked it.
func (r *Review) knownLarge(ctx context.Context) (*large, error) {
	a := r.apart
	if a.known != nil {
		return a.known, nil
	}
	kept := new(large)
	if a.shelf.Fetch(a.key, kept) {
		a.known = kept
		return kept, nil
	}
	return r.largeAgain(ctx)
}

// largeAgain judges the record again for what is large, and holds it from then on.
func (r *Review) largeAgain(ctx context.Context) (*large, error) {
	again := *r
	prepared, err := again.prepare(r.jobFile)
	if err == nil {
		err = again.judgeWhole(ctx, prepared, func(float64) {})
	}
	if err != nil {
		return nil, err
	}
	r.apart.known = again.apart.known
	return r.apart.known, nil
}

// Means returns the means that were held against the limits during a time of an epoch, and maybe
// others beside them.
func (r *Review) Means(ctx context.Context, epoch int, from, until int64) (*finding.Judged, error) {
	a := r.apart
	a.mu.Lock()
	defer a.mu.Unlock()
	l, err := r.knownLarge(ctx)
	if err != nil {
		return nil, err
	}
	if l.sheets == nil {
		return &l.judged, nil
	}
	if judged, sound := sheetsDuring(a.shelf.Pieces(a.means), l.sheets, epoch, from, until); sound {
		return judged, nil
	}
	if l, err = r.largeAgain(ctx); err != nil {
		return nil, err
	}
	return &l.judged, nil
}

// judgedAs takes what judging came to.
func (r *Review) judgedAs(result analyze.Result) {
	r.apart = &apart{known: &large{profiles: result.Profiles, judged: result.Judged}}
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
	theMeans  = "means"
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
		r.apart = before.onShelf(s)
		return nil
	}
	if r.judgedByTape(ctx, s, before) {
		return nil
	}
	r.taping = r.newTaping(s, before)
	err := judge()
	taping := r.taping
	r.taping = nil
	if err == nil && r.restsStillOn(before, s) {
		r.keepAs(before, s, taping.means)
		taping.tape.Keep()
		return nil
	}
	taping.drop()
	r.apart = new(apart) // what was put away has gone
	return err
}

// onShelf is what is large of a judgement that was kept.
func (on restsOn) onShelf(s *shelf.Shelf) *apart {
	return &apart{shelf: s, key: on.of(s, theLarge), means: on.of(s, theMeans)}
}

// restsStillOn reports whether nobody wrote into the record since it was asked what judging it
// rests on.
func (r *Review) restsStillOn(before restsOn, s *shelf.Shelf) bool {
	after, known := r.restsOn(s)
	after.speakers = before.speakers // judging found them anew
	return known && before.of(s, theResult) == after.of(s, theResult)
}

// keepAs keeps what judging came to, of which some means were put away before. What is large of
// it is from then on there alone, until somebody asks for it.
func (r *Review) keepAs(on restsOn, s *shelf.Shelf, means *putAway) {
	whole := len(means.sheets) == 0 // in memory
	small, l := r.small(), r.apart.known
	for sheet := range l.judged.Sheets() {
		means.put(sheet)
	}
	apart := on.onShelf(s)
	kept := means.draft.Keep() && s.Put(apart.key, &large{profiles: l.profiles, sheets: means.sheets})
	s.Put(on.of(s, theResult), &small)
	if kept || !whole {
		r.Result, r.apart = small, apart
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
		r.keepAs(on, s, newPutAway(s, on))
	}
	_ = r.Close() // it only read
}
