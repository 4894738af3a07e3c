package alljobs

import (
	"slices"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/gather"
	"arctally/report/fleet"
)

// seen is what is known of a record as long as its file does not change.
type seen struct{ stamp, digest string }

// take takes in what is new of the records, and tells what stands in the answers then.
func (j *Jobs) take(s *Survey, f *fleet.Fleet, rows []Row, run *surveying) (*fleet.Standing, error) {
	s.LeftOut, s.Here, s.of = nil, map[string]string{}, map[string]string{}
	var wanted []string
	for _, r := range rows {
		switch known, ok := j.store.known[r.Record]; {
		case r.Recording:
		case r.Wrong != "":
			s.LeftOut = append(s.LeftOut, LeftOut{r.Record, Broken, r.Wrong, r.Hint})
		case ok && known.stamp == r.Stamp:
			s.of[r.Record] = known.digest
		default:
			wanted = append(wanted, r.File)
		}
	}
	if err := j.gather(s, f, wanted, run); err != nil {
		return nil, err
	}
	for _, r := range rows {
		digest, taken := s.of[r.Record]
		if !taken {
			continue
		}
		j.store.known[r.Record] = seen{r.Stamp, digest}
		if _, ok := s.Here[digest]; !ok {
			s.Here[digest] = r.Record
		}
	}
	return f.Standing(j.ctx)
}

// gather takes records in, and tells how far that is.
func (j *Jobs) gather(s *Survey, f *fleet.Fleet, wanted []string, run *surveying) error {
	g := gather.Gathering{
		Into: f, Now: j.Now, Judge: j.Judge,
		Reading: func(file string, share float64) {
			run.share.Store(uint64(1e6 * (float64(slices.Index(wanted, file)) + share) / float64(len(wanted))))
		},
		Done: func(one fleet.TakenIn) { s.of[files.Stem(one.Record)] = one.Digest },
		Refused: func(file string, why error) {
			_, hint := explain.Page(why)
			s.LeftOut = append(s.LeftOut, LeftOut{files.Stem(file), Broken, why.Error(), hint})
		},
	}
	return g.Records(j.ctx, wanted)
}
