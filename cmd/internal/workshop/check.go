package workshop

import (
	"bytes"
	"context"
	"errors"
	"os"
	"slices"
	"strings"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/check"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/pairs"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/sheet"
	"arctally/report/text"
)

// Checks implements page.Checker.
func (w *workshop) Checks(_ context.Context, record string) (sheet.CheckList, error) {
	file, err := w.folder.recordPath(record)
	if err != nil {
		return sheet.CheckList{}, err
	}
	if _, err := os.Stat(file); errors.Is(err, os.ErrNotExist) {
		return sheet.CheckList{Record: record, Missing: check.Missing(nil)}, nil
	}
	list, err := check.Read(file)
	list.Record = record
	return list, err
}

const (
	checkFor   = 5 * time.Second // where a page does not say
	checkPause = 10 * time.Second
	longestFor = 5 * time.Minute
)

// Check implements page.Checker.
func (w *workshop) Check(ctx context.Context, record string, r page.CheckRequest) (done page.CheckDone, err error) {
	if !w.bench.TryLock() {
		return done, errBenchInUse
	}
	defer w.bench.Unlock()
	if busy := w.busy(); busy != nil {
		return done, runsAlready(busy.Record())
	}
	k, in, err := readCheck(r)
	if err != nil {
		return done, err
	}
	site, err := w.site(record, r)
	if err != nil {
		return done, err
	}
	site.Sign = signing(ctx)
	leave, err := w.standIn(ctx, site)
	if err != nil {
		return done, err
	}
	c, err := site.CarryOut(ctx, k, in)
	if err = errors.Join(err, leave()); err != nil {
		return done, err
	}
	w.memory.named(page.NameOf(c.By))
	w.all.Changed()
	w.tellHouse()
	return doneOf(site, c)
}

// signing has a name stand on record with the device at which it was typed.
func signing(ctx context.Context) func(string) string {
	return func(by string) string { return page.SignedBy(ctx, by) }
}

// Offers implements page.Checker.
func (w *workshop) Offers(_ context.Context, record string) (list sheet.OfferList, err error) {
	file, err := w.folder.recordPath(record)
	if err != nil {
		return list, err
	}
	site := &check.Site{Options: &check.Options{Record: file}, Now: w.screen.Now()}
	list, err = site.Offers("")
	for k := range list.Refused {
		w.folder.outwards(&list.Refused[k].Why)
	}
	return list, err
}

// TakeOver implements page.Checker.
func (w *workshop) TakeOver(ctx context.Context, record string, r page.TakeOverRequest) (done page.CheckDone, err error) {
	if !w.bench.TryLock() {
		return done, errBenchInUse
	}
	defer w.bench.Unlock()
	if busy := w.busy(); busy != nil {
		return done, runsAlready(busy.Record())
	}
	from, err := w.folder.recordPath(strings.TrimSuffix(r.From, jobfile.RecordExtension))
	if err != nil {
		return done, err
	}
	site, err := w.site(record, page.CheckRequest{Job: r.Job})
	if err != nil {
		return done, err
	}
	site.Sign = signing(ctx)
	c, err := site.TakeOver(from, r.Number, r.By)
	if err != nil {
		return done, err
	}
	w.memory.named(page.NameOf(c.By))
	w.all.Changed()
	w.tellHouse()
	return doneOf(site, c)
}

// doneOf is a check that was put on record.
func doneOf(site *check.Site, c *calib.Check) (page.CheckDone, error) {
	var words bytes.Buffer
	err := text.Check(&words, len(site.Checks)+1, sheet.ChecksIn([]*calib.Check{c}, time.Local)[0], sheet.Metric, site.Now)
	return page.CheckDone{Number: len(site.Checks) + 1, Check: c, Text: words.String()}, err
}

// readCheck reads what was filled in, as if it had been typed.
func readCheck(r page.CheckRequest) (k check.Kind, in *pairs.Input, err error) {
	if k, err = check.KindOf(r.Kind); err != nil {
		return k, nil, err
	}
	var pairs []string
	for key, value := range r.Values {
		if value != "" {
			pairs = append(pairs, key+"="+value)
		}
	}
	slices.Sort(pairs)
	for _, said := range r.Sure {
		pairs = append(pairs, "sure="+said)
	}
	in, err = k.Read(pairs)
	return k, in, err
}

// site is where the check is made.
func (w *workshop) site(record string, r page.CheckRequest) (*check.Site, error) {
	file, err := w.folder.recordPath(record)
	if err != nil {
		return nil, err
	}
	o := &check.Options{Record: file, Live: r.Live, Length: checkFor, Pause: checkPause}
	if r.For != "" {
		s, err := quantity.Parse[quantity.Seconds](r.For)
		o.Length = time.Duration(float64(s) * float64(time.Second))
		if err == nil && (o.Length <= 0 || o.Length > longestFor) {
			err = check.Misuse("%s: average over more than nothing and at most %s", r.For, longestFor)
		}
		if err != nil {
			return nil, fieldProblem("for", err.Error(), "write a time with its unit: 5 s")
		}
	}
	p, err := w.folder.readJob(r.Job)
	quiet := terminal.Quiet(w.screen.Now)
	return &check.Site{Options: o, Screen: quiet, Job: p, JobFile: r.Job, Now: w.screen.Now()}, err
}

// longestRest is how long the virtual box stands at rest, s.
const longestRest = 3600

// standIn has the virtual box stand at rest for a check that takes its readings
// from the sensor box; leave ends that.
func (w *workshop) standIn(ctx context.Context, site *check.Site) (leave func() error, err error) {
	if w.box == nil || !site.Options.Live {
		return func() error { return nil }, nil
	}
	laid := virtualbox.Plan(site.Job, 1, nil)
	laid.Lead, laid.PlaySpeed = longestRest, w.box.Speed
	box, err := sensorbox.New(laid)
	if err != nil {
		return nil, err
	}
	if site.Options.Port, err = box.Open(); err != nil {
		return nil, err
	}
	job := *site.Job.Job
	job.Sensors = nil // the link of the job's own box is not that of this one
	site.Job = &jobfile.File{Job: &job, Documents: site.Job.Documents}
	ctx, stop := context.WithCancel(ctx)
	played := make(chan error, 1)
	go func() {
		_, err := box.Play(ctx)
		played <- err
	}()
	return func() error {
		stop()
		if err := <-played; err != nil && !errors.Is(err, context.Canceled) {
			return errors.Join(err, box.Close())
		}
		return box.Close()
	}, nil
}
