package check

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/pairs"
	"arctally/report/sheet"
)

// TakeOver is the word for taking over a check that was made for another record.
const TakeOver = "take-over"

// takeOverWithin is how old a check may be that is taken over: that of a day's work,
// done before the first bore of it. Ours, no source.
const takeOverWithin = 12 * time.Hour

var takeOverKeys = pairs.Keys{Command: "check", Subject: TakeOver, Takes: []string{"from", "number", "by"}}

// ReadTakeOver takes the pairs of a check that is to be taken over.
func ReadTakeOver(typed []string) (*pairs.Input, error) { return takeOverKeys.Read(typed) }

// TakeOverUsage says how a check is taken over.
func TakeOverUsage() string {
	return "  " + TakeOver + ": a check made with the same box for another record of the folder, at most " +
		sheet.Age(takeOverWithin) + " ago; without number= it lists what there is\n        " + takeOverKeys.Usage()
}

// Offers are the checks of another record, or of all in the folder where from is empty,
// that may be taken over into the record of the site, and those that may not.
func (s *Site) Offers(from string) (list sheet.OfferList, err error) {
	list.Record = filepath.Base(s.Options.Record)
	if _, _, err := s.read(); err != nil {
		return list, err
	}
	files := []string{from}
	if from == "" {
		if files, err = s.others(); err != nil {
			return list, err
		}
	}
	for _, file := range files {
		s.offersOf(file, &list)
	}
	return list, nil
}

// others are the records beside that of the site that were changed not too long ago.
func (s *Site) others() (files []string, err error) {
	all, err := filepath.Glob(filepath.Join(filepath.Dir(s.Options.Record), "*"+jobfile.RecordExtension))
	own, _ := os.Stat(s.Options.Record) // nil where it is not made yet
	for _, file := range all {
		info, err := os.Stat(file)
		if err == nil && !(own != nil && os.SameFile(info, own)) && s.Now.Sub(info.ModTime()) <= takeOverWithin {
			files = append(files, file)
		}
	}
	return files, err
}

// offersOf adds the checks of one record. Its chain is looked at where there is
// something to offer.
func (s *Site) offersOf(file string, list *sheet.OfferList) {
	name := filepath.Base(file)
	refuseAll := func(why string) { list.Refused = append(list.Refused, sheet.Refusal{From: name, Why: why}) }
	reader, err := record.Open(file)
	if err != nil {
		refuseAll(err.Error())
		return
	}
	checks, err := reader.Checks()
	if err = errors.Join(err, reader.Close()); err != nil {
		refuseAll(err.Error())
		return
	}
	var offers []sheet.Offer
	for k, c := range checks {
		if c.Channel == "" || superseded(checks[k+1:], c) {
			continue
		}
		if why := s.refusal(c); why != "" {
			list.Refused = append(list.Refused, sheet.Refusal{From: name, Number: k + 1, Title: c.Title(), Why: why})
			continue
		}
		offers = append(offers, sheet.Offer{From: name, Number: k + 1, Age: s.Now.Sub(c.Done).Seconds(), Check: c})
	}
	if len(offers) == 0 {
		return
	}
	if err := record.Verify(file); err != nil {
		refuseAll("its chain does not verify: " + err.Error())
		return
	}
	list.Offers = append(list.Offers, offers...)
}

// superseded tells whether a later check is of the same subject, channel and box.
func superseded(later []*calib.Check, c *calib.Check) bool {
	return slices.ContainsFunc(later, func(o *calib.Check) bool {
		return o.Subject == c.Subject && o.Channel == c.Channel && o.Box == c.Box
	})
}

// refusal says why a check of another record may not be taken over; empty is nothing.
func (s *Site) refusal(c *calib.Check) string {
	age := s.Now.Sub(c.Done)
	due, err := time.Parse(time.DateOnly, c.Due)
	speaks := s.lastBox(c.Channel)
	switch {
	case c.TakenOver != nil:
		return "it was itself taken over from " + c.TakenOver.Record + ": take it over from there"
	case c.Box == "":
		return "it names no box"
	case series.IsPort(c.Box):
		return "the box has no serial, and a port is no sign that it is the same box"
	case age < 0:
		return "it was done in the future"
	case age > takeOverWithin:
		return fmt.Sprintf("it was made %s ago, which is more than %s", sheet.Age(age), sheet.Age(takeOverWithin))
	case err == nil && !s.Now.Before(due.AddDate(0, 0, 1)):
		return "it was due again on " + c.Due
	case speaks != "" && speaks != c.Box:
		return "it is of box " + c.Box + ", and " + series.Who(speaks) + " speaks in this record"
	}
	for _, own := range s.Checks {
		if own.Channel == c.Channel && own.Box == c.Box && !own.Done.Before(c.Done) {
			return "a check of " + c.Channel + " that is not older is on record here"
		}
	}
	return ""
}

// TakeOver puts a check of another record into that of the site, with a reference to
// where it was made. Of a record that is written to meanwhile, it is as it is now.
func (s *Site) TakeOver(from string, number int, by string) (*calib.Check, error) {
	exists, err := s.look()
	if err != nil {
		return nil, err
	}
	list, err := s.Offers(from)
	if err != nil {
		return nil, err
	}
	offer, err := chosen(list, number)
	if err != nil {
		return nil, err
	}
	if by == "" {
		by = s.Job.People.Operator
	}
	if by == "" {
		return nil, Misuse("who takes the check over? give by=NAME, or an operator in the job file")
	}
	by = s.signed(by)
	reader, err := record.Open(from)
	if err != nil {
		return nil, err
	}
	fingerprint, err := reader.Fingerprint()
	if err = errors.Join(err, reader.Close()); err != nil {
		return nil, err
	}
	c := *offer.Check
	c.Epoch, c.Tick = 0, 0
	c.TakenOver = &calib.TakenOver{Record: offer.From, Fingerprint: fingerprint, Number: number, At: s.Now.UTC(), By: by}
	return &c, s.Options.write(s.Job, &c, exists, s.Now)
}

// chosen is an offer by its number, or why there is none.
func chosen(list sheet.OfferList, number int) (sheet.Offer, error) {
	for _, o := range list.Offers {
		if o.Number == number {
			return o, nil
		}
	}
	why := "there is no check " + strconv.Itoa(number) + " of a channel there, or a later one has taken its place"
	for _, r := range list.Refused {
		if r.Number == number || r.Number == 0 {
			why = r.Why
		}
	}
	return sheet.Offer{}, &explain.Error{
		Kind: explain.InTheWay, Text: fmt.Sprintf("check %d cannot be taken over: %s", number, why), Next: "make the check anew, with this record",
	}
}
