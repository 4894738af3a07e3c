package main

import (
	"context"
	"errors"
	"os"
	"slices"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/report/sheet"
)

// checkOptions say where a check is kept, and where its readings come from.
type checkOptions struct {
	record string        // which is made if it does not exist
	port   string        // in place of the one that the job names
	live   bool          // readings come from the port
	length time.Duration // readings are averaged over this
	pause  time.Duration // to set each reference before it is read
}

// carryOut carries out a check and puts it into the record.
func (s *checkSite) carryOut(ctx context.Context, k checkKind, in *lineInput) (*calib.Check, error) {
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
	return c, s.options.write(s.plan, c, exists, s.now)
}

// write puts the check into the record; one that is made for it and fails leaves none.
func (o *checkOptions) write(p *plan, c *calib.Check, exists bool, now time.Time) error {
	if exists {
		writer, err := record.Amend(o.record)
		if err != nil {
			return err
		}
		return errors.Join(writer.Check(c), writer.Close())
	}
	writer, err := createRecord(o.record, p, now)
	if err != nil {
		return err
	}
	if err := writer.Check(c); err != nil {
		return errors.Join(err, discard(writer, o.record))
	}
	return writer.Close()
}

// checkSite is what a check is made under: the job, and what is on record already.
type checkSite struct {
	options *checkOptions
	screen  *screen
	plan    *plan
	jobFile string
	now     time.Time
	checks  []*calib.Check
	inForce []calib.Calibration
}

// look reads what is on record, if there is a record.
func (s *checkSite) look() (exists bool, err error) {
	s.inForce = s.plan.job.Instruments
	if _, err := os.Stat(s.options.record); errors.Is(err, os.ErrNotExist) {
		return false, nil
	}
	reader, err := record.Open(s.options.record)
	if err != nil {
		return true, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	if text := reader.Meta().Documents[jobDocument]; text != s.plan.documents[jobDocument] {
		return true, otherJob(s.options.record)
	}
	if s.checks, err = reader.Checks(); err != nil {
		return true, err
	}
	for _, c := range s.checks {
		if c.Calibration != nil {
			s.inForce = calib.InForce(s.inForce, *c.Calibration)
		}
	}
	return true, nil
}

// calibration returns what is in force for a channel, the zero one for nothing.
func (s *checkSite) calibration(channel string) calib.Calibration {
	for _, c := range s.inForce {
		if c.Channel == channel {
			return c
		}
	}
	return calib.Calibration{}
}

// sign says who made the check, when and with what.
func (s *checkSite) sign(c *calib.Check, in *lineInput) error {
	c.Done, c.By, c.Instrument = s.now.UTC(), in.text("by"), in.text("instrument")
	c.Certificate, c.Due = in.text("certificate"), in.text("due")
	if c.By == "" {
		c.By = s.plan.job.People.Operator
	}
	if c.By == "" {
		return checkMisuse("who made the check? give by=NAME, or an operator in the job file")
	}
	if text := in.text("done"); text != "" {
		at, err := checkTime(text)
		if err != nil {
			return err
		}
		c.Done = at
	}
	if c.Done.After(s.now) {
		return checkMisuse("done=%s lies in the future", in.text("done"))
	}
	if c.Due != "" {
		due, err := time.Parse(time.DateOnly, c.Due)
		if err != nil {
			return checkMisuse("due=%s: write a day as 2027-05-04", c.Due)
		}
		if due.Before(c.Done.Truncate(24 * time.Hour)) {
			return checkMisuse("due=%s lies before the check", c.Due)
		}
	}
	if k := c.Calibration; k != nil && c.Subject != calib.ZeroCheck { // a zero leaves the gain as it was, with its date
		k.Date, k.Due, k.Certificate = c.Done.Format(time.DateOnly), c.Due, c.Certificate
	}
	return nil
}

// checkTime reads when a check was done.
func checkTime(text string) (time.Time, error) {
	for _, layout := range []string{time.RFC3339, time.DateOnly} {
		if at, err := time.Parse(layout, text); err == nil {
			return at.UTC(), nil
		}
	}
	return time.Time{}, checkMisuse("done=%s: write a time as 2026-05-04T07:40:00Z, or a day", text)
}

// readChecks returns what is on record, and which checks are missing.
func readChecks(file string) (list sheet.CheckList, err error) {
	reader, err := record.Open(file)
	if err != nil {
		return list, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	list = sheet.CheckList{Record: file, Job: reader.Meta().Job}
	list.Checks, err = reader.Checks()
	list.Missing = missingChecks(list.Checks)
	return list, err
}

// missingChecks are the subjects that no check is about.
func missingChecks(checks []*calib.Check) (missing []calib.Subject) {
	for _, subject := range calib.Subjects() {
		if !slices.ContainsFunc(checks, func(c *calib.Check) bool { return c.Subject == subject }) {
			missing = append(missing, subject)
		}
	}
	return missing
}
