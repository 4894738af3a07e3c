package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"time"

	"arctally/acquire/quantity"
	"arctally/acquire/sensorbox"
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
		return sheet.CheckList{Record: record, Missing: missingChecks(nil)}, nil
	}
	list, err := readChecks(file)
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
		return done, &recordingError{record: busy.record}
	}
	k, in, err := readCheck(r)
	if err != nil {
		return done, err
	}
	site, err := w.site(record, r)
	if err != nil {
		return done, err
	}
	leave, err := w.standIn(ctx, site)
	if err != nil {
		return done, err
	}
	c, err := site.carryOut(ctx, k, in)
	if err = errors.Join(err, leave()); err != nil {
		return done, err
	}
	var words bytes.Buffer
	err = text.Check(&words, len(site.checks)+1, c, site.now)
	w.tellHouse()
	return page.CheckDone{Number: len(site.checks) + 1, Check: c, Text: words.String()}, err
}

// readCheck reads what was filled in, as if it had been typed.
func readCheck(r page.CheckRequest) (k checkKind, in *lineInput, err error) {
	if k, err = checkKindOf(r.Kind); err != nil {
		return k, nil, err
	}
	var pairs []string
	for key, value := range r.Values {
		if value != "" {
			pairs = append(pairs, key+"="+value)
		}
	}
	slices.Sort(pairs)
	in, err = k.read(pairs)
	return k, in, err
}

// site is where the check is made.
func (w *workshop) site(record string, r page.CheckRequest) (*checkSite, error) {
	file, err := w.folder.recordPath(record)
	if err != nil {
		return nil, err
	}
	o := &checkOptions{record: file, live: r.Live, length: checkFor, pause: checkPause}
	if r.For != "" {
		s, err := quantity.Parse[quantity.Seconds](r.For)
		o.length = time.Duration(float64(s) * float64(time.Second))
		if err == nil && (o.length <= 0 || o.length > longestFor) {
			err = checkMisuse("%s: average over more than nothing and at most %s", r.For, longestFor)
		}
		if err != nil {
			return nil, fieldProblem("for", err.Error(), "write a time with its unit: 5 s")
		}
	}
	p, err := w.folder.loadPlan(r.Job)
	quiet := &screen{out: io.Discard, err: io.Discard, now: w.screen.now}
	return &checkSite{options: o, screen: quiet, plan: p, jobFile: r.Job, now: w.screen.now()}, err
}

// longestRest is how long the virtual box stands at rest, s.
const longestRest = 3600

// standIn has the virtual box stand at rest for a check that takes its readings
// from the sensor box; leave ends that.
func (w *workshop) standIn(ctx context.Context, site *checkSite) (leave func() error, err error) {
	if w.box == nil || !site.options.live {
		return func() error { return nil }, nil
	}
	laid := boxPlan(site.plan, 1, nil)
	laid.Lead, laid.PlaySpeed = longestRest, w.box.speed
	box, err := sensorbox.New(laid)
	if err != nil {
		return nil, err
	}
	if site.options.port, err = box.Open(); err != nil {
		return nil, err
	}
	job := *site.plan.job
	job.Sensors = nil // the link of the job's own box is not that of this one
	site.plan = &plan{job: &job, documents: site.plan.documents}
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
