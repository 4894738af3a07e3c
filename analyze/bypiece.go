package analyze

import (
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/compare"
	"arctally/analyze/now"
	"arctally/analyze/procedure"
)

// byPiece is what is kept piece by piece of the way: the map of the wall and the
// profiles of the passes.
type byPiece struct {
	*bead.Follower
	mapper   *bead.Mapper
	profiles *compare.Keeper
	trail    *now.Trail

	shown    *bore.Map // as it was last asked for
	passes   int       // that it held then
	findings int
}

// newByPiece prepares what is kept piece by piece.
func newByPiece(job *procedure.Job) *byPiece {
	b := &byPiece{mapper: bead.NewMapper(job), profiles: compare.NewKeeper(job), trail: now.NewTrail(job)}
	b.Follower = bead.NewFollower(job.Deposit.Pattern, b.mapper, b.profiles, b.trail)
	return b
}

// wallMap returns the map of the passes so far, with the findings in their cells.
// It is made anew only when there is more to show.
func (r *Run) wallMap() *bore.Map {
	b, found := r.byPiece, r.judge.Found()
	if b.shown != nil && b.passes == len(r.passes) && b.findings == len(found) {
		return b.shown
	}
	b.shown, b.passes, b.findings = b.mapper.Map(), len(r.passes), len(found)
	if b.shown == nil {
		return nil
	}
	b.shown.WireDoubt = r.instruments.wireDoubt()
	for k := range found {
		b.shown.Put(b.shown.Index(found[k].Place)).Findings++
	}
	return b.shown
}
