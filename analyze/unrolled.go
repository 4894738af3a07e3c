package analyze

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/compare"
)

// unrolled is what is kept piece by piece of the way: the map of the wall and the
// profiles of the passes.
type unrolled struct {
	*bead.Follower
	mapper   *bead.Mapper
	profiles *compare.Keeper

	shown    *bore.Map // as it was last asked for
	passes   int       // that it held then
	findings int
}

// unroll prepares what is kept piece by piece.
func (r *Run) unroll() *unrolled {
	u := &unrolled{mapper: bead.NewMapper(r.job), profiles: compare.NewKeeper(r.job)}
	u.Follower = bead.NewFollower(r.job.Deposit.Pattern, u.mapper, u.profiles)
	return u
}

// wallMap returns the map of the passes so far, with the findings in their cells.
// It is made anew only when there is more to show.
func (r *Run) wallMap() *bore.Map {
	u, found := r.unrolled, r.watch.Found()
	if u.shown != nil && u.passes == len(r.passes) && u.findings == len(found) {
		return u.shown
	}
	u.shown, u.passes, u.findings = u.mapper.Map(), len(r.passes), len(found)
	if u.shown == nil {
		return nil
	}
	u.shown.WireDoubt = r.wireDoubt()
	for k := range found {
		u.shown.Put(u.shown.Index(found[k].Place)).Findings++
	}
	return u.shown
}

// wireDoubt returns the relative standard uncertainty of the wire by its
// calibration, 0 where there is none.
func (r *Run) wireDoubt() quantity.Ratio {
	doubt := 0.0
	for _, c := range r.eras[len(r.eras)-1].calib { // all that ever held: it covers the whole bore
		if c.Channel == "wire_speed" || c.Channel == "wire_length" {
			doubt = max(doubt, c.Relative)
		}
	}
	return quantity.Ratio(doubt)
}
