// Package links finds out who speaks on the serial ports of this machine: it listens
// to each for some seconds, and says by which link and baud rate a box speaks, how fast,
// and with what faults.
//
// Terms. An ear knows one link, and counts what is valid by it; what stands in its
// checksum cannot be chance. A tuner listens to one port at one baud rate after another
// until an ear has heard something. A plain meter has no checksum: it is only taken for
// one where nothing else was heard and its lines are numbers throughout, and which column
// is what stays a person's to say.
//
// A port is never opened to find out whether it is there, and not while another has it.
// Nothing is sent on it but what an Asker asks, and only where nobody spoke.
//
// Errors: what is wrong with a port is said of that port, with what to do about it; the
// others are listened to all the same.
package links

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"sync"
	"time"

	"arctally/acquire/port"
	"arctally/acquire/series"
)

// Options say where to listen, and how long.
type Options struct {
	Places port.Places
	// For is how long a box that speaks is listened to; 0 is DefaultFor.
	For time.Duration
	Now func() time.Time
	// Ask has an Asker ask where nobody spoke; nil leaves it.
	Ask Asker
	// Progress is told what is being done on a port; nil is nobody. It is called by one
	// goroutine for each port.
	Progress func(port, doing string)
}

// Asker asks whether a slave answers on a line: of a link on which nobody speaks
// unless asked. It returns nil where none does.
type Asker func(ctx context.Context, line io.ReadWriter, baud int) *Speech

// DefaultFor is how long a box is listened to.
const DefaultFor = 3 * time.Second

// Report is what was found, for programs.
type Report struct {
	Ports   []Port `json:"ports"`
	Sensors string `json:"sensors"` // lines for the job file; empty where nobody speaks
}

// State is how it stands with a port.
type State string

// The states of a port.
const (
	Speaks  State = "speaks"  // a box speaks, and is understood
	Meter   State = "meter"   // lines of numbers come, as a plain meter sends them
	Unknown State = "unknown" // bytes come that no link allows, at any baud rate
	Silent  State = "silent"  // nothing comes
	Busy    State = "busy"    // another has it open
	Closed  State = "closed"  // it cannot be opened
)

// Port is one port, and who speaks on it.
type Port struct {
	Name    string   `json:"port"` // as a job file names it
	Node    string   `json:"node"`
	Other   []string `json:"other_names"`
	Lasting bool     `json:"lasting"` // the name follows the adapter
	State   State    `json:"state"`
	Speech  *Speech  `json:"speech"` // nil where nobody was understood
	Problem string   `json:"problem,omitempty"`
	Hint    string   `json:"hint,omitempty"`
	// Sensor is the line for the job file; empty where there is none.
	Sensor string `json:"sensor,omitempty"`
}

// Speech is what was heard of one box.
type Speech struct {
	Link     string  `json:"link"`
	Baud     int     `json:"baud"`
	Name     string  `json:"name"` // what it says of itself, empty where it does not
	Serial   string  `json:"serial"`
	Firmware string  `json:"firmware"`
	Arc      bool    `json:"arc"` // it samples voltage and current
	Seconds  float64 `json:"seconds"`
	Frames   int64   `json:"frames"`
	Samples  int64   `json:"samples"` // of voltage and current
	Lost     int64   `json:"lost"`    // frames, by their sequence numbers
	Damaged  int64   `json:"damaged"`
	Tried    []int   `json:"tried"` // baud rates at which it was not understood before
	// Layout is a guess at the columns of a plain meter; Ranges is what each showed.
	Layout *series.Layout `json:"-"`
	Ranges []Range        `json:"ranges,omitempty"`

	unit  uint8 // of a slave
	noMap bool  // it is a slave with registers of its own, which only its manual knows
}

// Range is what a column of a plain meter showed.
type Range struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// PerSecond is a count over the time that was listened; 0 where that was none.
func (s *Speech) PerSecond(count int64) float64 {
	if s.Seconds <= 0 {
		return 0
	}
	return float64(count) / s.Seconds
}

// Find listens to all ports at once, and returns them in the order in which a job file
// lists them: who tells the arc comes first, who says nothing last.
func Find(ctx context.Context, o Options) ([]Port, error) {
	named := o.Places.List()
	ports := make([]Port, len(named)) // a list in JSON, empty or not
	var listening sync.WaitGroup
	for k, n := range named {
		listening.Go(func() { ports[k] = o.look(ctx, n) })
	}
	listening.Wait()
	slices.SortStableFunc(ports, func(a, b Port) int { return a.rank() - b.rank() })
	return ports, ctx.Err()
}

// rank is the place among the others.
func (p *Port) rank() int {
	switch {
	case p.State == Speaks && p.Speech.Arc:
		return 0
	case p.State == Meter:
		return 1
	case p.State == Speaks:
		return 2
	default:
		return 3
	}
}

// look finds out about one port.
func (o Options) look(ctx context.Context, n port.Named) Port {
	found := Port{Name: n.Name, Node: n.Node, Other: append([]string{}, n.Other...), Lasting: n.Lasting()}
	if held := port.Holders(n.Node); len(held) > 0 {
		found.busy(held)
		return found
	}
	line, err := port.Open(ctx, port.Config{Name: n.Name, Baud: bauds[0]})
	if err != nil {
		found.closed(err)
		return found
	}
	w := newWire(ctx, line, o.now())
	t := tuner{wire: w, listenFor: o.listenFor(), tell: func(doing string) { o.tell(n.Name, doing) }}
	if o.Ask != nil {
		t.ask = func(ctx context.Context, baud int) *Speech { return o.Ask(ctx, w, baud) }
	}
	found.heard(t.listen(ctx))
	if err := w.close(); err != nil && found.Problem == "" {
		found.Problem = err.Error()
	}
	if found.Speech != nil {
		found.Sensor = found.sensorLine()
	}
	return found
}

func (o Options) now() func() time.Time {
	if o.Now == nil {
		return time.Now
	}
	return o.Now
}

func (o Options) listenFor() time.Duration {
	if o.For <= 0 {
		return DefaultFor
	}
	return o.For
}

func (o Options) tell(name, doing string) {
	if o.Progress != nil {
		o.Progress(name, doing)
	}
}

// busy says who has the port open.
func (p *Port) busy(held []port.Holder) {
	p.State = Busy
	k := max(0, slices.IndexFunc(held, port.Holder.Grabs))
	p.Problem = held[k].String() + " has it open"
	switch {
	case held[k].Grabs():
		p.Hint = "it takes any serial adapter for its own: " + port.Advice()
	case held[k].Name == "arctally":
		p.Hint = "it is being recorded: end the recording to listen here"
	default:
		p.Hint = "end that program to listen here"
	}
}

// closed says why the port cannot be opened.
func (p *Port) closed(err error) {
	p.State, p.Problem = Closed, err.Error()
	var e *port.Error
	if !errors.As(err, &e) {
		return
	}
	p.Hint = e.Hint()
	if e.Kind != port.Busy {
		return
	}
	p.State = Busy
	if e.Holder == os.Getpid() {
		p.Problem, p.Hint = "a recording of this program has it open", "end the recording to listen here"
	}
}
