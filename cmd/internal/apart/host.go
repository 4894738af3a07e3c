package apart

import (
	"context"
	"encoding/json"
	"errors"
	"net"
	"os"
	"sync"
	"time"

	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/shelf"
	"arctally/cmd/internal/terminal"
	"arctally/report/page"
	"arctally/report/page/live"
)

// host is the recorder: it records, and answers whoever is on a line.
type host struct {
	order    Order
	now      func() time.Time
	session  recording.Session
	run      runner
	monitor  *recording.Monitor
	end      context.CancelFunc
	listener net.Listener

	mu     sync.Mutex
	came   bool // somebody
	lines  map[*line]struct{}
	newest frame   // state
	ended  []frame // what was told at the end
	moved  chan struct{}
}

// Hello is the first that a recorder says.
type Hello struct {
	Order   Order  `json:"order"`
	Speech  string `json:"speech"`  // a front of another speech cannot read what it says
	Program string `json:"program"` // another build would judge otherwise
	Process int    `json:"process"`
}

// Done is what became of a recording.
type Done struct {
	Err      *Far   `json:"err"`
	Cut      bool   `json:"cut"`     // it was asked to end
	Mistake  string `json:"mistake"` // what the program stumbled over, and where; empty is nothing
	Passes   int    `json:"passes"`
	Findings int    `json:"findings"`
	Judged   []byte `json:"judged"` // a packed analyze.Result; none where it must be made anew
}

// Serve records what was ordered, and answers until all of it is told and nobody asks any
// more. It ends early, with the record closed, when ctx ends.
func Serve(ctx context.Context, o Order, now func() time.Time) error {
	at, err := placeOf(o.Folder)
	if err != nil {
		return err
	}
	listener, err := at.listen(ctx)
	if err != nil {
		return err
	}
	h := &host{order: o, now: now, listener: listener, lines: map[*line]struct{}{}, moved: make(chan struct{}, 1)}
	running, end := context.WithCancel(ctx)
	defer end()
	h.end = end
	err = h.prepare()
	var work sync.WaitGroup
	work.Go(func() { h.accept(farOf(err)) })
	if err == nil {
		h.record(running)
	}
	h.linger(ctx)
	closed := h.listener.Close()
	h.leave()
	work.Wait()
	return closed
}

// record records, and tells what became of it.
func (h *host) record(ctx context.Context) {
	result, err := h.run(ctx, &h.session, terminal.Quiet(h.now))
	d := Done{Err: farOf(err), Cut: ctx.Err() != nil, Passes: len(result.Passes), Findings: len(result.Findings)}
	if e := h.monitor.Mistake(); e != nil {
		d.Mistake = e.Error() + "\n" + string(e.Stack)
	}
	if err == nil && !h.order.Joins && h.session.Why == "" { // else what the source said of itself before is in the record alone
		d.Judged = shelf.Pack(&result)
	}
	h.last(frame{Kind: kindDone, body: encoded(d)}) // before the pages hear that it is over
	h.monitor.Finish(err)
	h.last(frame{Kind: kindClosed})
}

// encoded is a value of ours, all of which can be encoded.
func encoded(value any) []byte {
	text, err := json.Marshal(value)
	if err != nil {
		panic("apart: " + err.Error())
	}
	return text
}

// linger waits until somebody has come and nobody asks any more. A front that started a
// recorder comes at once, if it is there.
func (h *host) linger(ctx context.Context) {
	timer := time.NewTimer(patience)
	defer timer.Stop()
	for {
		came, asks := h.asked()
		if came && !asks {
			return
		}
		select {
		case <-h.moved:
		case <-timer.C:
			if !came {
				return
			}
		case <-ctx.Done():
			return
		}
	}
}

// asked reports whether anybody has come, and whether anybody is on a line.
func (h *host) asked() (came, asks bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.came, len(h.lines) > 0
}

// leave cuts all lines, once all is told.
func (h *host) leave() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for l := range h.lines {
		l.finish()
	}
}

// accept takes who comes. A recorder that cannot record says why.
func (h *host) accept(refused *Far) {
	var work sync.WaitGroup
	defer work.Wait()
	for {
		conn, err := h.listener.Accept()
		if err != nil {
			return
		}
		l := newLine(conn)
		h.welcome(l, refused)
		work.Go(func() {
			h.answer(l)
			h.mu.Lock()
			delete(h.lines, l)
			h.mu.Unlock()
			select {
			case h.moved <- struct{}{}:
			default:
			}
		})
	}
}

// welcome tells who comes where things stand.
func (h *host) welcome(l *line, refused *Far) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.came, h.lines[l] = true, struct{}{}
	l.send(frame{Kind: kindHello, Err: refused, body: encoded(Hello{h.order, speech(), program(), os.Getpid()})})
	if refused != nil {
		return
	}
	if h.newest.Kind != "" {
		l.send(h.newest)
	}
	for _, f := range h.ended {
		l.send(f)
	}
}

// last tells what is told at the end, and keeps it for who comes later.
func (h *host) last(f frame) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.ended = append(h.ended, f)
	for l := range h.lines {
		l.send(f)
	}
}

// pass tells all who listen; what it costs does not depend on how many pages are open.
func (h *host) pass(t page.Told, isState bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	f := frame{Kind: t.Kind, body: t.Data}
	if isState {
		h.newest = f
	}
	for l := range h.lines {
		l.send(f)
	}
}

// Live implements recording.Audience.
func (h *host) Live(l *live.State) { h.pass(page.ToldLive(l), true) }

// Strip implements recording.Audience.
func (h *host) Strip(s live.Strip) { h.pass(page.ToldStrip(s), false) }

// Bead implements recording.Audience.
func (h *host) Bead(b live.Bead) { h.pass(page.ToldBead(b), false) }

// Restart implements recording.Audience.
func (h *host) Restart() { h.pass(page.Told{Kind: kindRestart}, false) }

// answer answers what is asked on a line until it is cut. What takes long holds up no
// other question.
func (h *host) answer(l *line) {
	defer l.close()
	var work sync.WaitGroup
	defer work.Wait()
	for {
		asked, err := l.read()
		if err != nil {
			return
		}
		work.Go(func() {
			answer := frame{Kind: kindAnswer, ID: asked.ID}
			mistake := recording.Caught(func() {
				body, err := h.act(asked)
				answer.body, answer.Err = body, farOf(err)
			})
			if mistake != nil { // it must not end what is recorded
				answer.body, answer.Err = nil, farOf(mistake)
			}
			l.send(answer)
		})
	}
}

var errNoQuestion = errors.New("apart: nobody knows this question")
