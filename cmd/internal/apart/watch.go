package apart

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"time"

	"arctally/cmd/internal/explain"
	"arctally/report/page"
	"arctally/report/page/live"
	"arctally/report/sheet"
)

// pauses are before a recorder that died is started again, the first time, the second ...
// One that dies as often without having lived for lived is not started any more.
var pauses = []time.Duration{0, time.Second, 2 * time.Second, 4 * time.Second, 8 * time.Second, 16 * time.Second}

// lived is how long a recorder must have recorded to count as one that works.
const lived = time.Minute

// launch starts a recorder, and waits for it to speak.
func (r *Recorder) launch(ctx context.Context) (*line, error) {
	at, err := placeOf(r.order.Folder)
	if err != nil {
		return nil, err
	}
	process, err := r.front.Start(r.order, at.log)
	if err != nil {
		return nil, err
	}
	r.mu.Lock()
	r.process = process
	r.mu.Unlock()
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	for {
		l, err := r.connect(ctx, at)
		if err != nil {
			process.Kill() // else it would record as soon as who is in its way has gone, and nobody would know of it
			err = process.replaced(err)
			r.mu.Lock()
			r.hung = err.Error()
			r.mu.Unlock()
			return nil, err
		}
		if l != nil {
			return l, nil
		}
		select {
		case <-process.Gone:
			return nil, notStarted(process.Why())
		case <-ctx.Done():
			process.Kill()
			return nil, errors.Join(errNoHello, ctx.Err())
		case <-time.After(dialEvery):
		}
	}
}

// notStarted is a recorder that ended before it spoke.
func notStarted(why string) error {
	return &explain.Error{Text: "the recorder did not start: " + why, Next: "try again; what was recorded before is not touched"}
}

// connect finds a recorder, and hears what it says first; nil is that there is none.
func (r *Recorder) connect(ctx context.Context, at place) (*line, error) {
	conn, err := at.dial(ctx)
	if err != nil {
		return nil, nil
	}
	r.mu.Lock()
	r.number = peerOf(conn)
	r.mu.Unlock()
	l := newLine(conn)
	stop := context.AfterFunc(ctx, l.close)
	defer stop()
	first, err := l.read()
	var hello Hello
	switch {
	case err != nil:
		l.close()
		return nil, nil
	case first.Err != nil:
		l.close()
		return nil, first.Err.err()
	case json.Unmarshal(first.body, &hello) != nil || hello.Speech != speech():
		l.close()
		return nil, &OtherBuild{hello}
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.line, r.order, r.number, r.alike = l, hello.Order, hello.Process, hello.Program == program()
	return l, nil
}

// watch looks after the recorder until all is told, or nobody asks for it any more.
func (r *Recorder) watch(l *line) {
	defer close(r.watched)
	for deaths := 0; l != nil; {
		began := r.front.Now()
		r.remind(l)
		v := new(vigil)
		go r.keepVigil(l, v)
		r.listen(l, v)
		if isClosed(r.left) {
			r.await()
			return
		}
		if r.front.Now().Sub(began) >= lived {
			deaths = 0
		}
		l = r.again(&deaths)
	}
	<-r.left
}

// remind tells a recorder that was found or started again what was asked for meanwhile.
func (r *Recorder) remind(l *line) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if isClosed(r.left) {
		l.close()
	} else if r.stopping {
		l.send(frame{Kind: askStop})
	}
}

// await waits until a recorder that has nothing to record any more is gone.
func (r *Recorder) await() {
	r.mu.Lock()
	process := r.process
	r.mu.Unlock()
	if process != nil && isClosed(r.closed) {
		<-process.Gone
	}
}

// listen hears what the recorder tells until the line ends.
func (r *Recorder) listen(l *line, v *vigil) {
	for {
		f, err := l.read()
		if err != nil {
			break
		}
		v.taking.Store(true)
		r.hear(f)
		if (page.Told{Kind: f.Kind}).IsLive() {
			v.told.Add(1)
		}
		v.taking.Store(false)
	}
	l.close()
	r.mu.Lock()
	defer r.mu.Unlock()
	r.line = nil
}

func (r *Recorder) hear(f frame) {
	switch f.Kind {
	case kindAnswer:
		r.mu.Lock()
		defer r.mu.Unlock()
		if to := r.pending[f.ID]; to != nil {
			to <- f
		}
	case kindDone:
		var d Done
		if err := json.Unmarshal(f.body, &d); err != nil {
			d = Done{Err: farOf(err)}
		}
		if !r.isAlike() {
			d.Judged = nil // it is made anew, as this build judges
		}
		r.done(d)
	case kindClosed:
		r.close()
	case kindRestart:
		r.front.Hub.Restart()
	default:
		r.pass(page.Told{Kind: f.Kind, Data: f.body})
	}
}

// isAlike reports whether the recorder is of this build.
func (r *Recorder) isAlike() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.alike
}

// pass passes on what pages are told.
func (r *Recorder) pass(t page.Told) {
	if t.IsLive() {
		r.mu.Lock()
		r.newest = t.Data
		r.mu.Unlock()
	}
	r.front.Hub.Pass(t)
}

// done takes what became of the recording, once.
func (r *Recorder) done(d Done) {
	if r.Runs() {
		r.front.Done(r, d)
		close(r.over)
	}
}

// close says that all is told, once.
func (r *Recorder) close() {
	if !isClosed(r.closed) {
		close(r.closed)
		r.front.Closed(r)
	}
}

// again finds the recorder again, or starts it again; nil is that there is none any more.
func (r *Recorder) again(deaths *int) *line {
	if l := r.rejoin(); l != nil {
		return l
	}
	why := r.why()
	for {
		r.mu.Lock()
		stopping := r.stopping
		r.mu.Unlock()
		switch {
		case !r.Runs():
			r.close()
			return nil
		case stopping:
			r.fail(&explain.Error{Text: "the recorder died as it ended: " + why, Next: "what it had stored is whole: arctally verify"})
			return nil
		case *deaths >= len(pauses):
			r.fail(&explain.Error{
				Text: fmt.Sprintf("the recorder died %d times one after another, and is not started any more: %s", *deaths, why),
				Next: "what was recorded is stored: go on in that record, and tell who looks after the program what it died of",
			})
			return nil
		}
		l := r.restart(*deaths, why)
		*deaths++
		if l != nil || isClosed(r.left) {
			return l
		}
		why = r.why()
	}
}

// rejoin finds a recorder that is there, where only the line was cut.
func (r *Recorder) rejoin() *line {
	at, err := placeOf(r.order.Folder)
	if err != nil {
		return nil
	}
	ctx, stop := context.WithTimeout(context.Background(), patience)
	defer stop()
	l, _ := r.connect(ctx, at)
	if l != nil {
		r.front.Hub.Restart()
	} else if ctx.Err() != nil { // it is there, and says nothing
		r.endHung()
	}
	return l
}

// restart starts the recorder again, in the record that it wrote.
func (r *Recorder) restart(deaths int, why string) *line {
	died := r.front.Now()
	if since := r.breaksSilence(); !since.IsZero() {
		died = since
	}
	r.lost(r.front.Now(), fmt.Sprintf("the recorder has died (%s), and is started again: what comes meanwhile is missing", why))
	r.front.Tell("warning: the recorder has died (%s); it is started again, and goes on in %s", why, r.order.File)
	select {
	case <-r.left:
		return nil
	case <-time.After(pauses[deaths]):
	}
	r.mu.Lock()
	if _, err := os.Stat(r.order.File); err == nil {
		r.order.More, r.order.Joins = true, true
	}
	r.order.Begun, r.order.Again = "", &Again{Times: deaths + 1, Died: died, Why: why}
	r.mu.Unlock()
	l, err := r.launch(context.Background())
	if err != nil {
		r.front.Tell("warning: %v", err)
		return nil
	}
	r.front.Hub.Restart()
	return l
}

// why is what the recorder died of, as far as that is known.
func (r *Recorder) why() string {
	r.mu.Lock()
	process, why := r.process, r.hung
	r.hung = ""
	r.mu.Unlock()
	if process != nil {
		<-process.Gone
	}
	switch {
	case why != "":
		return why
	case process == nil: // another front started it
		return "it ended of itself, or was killed"
	}
	return process.Why()
}

// lost tells the pages that nothing is known any more.
func (r *Recorder) lost(at time.Time, words string) {
	r.mu.Lock()
	var s live.State
	known := json.Unmarshal(r.newest, &s) == nil
	r.mu.Unlock()
	if known {
		s.Lose(words, sheet.Timestamp(at))
		r.pass(page.ToldLive(&s))
	}
}

// fail gives the recording up.
func (r *Recorder) fail(err error) {
	r.done(Done{Err: farOf(err)})
	r.mu.Lock()
	var s live.State
	known := json.Unmarshal(r.newest, &s) == nil
	r.mu.Unlock()
	if known {
		s.Lose("nothing is recorded any more", sheet.Timestamp(r.front.Now()))
		s.Phase, s.Trouble = live.Failed, &live.Trouble{Error: err.Error(), Hint: explain.Of(err).Hint}
		r.pass(page.ToldLive(&s))
	}
	r.close()
}

// words are those that stand in the record.
func (a *Again) words() string {
	text := fmt.Sprintf("The program that records had died (%s) at %s, and was started again by itself", a.Why, clockOf(a.Died))
	if a.Times > 1 {
		text += fmt.Sprintf(", for the %d. time one after another", a.Times)
	}
	return text + ": what came between is missing."
}
