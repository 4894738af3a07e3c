package review

import (
	"context"
	"errors"
	"iter"

	"arctally/acquire/join"
	"arctally/acquire/record"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/jobfile"
)

// BaudOf tells the rate of the line on a port, as a job has it; 0 is not said.
func BaudOf(job *procedure.Job) func(port string) int {
	return func(port string) int {
		for _, s := range job.Sensors {
			if s.Port == port {
				return s.Baud
			}
		}
		return 0
	}
}

// boxes hands over a record of several boxes, part by part: those of one part were heard
// by one program, on one clock.
func (f *feed) boxes(ctx context.Context, spans []record.Span) (err error) {
	beside, err := f.reader.Another()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, beside.Close()) }()
	job := &procedure.Job{} // one that can no longer be read says nothing
	if own, err := jobfile.OfRecord("", f.reader.Meta()); err == nil {
		job = own.Job
	}
	parts, err := f.reader.Parts()
	for k := 0; k < len(parts) && err == nil; k++ {
		p := partFeed{feed: f, join: join.New(f.sink, 0, BaudOf(job)), left: map[int]int64{}, last: map[int]int{}}
		if err = p.know(parts[k], spans); err == nil {
			err = p.run(ctx, ahead(f.reader.ArcGroups(parts[k])), beside.CompanionGroups(parts[k]))
		}
	}
	return err
}

// partFeed hands over one part.
type partFeed struct {
	*feed
	join *join.Join
	left map[int]int64 // samples of each epoch of a companion that were not read yet
	last map[int]int   // last epoch of each companion
}

// know gives the join what must be known beforehand.
func (p *partFeed) know(part record.Part, spans []record.Span) error {
	fits, err := p.reader.ClockIn(part)
	if err != nil {
		return err
	}
	for _, s := range spans {
		if s.Box > 0 {
			p.left[s.Epoch] = s.Samples
		}
	}
	for _, f := range fits {
		if f.Box > 0 && p.left[f.Epoch] > 0 {
			p.last[f.Box] = f.Epoch
		}
	}
	p.join.Know(fits)
	events, err := p.reader.EventsIn(part)
	if err != nil {
		return err
	}
	return p.join.Early(events)
}

// run reads the companions ahead of the box that tells the arc.
func (p *partFeed) run(ctx context.Context, arc, companions iter.Seq2[*record.Group, error]) (err error) {
	nextOfArc, stop := iter.Pull2(arc)
	defer stop()
	nextOfOthers, stopOthers := iter.Pull2(companions)
	defer stopOthers()
	arcs, others := true, true
	has := func(box int) bool { return box > 0 && others }
	for err == nil && (arcs || others) {
		group, more := (*record.Group)(nil), false
		companion := p.join.Wants(has) > 0 || !arcs
		if companion {
			if group, err, more = nextOfOthers(); !more {
				others, err = false, p.endOthers()
				continue
			}
		} else if group, err, more = nextOfArc(); !more {
			arcs = false
			err = p.join.End(0)
			continue
		}
		if err == nil {
			err = errors.Join(ctx.Err(), p.take(group, companion))
		}
	}
	if err != nil {
		return err
	}
	return p.join.Finish()
}

// endOthers says that no companion brings anything more.
func (p *partFeed) endOthers() error {
	for box := range p.last {
		if err := p.join.End(box); err != nil {
			return err
		}
	}
	return nil
}

// take hands over a group, and says how far its box has been read.
func (p *partFeed) take(group *record.Group, companion bool) error {
	if err := p.hand(group, p.join, companion); err != nil {
		return err
	}
	if len(group.Blocks) == 0 {
		return nil
	}
	box, epoch, last := group.Blocks[0].Box, group.Blocks[0].Epoch, group.Blocks[0].Tick
	for k := range group.Blocks {
		b := &group.Blocks[k]
		last = max(last, b.At(max(0, b.Len()-1)))
		p.left[epoch] -= int64(b.Len())
	}
	if companion && p.last[box] == epoch && p.left[epoch] <= 0 {
		return p.join.End(box)
	}
	return p.join.Past(box, epoch, last)
}
