package recording

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"arctally/acquire/clock"
	"arctally/acquire/join"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/note"
	"arctally/analyze/now"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
)

// Judge is the sink that judges what is recorded, and shows it. What a person
// types in meanwhile comes in from other goroutines.
//
// It judges twice. What stays is judged once it is settled where the torch was, as it
// will be when the record is read; who looks on is shown what is known so far.
type Judge struct {
	screen   *terminal.Screen
	progress *terminal.Progress
	shown    []string // lines of passes
	units    sheet.Units
	second   int64 // of the source, at which the passes were last looked at
	gone     *time.Timer
	patience time.Duration
	stop     context.CancelFunc

	mu     sync.Mutex     // guards what follows, the analysis in particular
	run    *analyze.Run   // what stays
	ahead  *analyze.Run   // what is shown meanwhile
	trail  *now.Trail     // what that has laid
	writer *record.Writer // nil before the record is open and after it has ended
	epoch  int
	ending int            // number of the pass that a person has ended, and that goes on; 0 is none
	newest int64          // tick after the last that was seen in the epoch
	wrong  *MistakeError  // the analysis stumbled over what came; nil is no
	boxes  *[2]*join.Join // before the analyses, where there are several boxes; nil is one
}

func newJudge(screen *terminal.Screen, job *procedure.Job, patience time.Duration, stop context.CancelFunc) *Judge {
	ahead := analyze.NewAhead(job, nil)
	return &Judge{
		run: analyze.New(job, nil), ahead: ahead, trail: ahead.Trail(), screen: screen, progress: screen.Progress("recording"),
		patience: patience, stop: stop, units: sheet.UnitsOf(job),
	}
}

// start opens the recording for what people type in.
func (l *Judge) start(writer *record.Writer, epoch int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.writer, l.epoch = writer, epoch
}

// end stops the clock that waits for a port, and lets nothing more in.
func (l *Judge) end() {
	l.patient()
	l.mu.Lock()
	defer l.mu.Unlock()
	l.writer = nil
}

// recordWriter is what is recorded with; nil before it is open and after it has ended.
func (l *Judge) recordWriter() *record.Writer {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.writer
}

// patient stops the clock that waits for a port.
func (l *Judge) patient() {
	if l.gone != nil {
		l.gone.Stop()
	}
}

// Source implements series.Sink.
func (l *Judge) Source(s series.Source) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.in().Source(s)
}

// Clock implements acquire.ClockSink.
func (l *Judge) Clock(f clock.Fit) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.boxes == nil {
		return nil
	}
	return errors.Join(l.boxes[0].Clock(f), l.boxes[1].Clock(f))
}

// Event implements series.Sink. It also counts the time for which a port is gone.
func (l *Judge) Event(e series.Event) error {
	switch {
	case e.Box > 0:
	case e.Kind == series.Unplugged:
		l.screen.Tell("warning: %s; waiting %s for it", e.Text, l.patience)
		l.gone = time.AfterFunc(l.patience, l.stop)
	case e.Kind == series.Replugged:
		l.screen.Tell("%s", e.Text)
		l.patient()
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.in().Event(e)
}

// hears says how many boxes are heard: what several say is judged as if one had said it.
func (l *Judge) hears(boxes int, baud func(port string) int) {
	if boxes > 1 {
		l.boxes = &[2]*join.Join{join.New(l.run, boxes, baud), join.NewAhead(l.ahead, boxes, baud)}
	}
}

// in is what takes what the boxes say. It is used with the lock held.
func (l *Judge) in() both {
	if l.boxes != nil {
		return both{l.boxes[0], l.boxes[1]}
	}
	return l.both()
}

// lastBox is the identity of the last box that was named in what the record held before.
func (l *Judge) lastBox() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	last := ""
	for _, s := range l.run.Result().Speakers {
		if own := s.Source.Identity(); series.IsNamed(own) {
			last = own
		}
	}
	return last
}

// both are the analyses. They are used with the lock held.
func (l *Judge) both() both { return both{l.run, l.ahead} }

// Block implements series.Sink.
func (l *Judge) Block(b *series.Block) error {
	if err := l.judge(b); err != nil || b.Box > 0 {
		return err
	}
	if second := b.At(b.Len()-1) / int64(time.Second); b.Kind == series.Arc && second != l.second {
		l.second = second
		l.progress.ShowText(fmt.Sprintf("%d s on the clock of the box", second))
		return l.show(l.passes())
	}
	return nil
}

func (l *Judge) judge(b *series.Block) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if b.Box == 0 {
		if b.Epoch != l.epoch {
			l.epoch, l.newest = b.Epoch, 0
		}
		l.newest = max(l.newest, b.End()+1)
	}
	return l.in().Block(b)
}

// passes returns those that have ended.
func (l *Judge) passes() []pass.Pass {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.run.Result().Passes
}

// broke is told that the analysis stumbled: it is not asked any more.
func (l *Judge) broke(e *MistakeError) {
	l.screen.Tell("warning: %v; the recording goes on\n%s", e, e.Stack)
	l.mu.Lock()
	defer l.mu.Unlock()
	l.wrong = e
}

// mistake is what the analysis stumbled over; nil is nothing.
func (l *Judge) mistake() *MistakeError {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.wrong
}

// finish takes everything for complete, and shows what has not been shown. Where it
// was heard too late where the torch stood, or what a box had measured, again is set: what
// was laid before must be judged anew.
func (l *Judge) finish() (result analyze.Result, again bool, err error) {
	if e := l.mistake(); e != nil {
		return result, false, e
	}
	late := false
	e := Caught(func() {
		l.mu.Lock()
		defer l.mu.Unlock()
		if l.boxes != nil {
			err = errors.Join(l.boxes[0].Finish(), l.boxes[1].Finish())
			late = l.boxes[0].Late()
		}
		result = l.run.Finish()
		_, again = l.run.Heard()
		l.ahead.Finish() // the trail ends with it
		l.ahead = l.run  // what stays is shown from now on
	})
	if e != nil {
		l.broke(e)
		return analyze.Result{}, false, e
	}
	if late {
		l.screen.Tell("a box was heard late")
	}
	return result, again || late, errors.Join(err, l.show(result.Passes))
}

// show prints the passes that have ended since it was last called.
func (l *Judge) show(passes []pass.Pass) error { return l.showFrom(len(l.shown), passes) }

// showFrom prints the passes from one on that are new, or have come out otherwise.
func (l *Judge) showFrom(first int, passes []pass.Pass) error {
	for k := first; k < len(passes); k++ {
		line := l.units.Words(passLine(&passes[k]))
		switch {
		case k == len(l.shown):
			l.shown = append(l.shown, line)
		case l.shown[k] == line:
			continue
		default:
			l.shown[k] = line
		}
		l.progress.Clear()
		if err := l.screen.Printf("%s\n", line); err != nil {
			return err
		}
	}
	return nil
}

// ErrNotRecording is what comes too late, or too early, for a recording.
var ErrNotRecording error = &explain.Error{Kind: explain.InTheWay, Text: "nothing is being recorded", OnPage: "start a recording first"}

// errNoPass is an end of a pass where none is under way: an end that waits for the next
// pass would end that one, which nobody meant.
var errNoPass error = &explain.Error{Kind: explain.InTheWay, Text: "no pass is under way: there is nothing to end", OnPage: "the next strike begins a pass of its own"}

// note puts what a person typed in on record, at a moment after all that the
// analysis has seen: so that it is judged as it will be when the record is read.
// An end of a pass that is being ended already is not put down twice.
func (l *Judge) note(n note.Note) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.writer == nil {
		return ErrNotRecording
	}
	if n.EndOfPass && l.wrong == nil {
		p := l.ahead.Now().Pass
		switch {
		case p == nil:
			return errNoPass
		case p.Number == l.ending:
			return nil
		}
		l.ending = p.Number
	}
	n.Epoch, n.Tick = l.epoch, l.newest
	return l.event(n.Event())
}

// remark puts on record what this program has to say of itself.
func (l *Judge) remark(words string) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.writer == nil {
		return ErrNotRecording
	}
	return l.event(series.Event{Kind: series.Remark, Epoch: l.epoch, Tick: l.newest, Until: l.newest, Count: 1, Text: words})
}

// event puts what no box says on record and has it judged. It is used with the lock held.
func (l *Judge) event(e series.Event) error {
	if err := l.writer.Event(e); err != nil || l.wrong != nil {
		return err
	}
	return l.both().Event(e)
}
