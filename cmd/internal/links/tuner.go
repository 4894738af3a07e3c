package links

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"time"
)

// bauds are the rates at which it is listened, the likeliest first.
var bauds = []int{115200, 921600, 500000, 1000000, 460800, 230400, 57600, 38400, 19200, 9600}

// Ours, no source, but for the first: a box describes itself every 5 s (sensor-link.md).
const (
	longestSilence = 6 * time.Second         // a port on which nothing comes for so long is silent
	enoughBytes    = 1200                    // more than two of the longest frames
	enoughTime     = 1500 * time.Millisecond // of bytes without a frame
	meterLines     = 3                       // whole ones, that show what a plain meter sends
	oneLook        = 100 * time.Millisecond
)

// aWire is a line to listen to.
type aWire interface {
	// hear returns what comes within a time, nothing where nothing did.
	hear(ctx context.Context, atMost time.Duration) (bytes []byte, at time.Time, err error)
	retune(baud int) error
}

// tuner listens to one port.
type tuner struct {
	wire      aWire
	listenFor time.Duration
	tell      func(doing string)
	ask       func(ctx context.Context, baud int) *Speech

	ears    []*ear
	heard   []byte    // at this baud rate, the beginning
	first   time.Time // when the first byte came at this baud rate
	now     time.Time
	any     bool // something came, at whatever rate
	command bool // somebody sends the commands of a modem
}

// outcome is what a tuner found.
type outcome struct {
	speech  *Speech
	any     bool
	command bool
	err     error
}

// listen goes through the baud rates until somebody is understood.
func (t *tuner) listen(ctx context.Context) outcome {
	var tried []int
	var meter *Speech
	for _, baud := range bauds {
		t.tell(fmt.Sprintf("listening at %d baud", baud))
		if err := t.tuneTo(baud); err != nil {
			return t.outcome(nil, err)
		}
		e, err := t.hearAt(ctx)
		if err != nil {
			return t.outcome(nil, err)
		}
		if e != nil {
			t.tell(fmt.Sprintf("a box speaks at %d baud", baud))
			err := t.measure(ctx, e)
			s := e.speech(baud, t.now)
			s.Tried = tried
			return t.outcome(s, err)
		}
		if meter = plainMeter(t.heard, baud); meter != nil {
			meter.Seconds = t.now.Sub(t.first).Seconds()
			meter.Tried = tried
			return t.outcome(meter, nil)
		}
		if !t.any {
			return t.askAll(ctx)
		}
		tried = append(tried, baud)
	}
	return t.outcome(nil, nil)
}

func (t *tuner) outcome(s *Speech, err error) outcome { return outcome{s, t.any, t.command, err} }

// tuneTo begins anew at another baud rate.
func (t *tuner) tuneTo(baud int) error {
	t.ears, t.heard, t.first = newEars(), t.heard[:0], time.Time{}
	return t.wire.retune(baud)
}

// hearAt listens at the present rate until an ear has heard something, or nothing
// can be expected any more.
func (t *tuner) hearAt(ctx context.Context) (*ear, error) {
	var waited time.Duration
	for !t.enough(waited) {
		if err := t.take(ctx); err != nil {
			return nil, err
		}
		if k := slices.IndexFunc(t.ears, func(e *ear) bool { return e.frames > 0 }); k >= 0 {
			return t.ears[k], nil
		}
		waited += oneLook
	}
	return nil, nil
}

// enough reports whether a frame ought to have come.
func (t *tuner) enough(waited time.Duration) bool {
	switch {
	case waited >= longestSilence:
		return true
	case t.first.IsZero():
		return false
	case isText(t.heard):
		return len(wholeLines(t.heard)) >= meterLines && t.now.Sub(t.first) >= enoughTime
	default:
		return len(t.heard) >= enoughBytes || t.now.Sub(t.first) >= enoughTime
	}
}

// take takes what comes in one look.
func (t *tuner) take(ctx context.Context) error {
	came, at, err := t.wire.hear(ctx, oneLook)
	t.now = at
	if err != nil || len(came) == 0 {
		return err
	}
	if t.first.IsZero() {
		t.first = at
	}
	t.any = true
	for _, e := range t.ears {
		e.hear(at, came)
	}
	if room := longestSample - len(t.heard); room > 0 {
		t.heard = append(t.heard, came[:min(room, len(came))]...)
	}
	t.command = t.command || modemCommand(t.heard)
	return nil
}

// longestSample is how many bytes of what comes at one rate are kept.
const longestSample = 8192

// modemCommand reports whether somebody sends what a modem is asked with.
func modemCommand(heard []byte) bool {
	return bytes.Contains(heard, []byte("AT\r")) || bytes.Contains(heard, []byte("AT+"))
}

// measure goes on listening to a box that is understood, and longer until it has said
// who it is.
func (t *tuner) measure(ctx context.Context, e *ear) error {
	for t.now.Sub(e.began) < t.listenFor || !e.described() && t.now.Sub(e.began) < max(longestSilence, t.listenFor) {
		if err := t.take(ctx); err != nil {
			return err
		}
	}
	return nil
}

// askAll asks where nobody spoke.
func (t *tuner) askAll(ctx context.Context) outcome {
	if t.ask == nil {
		return t.outcome(nil, nil)
	}
	var tried []int
	for _, baud := range bauds {
		t.tell(fmt.Sprintf("asking for a Modbus slave at %d baud", baud))
		if err := t.tuneTo(baud); err != nil {
			return t.outcome(nil, err)
		}
		if s := t.ask(ctx, baud); s != nil {
			s.Tried = tried
			return t.outcome(s, nil)
		}
		if err := ctx.Err(); err != nil {
			return t.outcome(nil, err)
		}
		tried = append(tried, baud)
	}
	return t.outcome(nil, nil)
}
