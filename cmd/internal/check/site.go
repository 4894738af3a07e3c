// Package check carries out the set-up checks of acquire/calib: it reads the figures
// that a person typed in or the sensor box gives, and puts the check on record.
//
// Terms. A kind is one of the checks, with the keys that it takes. A site is what a
// check is made under: the job, the record and what holds for it by then.
package check

import (
	"errors"
	"math"
	"os"
	"slices"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/foreign"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/pairs"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
)

// Options say where a check is kept, and where its readings come from.
type Options struct {
	Record string        // which is made if it does not exist
	Port   string        // in place of the one that the job names
	Live   bool          // readings come from the port
	Length time.Duration // readings are averaged over this
	Pause  time.Duration // to set each reference before it is read
}

// Site is what a check is made under: the job, and what is on record already.
type Site struct {
	Options *Options
	Screen  *terminal.Screen
	Job     *jobfile.File
	JobFile string
	Now     time.Time
	Checks  []*calib.Check
	Sign    func(by string) string // how a name stands on record; nil is as it was typed
	inForce calib.Register         // of the job and the record
	box     string                 // identity of the box that the check is made with; empty is not known
}

func (s *Site) signed(by string) string {
	if s.Sign == nil {
		return by
	}
	return s.Sign(by)
}

// look reads what is on record, if there is a record; it must be one of the job.
func (s *Site) look() (exists bool, err error) {
	made, exists, err := s.read()
	if err != nil {
		return exists, err
	}
	for _, c := range s.Job.Instruments {
		s.inForce.All = append(s.inForce.All, calib.Timed{Calibration: c})
	}
	for _, c := range s.Checks {
		if c.Calibration != nil {
			s.inForce.All = append(s.inForce.All, calib.Timed{Calibration: *c.Calibration, Epoch: c.Epoch, Tick: c.Tick})
		}
	}
	if exists {
		err = s.Job.MadeRecord(s.Options.Record, made)
	}
	return exists, err
}

// read reads the checks of the record and who speaks in it, if there is a record.
func (s *Site) read() (made record.Meta, exists bool, err error) {
	if _, err := os.Stat(s.Options.Record); errors.Is(err, os.ErrNotExist) {
		return made, false, nil
	}
	reader, err := record.Open(s.Options.Record)
	if err != nil {
		return made, true, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	if s.Checks, err = reader.Checks(); err != nil {
		return made, true, err
	}
	s.inForce.Speakers, err = reader.Speakers()
	return reader.Meta(), true, err
}

// calibration returns what is in force for a channel of the box that is checked, the
// zero one for nothing.
func (s *Site) calibration(channel string) calib.Calibration {
	var held calib.Calibration
	for _, c := range s.inForce.InForce() {
		if c.Channel == channel && (c.Box == s.box || c.Box == "" || s.box == "") {
			held = c
		}
	}
	return held
}

// typedOf says with which box readings were made that are typed in: the one that is
// named, or that spoke last in the record.
func (s *Site) typedOf(in *pairs.Input, channel string) {
	s.box = series.IdentityOf(in.Text("box"))
	if s.box == "" {
		s.box = s.lastBox(channel)
	}
}

// lastBox is the box that spoke last in the record and has a channel; empty is none.
func (s *Site) lastBox(channel string) string {
	last := calib.Timed{Calibration: calib.Calibration{Channel: channel}, Epoch: math.MaxInt}
	return s.inForce.Speakers.BoxOf(&last, len(s.inForce.Speakers)-1)
}

// hears says which box readings come from; they must all come from one.
func (s *Site) hears(in *pairs.Input, own string) error {
	named := series.IdentityOf(in.Text("box"))
	switch {
	case named != "" && named != own:
		return anotherBox("box="+in.Text("box")+": "+series.Who(own)+" is on the port", "plug that box in, or leave out box=")
	case s.box != "" && s.box != own:
		return anotherBox("the box changed during the check: "+series.Who(own)+" in place of "+series.Who(s.box), "carry out the check anew, with one box")
	}
	s.box = own
	return nil
}

// anotherBox is a check that is not carried out because the box is not the one it was.
func anotherBox(text, next string) error {
	return &explain.Error{Kind: explain.InTheWay, Text: text + "; nothing is kept of the check", Next: next}
}

// sign says who made the check, when and with what.
func (s *Site) sign(c *calib.Check, in *pairs.Input) error {
	c.Done, c.By, c.Instrument = s.Now.UTC(), in.Text("by"), in.Text("instrument")
	c.Certificate, c.Due = in.Text("certificate"), in.Text("due")
	if c.By == "" {
		c.By = s.Job.People.Operator
	}
	if c.By == "" {
		return Misuse("who made the check? give by=NAME, or an operator in the job file")
	}
	for _, typed := range []struct{ key, text string }{{"by", c.By}, {"instrument", c.Instrument}, {"certificate", c.Certificate}} {
		if err := foreign.Fits(typed.key, typed.text, foreign.LongestName); err != nil {
			return Misuse("%v", err)
		}
	}
	c.By = s.signed(c.By)
	if text := in.Text("done"); text != "" {
		at, err := timeOf(text)
		if err != nil {
			return err
		}
		c.Done = at
	}
	if c.Done.After(s.Now) {
		return Misuse("done=%s lies in the future", in.Text("done"))
	}
	if c.Due != "" {
		due, err := time.Parse(time.DateOnly, c.Due)
		if err != nil {
			return Misuse("due=%s: write a day as 2027-05-04", c.Due)
		}
		if due.Before(c.Done.Truncate(24 * time.Hour)) {
			return Misuse("due=%s lies before the check", c.Due)
		}
	}
	if c.Channel != "" { // else it is about no box
		if c.Box = s.box; c.Calibration != nil {
			c.Calibration.Box = s.box
		}
	}
	if k := c.Calibration; k != nil && c.Subject != calib.ZeroCheck { // a zero leaves the gain as it was, with its date
		k.Date, k.Due, k.Certificate = c.Done.Format(time.DateOnly), c.Due, c.Certificate
	}
	return nil
}

// timeOf reads when a check was done.
func timeOf(text string) (time.Time, error) {
	for _, layout := range []string{time.RFC3339, time.DateOnly} {
		if at, err := time.Parse(layout, text); err == nil {
			return at.UTC(), nil
		}
	}
	return time.Time{}, Misuse("done=%s: write a time as 2026-05-04T07:40:00Z, or a day", text)
}

// Read returns what is on record, and which checks are missing.
func Read(file string) (list sheet.CheckList, err error) {
	reader, err := record.Open(file)
	if err != nil {
		return list, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	list = sheet.CheckList{Record: file, Job: reader.Meta().Job}
	list.Checks, err = reader.Checks()
	list.Missing = Missing(list.Checks)
	if f, wrong := jobfile.OfRecord(file, reader.Meta()); wrong == nil {
		list.Units = sheet.UnitsOf(f.Job)
	}
	return list, err
}

// Missing are the subjects that no check is about.
func Missing(checks []*calib.Check) (missing []calib.Subject) {
	for _, subject := range calib.Subjects() {
		if !slices.ContainsFunc(checks, func(c *calib.Check) bool { return c.Subject == subject }) {
			missing = append(missing, subject)
		}
	}
	return missing
}
