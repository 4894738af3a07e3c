package main

import (
	"context"
	"errors"
	"flag"
	"os"
	"slices"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/report/sheet"
	"arctally/report/text"
)

func checkCommand() command {
	return command{
		name:     "check",
		operands: "JOB.yaml|RECORD [CHECK] [key=value...]",
		summary:  "keeps a set-up check in the record, which corrects what comes after it; with a record alone, shows its checks",
		example: "arctally check job.yaml --record boom-pin.arctally meter channel=voltage reading=10.1V,20.3V,30.2V" +
			" reference=10V,20V,30V reference-uncertainty=0.02V instrument=\"meter 3\" certificate=C-44 due=2027-05-04\n\nChecks:\n" + checkUsage(),
		setUp: checkAction,
	}
}

// checkOptions are the flags of a check.
type checkOptions struct {
	record string
	port   string
	live   bool
	length time.Duration
	pause  time.Duration
	asJSON bool
}

func checkAction(flags *flag.FlagSet) action {
	var o checkOptions
	flags.StringVar(&o.record, "record", "", "keep the check in `RECORD`, which is made if it does not exist")
	flags.BoolVar(&o.live, "live", false, "take the readings from the port that the job names")
	flags.StringVar(&o.port, "port", "", "take the readings from `PORT`")
	flags.DurationVar(&o.length, "for", 5*time.Second, "average readings from the port over this `DURATION`")
	flags.DurationVar(&o.pause, "pause", 10*time.Second, "give a person this `DURATION` to set each reference before it is read")
	flags.BoolVar(&o.asJSON, "json", false, "write JSON for programs, in full precision")
	return func(ctx context.Context, screen *screen, operands []string) error {
		if len(operands) == 1 {
			return listChecks(screen, operands[0], o)
		}
		return o.keep(ctx, screen, operands[0], operands[1], operands[2:])
	}
}

// keep carries out one check and puts it into the record.
func (o *checkOptions) keep(ctx context.Context, screen *screen, jobFile, subject string, pairs []string) error {
	k, err := checkKindOf(subject)
	if err != nil {
		return err
	}
	in, err := k.read(pairs)
	if err != nil {
		return err
	}
	if o.record == "" {
		return checkMisuse("no record: a check is kept in the record of its job, --record RECORD")
	}
	p, err := loadPlan(jobFile)
	if err != nil {
		return err
	}
	site := &checkSite{options: o, screen: screen, plan: p, jobFile: jobFile, now: screen.now()}
	c, err := site.carryOut(ctx, k, in)
	if err != nil {
		return err
	}
	if o.asJSON {
		return sheet.ChecksJSON(screen.out, sheet.CheckList{Record: o.record, Job: p.job.Name, Checks: []*calib.Check{c}})
	}
	return text.Check(screen.out, len(site.checks)+1, c, site.now)
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
		return true, &otherJobError{record: s.options.record}
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

// listChecks shows what is on record.
func listChecks(screen *screen, file string, o checkOptions) error {
	if o.record != "" || o.live || o.port != "" {
		return checkMisuse("which check? %s", checkNames())
	}
	list, err := readChecks(file)
	if err != nil {
		return err
	}
	if o.asJSON {
		return sheet.ChecksJSON(screen.out, list)
	}
	return text.Checks(screen.out, list, screen.now())
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
