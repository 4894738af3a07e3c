package page

import (
	"crypto/rand"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"sync"

	"arctally/report/page/live"
)

const (
	keptStrips     = 3000 // events of which who was away is told exactly
	maxSubscribers = 64
)

// The names of events.
const (
	eventLive    = "live"
	eventStrip   = "strip"
	eventBead    = "bead"
	eventHouse   = "house"
	eventRestart = "restart"
)

// event is one message. Numbers rise by one from event to event, whatever its kind.
type event struct {
	number int64
	kind   string
	data   []byte
	text   []byte // as it is sent
	packed []byte // compressed; refers back to all events from since on. Nil where nobody took it so
	since  int64
	alone  []byte // compressed, refers to nothing; nil until somebody asks
}

// Hub passes on what changes to all pages that listen. Publishing never waits for
// a page: a page that is slow gets the newest state when it asks again, and every
// strip in order as far as strips are kept.
type Hub struct {
	boot string // differs from start to start

	mutex   sync.Mutex
	last    int64 // number of the newest event
	live    *event
	house   *event
	strips  []*event // a ring
	oldest  int      // where the oldest strip lies once the ring is full
	dropped int64    // number of the newest strip that is no longer kept
	pages   map[*page]struct{}
	closed  bool
	packer  packer
	packing int // pages that take events compressed
}

// NewHub returns a hub on which nothing has happened.
func NewHub() *Hub { return newHub(keptStrips) }

func newHub(strips int) *Hub {
	return &Hub{boot: rand.Text()[:10], strips: make([]*event, 0, strips), pages: map[*page]struct{}{}}
}

// Told is what pages are told, as it is sent to them: a recorder encodes it once, and a
// server passes it on.
type Told struct {
	Kind string
	Data []byte
}

// IsLive reports whether it is a state of the recording.
func (t Told) IsLive() bool { return t.Kind == eventLive }

// ToldLive is the newest state of the recording.
func ToldLive(l *live.State) Told { return told(eventLive, wholeState(l)) }

// ToldStrip is what is new on the strip.
func ToldStrip(s live.Strip) Told { return told(eventStrip, s) }

// ToldBead is what was laid.
func ToldBead(b live.Bead) Told {
	b.Pieces = notNil(b.Pieces)
	return told(eventBead, b)
}

// told encodes a value as it is now. It panics where that cannot be: a NaN is a bug of who
// made the value.
func told(kind string, value any) Told {
	data, err := json.Marshal(value)
	if err != nil {
		panic(fmt.Sprintf("page: a %s event cannot be sent: %v", kind, err))
	}
	return Told{kind, data}
}

// Live tells the newest state of the recording.
func (h *Hub) Live(l *live.State) { h.Pass(ToldLive(l)) }

// Strip tells what is new on the strip.
func (h *Hub) Strip(s live.Strip) { h.Pass(ToldStrip(s)) }

// Bead tells what was laid. It is kept with the strips: who was away for too long is
// told to ask for both anew.
func (h *Hub) Bead(b live.Bead) { h.Pass(ToldBead(b)) }

// Pass passes on what is encoded already. What is of no kind that pages know goes nowhere.
func (h *Hub) Pass(t Told) {
	switch t.Kind {
	case eventLive:
		h.publish(t, func(e *event) { h.live = e })
	case eventStrip, eventBead:
		h.publish(t, h.keep)
	}
}

// House tells that something in the folder changed.
func (h *Hub) House(house House) {
	h.publish(told(eventHouse, house.whole()), func(e *event) { h.house = e })
}

// Restart has all pages ask for strip and bead anew: whoever told them before is gone.
func (h *Hub) Restart() {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	h.last++ // a number that no event has, and that is newer than what any page was sent
	h.strips, h.oldest, h.dropped = h.strips[:0], 0, h.last
	h.wake()
}

// Close ends all streams, so that a server can shut down. What is published
// afterwards goes nowhere.
func (h *Hub) Close() {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if h.closed {
		return
	}
	h.closed = true
	for p := range h.pages {
		close(p.wake)
	}
}

// publish gives an event its number, keeps it, and wakes the pages.
func (h *Hub) publish(t Told, keep func(*event)) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if h.closed {
		return
	}
	h.last++
	e := event{number: h.last, kind: t.Kind, data: t.Data, text: frame(h.id(h.last), t.Kind, t.Data)}
	if h.packing > 0 {
		e.packed, e.since = h.packer.pack(h.packer.recent, e.text), h.packer.since
	}
	h.packer.told(&e)
	keep(&e)
	h.wake()
}

// wake has all pages look for what is new. It is used with the lock held.
func (h *Hub) wake() {
	if h.closed {
		return
	}
	for p := range h.pages {
		select {
		case p.wake <- struct{}{}:
		default:
		}
	}
}

// keep puts a strip into the ring.
func (h *Hub) keep(e *event) {
	if len(h.strips) < cap(h.strips) {
		h.strips = append(h.strips, e)
		return
	}
	h.dropped = h.strips[h.oldest].number
	h.strips[h.oldest] = e
	h.oldest = (h.oldest + 1) % len(h.strips)
}

// listen adds a page. lastID is what a browser says it had last, empty for one
// that begins; that one asks for the strip itself.
func (h *Hub) listen(lastID string) (*page, error) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	switch {
	case h.closed:
		return nil, errEnding
	case len(h.pages) >= maxSubscribers:
		return nil, errTooMany
	}
	p := &page{hub: h, sent: h.last, wake: make(chan struct{}, 1)}
	if lastID != "" {
		number, ok := h.number(lastID)
		p.sent, p.lost = number, !ok || number < h.dropped
	}
	h.pages[p] = struct{}{}
	return p, nil
}

// number reads an identifier of this boot.
func (h *Hub) number(id string) (int64, bool) {
	boot, text, ok := strings.Cut(id, "-")
	number, err := strconv.ParseInt(text, 10, 64)
	return number, ok && err == nil && boot == h.boot && number >= 0 && number <= h.last
}

func (h *Hub) id(number int64) string { return h.boot + "-" + strconv.FormatInt(number, 10) }

// newest returns the newest states that are newer than a number.
func (h *Hub) newest(than int64) (all []*event) {
	for _, e := range []*event{h.live, h.house} {
		if e != nil && e.number > than {
			all = append(all, e)
		}
	}
	return all
}

// houseNumber is that of the newest event of the house; 0 is none.
func (h *Hub) houseNumber() int64 {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if h.house == nil {
		return 0
	}
	return h.house.number
}

// packs counts the pages that take events compressed.
func (h *Hub) packs(more int) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	h.packing += more
}

// packedAlone is an event compressed so that it refers to nothing.
func (h *Hub) packedAlone(e *event) []byte {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if e.alone == nil {
		e.alone = h.packer.pack(nil, e.text)
	}
	return e.alone
}

// alone compresses a text that is no event.
func (h *Hub) alone(text []byte) []byte {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	return h.packer.pack(nil, text)
}

// frame is an event as it is sent.
func frame(id, kind string, data []byte) []byte {
	return fmt.Appendf(make([]byte, 0, len(data)+64), "id: %s\nevent: %s\ndata: %s\n\n", id, kind, data)
}

var (
	errTooMany = &Problem{
		Status: http.StatusServiceUnavailable, Message: fmt.Sprintf("%d pages are listening already", maxSubscribers),
		Hint: "close pages that nobody looks at",
	}
	errEnding = &Problem{Status: http.StatusServiceUnavailable, Message: "the program is ending", Hint: "start it again: arctally serve"}
)
