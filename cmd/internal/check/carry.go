package check

import (
	"context"
	"errors"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/pairs"
	"arctally/cmd/internal/sealing"
)

// CarryOut carries out a check and puts it into the record.
func (s *Site) CarryOut(ctx context.Context, k Kind, in *pairs.Input) (*calib.Check, error) {
	exists, err := s.look()
	if err != nil {
		return nil, err
	}
	c, err := k.carryOut(ctx, in, s)
	if err != nil {
		return nil, err
	}
	if err := s.sign(c, in); err != nil {
		return nil, err
	}
	return c, s.Options.write(s.Job, c, exists, s.Now)
}

// write puts the check into the record; one that is made for it and fails leaves none.
func (o *Options) write(p *jobfile.File, c *calib.Check, exists bool, now time.Time) error {
	if exists {
		writer, err := record.Amend(o.Record)
		if err != nil {
			return err
		}
		sealing.Seal(writer)
		return errors.Join(writer.Check(c), writer.Close())
	}
	writer, err := p.CreateRecord(o.Record, now)
	if err != nil {
		return err
	}
	if err := writer.Check(c); err != nil {
		return errors.Join(err, jobfile.Discard(writer, o.Record))
	}
	return writer.Close()
}
