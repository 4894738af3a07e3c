package workshop

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"arctally/acquire/record"
	"arctally/analyze"
	"arctally/analyze/note"
	"arctally/cmd/internal/apart"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/shelf"
	"arctally/report/page"
	"arctally/report/page/live"
)

// Start implements page.Recording.
func (w *workshop) Start(ctx context.Context, r page.StartRequest) (page.Started, error) {
	r.By = page.SignedBy(ctx, r.By)
	if !w.bench.TryLock() {
		return page.Started{}, errBenchInUse
	}
	defer w.bench.Unlock()
	if busy := w.busy(); busy != nil {
		return page.Started{}, runsAlready(busy.Record())
	}
	p, err := w.folder.readJob(r.Job)
	if err != nil {
		return page.Started{}, err
	}
	name, holds, err := w.destination(r, p)
	if err != nil {
		return page.Started{}, err
	}
	if holds == holdsNothing {
		if err := p.Unsure(); err != nil { // it would be said only after the recording had begun
			return page.Started{}, err
		}
	}
	file, err := w.folder.recordPath(name)
	if err != nil {
		return page.Started{}, err
	}
	o := w.order(r)
	o.By, o.Begun = r.By, begun(r)
	o.Record, o.File, o.Documents, o.More, o.Joins = name, file, p.Documents, holds != holdsNothing, holds == holdsSamples
	if _, err := o.Sensors(p); err != nil {
		return page.Started{}, err
	}
	if err := w.hire(ctx, o); err != nil {
		return page.Started{}, err
	}
	w.memory.begun(name, p.Job.People.Operator)
	w.memory.named(page.NameOf(r.By))
	w.screen.Tell("recording %s into %s", p.Job.Name, file)
	w.tellHouse()
	return page.Started{Record: name}, nil
}

// order is what a request asks of a recorder, but for what it is recorded into.
func (w *workshop) order(r page.StartRequest) apart.Order {
	return apart.Order{Folder: w.folder.path, JobFile: r.Job, Port: r.Port, Box: w.box}
}

// begun is the note that goes on record with the first samples, where somebody began knowing
// what is missing, or at a device that was paired; no words are no note.
func begun(r page.StartRequest) string {
	switch {
	case len(r.Without) > 0:
		return "begun knowingly with: " + strings.Join(r.Without, "; ")
	case page.NameOf(r.By) != r.By:
		return "recording begun"
	}
	return ""
}

// hire lets the last recorder go, and has another one record.
func (w *workshop) hire(ctx context.Context, o apart.Order) error {
	if last := w.recorded(); last != nil {
		last.Leave()
	}
	rec, err := apart.Start(context.WithoutCancel(ctx), w.front(), o)
	w.take(rec)
	return err
}

// take takes a recorder for the one that runs; nil is none.
func (w *workshop) take(rec *apart.Recorder) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.current = rec
}

// front is what a recorder knows of this program.
func (w *workshop) front() apart.Front {
	return apart.Front{Hub: w.hub, Start: w.starter, Now: w.screen.Now, Tell: w.screen.Tell, Done: w.done, Closed: func(*apart.Recorder) { w.tellHouse() }}
}

// join finds the recorder that another front left over this folder.
func (w *workshop) join(ctx context.Context) error {
	rec, err := apart.Join(ctx, w.front(), w.folder.path)
	if other, ok := errors.AsType[*apart.OtherBuild](err); ok {
		w.meet(other)
		return nil
	}
	if rec == nil || err != nil {
		return err
	}
	w.take(rec)
	w.screen.Tell("%s is being recorded: the recording went on while these pages were away", rec.Record())
	return nil
}

// meet serves beside a recorder of another build, which is not to be spoken with, until it ends.
func (w *workshop) meet(other *apart.OtherBuild) {
	w.screen.Tell("warning: %v\nhint: %s", other, other.Hint())
	w.other.Store(other)
	go func() {
		for looks := time.Tick(otherEvery); apart.IsOther(w.running, w.folder.path); {
			select {
			case <-looks:
			case <-w.running.Done():
				return
			}
		}
		w.other.Store(nil)
		w.tellHouse()
	}()
}

// otherEvery is how often a recorder of another build is looked for.
const otherEvery = 2 * time.Second

// done takes what became of a recording, before the pages hear of it.
func (w *workshop) done(rec *apart.Recorder, d apart.Done) {
	o := rec.Order()
	now := w.folder.stampOfRecord(o.Record)
	var judged analyze.Result
	var err error
	switch {
	case d.Err != nil:
	case shelf.Unpack(d.Judged, &judged) == nil:
		err = w.reviews.ready(o.Record, o.File, now, judged)
	default:
		_, err = w.reviews.judgement(o.Record, o.File, now, false, true)
	}
	if rec.Ended() || o.Laid() && d.Err == nil && !d.Cut {
		w.memory.ended(o.Record) // else nobody has ended it: it is offered to be gone on with
	}
	if d.Mistake != "" {
		w.screen.Tell("%s", d.Mistake)
	}
	if err != nil {
		w.screen.Tell("warning: %v", err)
	}
	if d.Err != nil {
		w.screen.Tell("the recording into %s failed: %s\nhint: %s", o.File, d.Err.Text, d.Err.Next)
		return
	}
	w.screen.Tell("recorded %s: passes: %d, findings: %d", o.File, d.Passes, d.Findings)
}

// destination chooses the record, and tells what is in it already.
func (w *workshop) destination(r page.StartRequest, p *jobfile.File) (name string, holds contents, err error) {
	if r.Record != "" {
		holds, err = w.contents(r.Record, p)
		if err == nil && holds == holdsSamples && !r.More {
			err = holdsARecording(r.Record)
		}
		return r.Record, holds, err
	}
	if r.More {
		return "", holdsNothing, fieldProblem("record", "which record is to be gone on with?", "name the record")
	}
	for k := 1; ; k++ {
		if name = r.Job; k > 1 {
			name = fmt.Sprintf("%s-%d", r.Job, k)
		}
		if holds, err = w.contents(name, p); holds != holdsSamples {
			return name, holds, err // checks that were made for nothing are not passed over
		}
	}
}

// contents is what a record holds already.
type contents uint8

const (
	holdsNothing contents = iota // there is no record
	holdsChecks
	holdsSamples
)

// contents looks into a record, and whether it was made under the job.
func (w *workshop) contents(name string, p *jobfile.File) (holds contents, err error) {
	file, err := w.folder.recordPath(name)
	if err != nil {
		return holdsSamples, err
	}
	if _, err := os.Stat(file); errors.Is(err, os.ErrNotExist) {
		return holdsNothing, nil
	}
	reader, err := record.Open(file)
	if err != nil {
		return holdsSamples, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	spans, err := reader.Epochs()
	holds = holdsSamples
	if len(spans) == 0 {
		holds = holdsChecks
	}
	if err == nil {
		err = p.MadeRecord(file, reader.Meta())
	}
	return holds, err
}

// Stop implements page.Recording.
func (w *workshop) Stop(ctx context.Context) (page.Started, error) {
	r := w.busy()
	if other := w.other.Load(); r == nil && other != nil {
		return page.Started{}, other
	}
	if r == nil {
		return w.endOpen()
	}
	if by := page.SignedBy(ctx, ""); by != "" { // a device ends it
		_, _ = r.Note(ctx, note.Note{By: by, Text: "recording ended"}) // before it has begun there is nothing to be ended
	}
	r.End()
	select {
	case <-r.Closed():
		return page.Started{Record: r.Record()}, nil
	case <-ctx.Done():
		return page.Started{}, ctx.Err()
	}
}

// endOpen ends the record that nobody has ended, and that nothing writes any more.
func (w *workshop) endOpen() (page.Started, error) {
	open := w.goOn(w.folder.records())
	if open == nil {
		return page.Started{}, recording.ErrNotRecording
	}
	w.memory.ended(open.Record)
	w.tellHouse()
	return page.Started{Record: open.Record}, nil
}

// Live implements page.Recording.
func (w *workshop) Live() *live.State {
	r := w.recorded()
	if r == nil {
		return nil
	}
	return r.State(w.running)
}

// Strip implements page.Recording.
func (w *workshop) Strip() (live.Strip, error) {
	r := w.recorded()
	if r == nil {
		return live.Strip{}, recording.ErrNotRecording
	}
	return r.Strip(w.running)
}

// Bead implements page.Recording.
func (w *workshop) Bead() (live.Bead, error) {
	r := w.recorded()
	if r == nil {
		return live.Bead{}, recording.ErrNotRecording
	}
	return r.Bead(w.running)
}

// Seen implements page.Recording. Ids mean nothing beyond their recording.
func (w *workshop) Seen(ctx context.Context, s page.SeenRequest) (live.State, error) {
	r := w.recorded()
	if r == nil || r.Record() != s.Record {
		return live.State{}, recording.ErrNotRecording
	}
	return r.Seen(ctx, s.IDs, s.More)
}

// runsAlready is what cannot be while a recording runs.
func runsAlready(name string) error {
	return &explain.Error{Kind: explain.InTheWay, Text: "a recording runs already, into " + name, Next: "end that recording first"}
}

// holdsARecording is a record that is there already.
func holdsARecording(name string) error {
	return &explain.Error{
		Kind: explain.InTheWay, Text: "the record " + name + " holds a recording already",
		Next: "choose another name, or go on in that record",
	}
}

// errBenchInUse is a sensor box that somebody else reads from.
var errBenchInUse error = &explain.Error{Kind: explain.InTheWay, Text: "a set-up check reads from the sensor box, or somebody listens to the ports", OnPage: "wait until that is done"}
