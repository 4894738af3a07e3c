package door

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"arctally/report/page"
)

// Share is the most that one client takes. Ours, no source: several times what our pages
// ask for where a person taps as fast as he can.
type Share struct {
	Requests float64 // a second, in the long run; 0 is as many as it likes
	Burst    float64 // requests at once, after a pause
	AtOnce   int     // requests under way
	Streams  int     // that stay open; the longest open makes room for another
	Bytes    float64 // that it sends a second, in the long run; 0 is as many as it likes
	Load     float64 // bytes at once, after a pause
}

// Shares are those of all kinds of client.
type Shares struct {
	Here, Device, Stranger Share
	Streams                int           // of all clients together
	Clients                int           // of which account is kept
	Sending                time.Duration // for a client to send a request that it began
}

// Usual are the shares that the program gives.
var Usual = Shares{
	Here:     Share{Requests: 500, Burst: 10_000, AtOnce: 256, Streams: 48}, // a page that runs away leaves the machine its time
	Device:   Share{Requests: 40, Burst: 400, AtOnce: 48, Streams: 12, Bytes: 512 << 10, Load: 64 << 20},
	Stranger: Share{Requests: 2, Burst: 60, AtOnce: 8, Bytes: 256, Load: 16 << 10},
	Streams:  60, Clients: 4096, Sending: 30 * time.Second,
}

// client is what one has taken.
type client struct {
	last            time.Time
	requests, bytes float64 // that are left
	atOnce          int
	told            time.Time // since when lines of it are counted
	lines           int
}

// of is the share of a visitor.
func (s *Shares) of(v page.Visitor) Share {
	switch {
	case v.Here:
		return s.Here
	case v.ID != "":
		return s.Device
	default:
		return s.Stranger
	}
}

// served hands a request on, if its client has something left of its share.
func (d *Door) served(w http.ResponseWriter, r *http.Request, v page.Visitor, next http.Handler) {
	name, share := clientOf(r.Context()), d.Shares.of(v)
	if p := body(r, v.Here); p != nil {
		w.Header().Set("Connection", "close") // the rest of it is not read
		page.Refuse(w, p)
		return
	}
	leave, p := d.use(name, share, float64(max(0, r.ContentLength)))
	if p != nil {
		page.Refuse(w, p)
		return
	}
	defer leave()
	if r.ContentLength != 0 { // or who sends a letter a minute would be waited for for ever
		_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(d.Shares.Sending)) // only real connections have one
	}
	if r.URL.Path == page.StreamPath && share.Streams > 0 && v.Role != page.Stranger {
		ctx, left := d.stream(r.Context(), name, v.ID, share.Streams)
		defer left()
		r = r.WithContext(ctx)
	}
	if v.ID == "" || !changes(r.Method) {
		next.ServeHTTP(w, r)
		return
	}
	out := &status{ResponseWriter: w, code: http.StatusOK}
	defer func() { d.acted(v, r, out.code) }()
	next.ServeHTTP(out, r)
}

// status knows what was answered.
type status struct {
	http.ResponseWriter
	code int
}

// WriteHeader implements http.ResponseWriter.
func (s *status) WriteHeader(code int) {
	s.code = code
	s.ResponseWriter.WriteHeader(code)
}

// Unwrap is for http.ResponseController.
func (s *status) Unwrap() http.ResponseWriter { return s.ResponseWriter }

// acted tells at the machine what a device did, or was refused; a few lines a minute of each.
func (d *Door) acted(v page.Visitor, r *http.Request, code int) {
	d.mutex.Lock()
	c := d.clients[clientOf(r.Context())]
	if now := d.Now(); c != nil && now.Sub(c.told) > rareTime {
		c.told, c.lines = now, 0
	}
	silent := c == nil || c.lines >= actLines
	if c != nil {
		c.lines++
	}
	d.mutex.Unlock()
	if silent {
		return
	}
	did := "did"
	if code >= http.StatusBadRequest {
		did = "was refused (" + http.StatusText(code) + ")"
	}
	d.Tell("%s (%s) %s: %s %s", v.Device, v.Role, did, r.Method, quoted(r.URL.Path))
}

// actLines are told of one device in a minute. Ours, no source.
const actLines = 60

// body refuses one that no operation takes, or whose length nobody knows.
func body(r *http.Request, here bool) *page.Problem {
	switch {
	case r.ContentLength == 0:
		return nil
	case r.Method == http.MethodGet || r.Method == http.MethodHead || r.Method == http.MethodDelete:
		return &page.Problem{Status: http.StatusBadRequest, Message: r.Method + " takes no body", Hint: "load the page again"}
	case r.ContentLength < 0 && !here:
		return &page.Problem{Status: http.StatusLengthRequired, Message: "how long is it?", Hint: "send the length with it, as browsers do"}
	}
	return nil
}

// use takes one request off a client's share, with what it sends; leave is called when it is answered.
func (d *Door) use(name string, share Share, bytes float64) (leave func(), refused *page.Problem) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	c := d.client(name, share)
	now := d.Now()
	passed := max(0, now.Sub(c.last).Seconds())
	c.last = now
	c.requests = min(share.Burst, c.requests+passed*share.Requests)
	c.bytes = min(share.Load, c.bytes+passed*share.Bytes)
	switch {
	case c.atOnce >= share.AtOnce:
		return nil, tooMuch(fmt.Sprintf("%d requests of this device are under way already", c.atOnce), time.Second)
	case share.Requests > 0 && c.requests < 1:
		return nil, tooMuch("this device asks for too much at once", inTime(1-c.requests, share.Requests))
	case share.Bytes > 0 && bytes > share.Load:
		return nil, &page.Problem{Status: http.StatusRequestEntityTooLarge, Message: "that is more than is taken from this device", Hint: "send less"}
	case share.Bytes > 0 && c.bytes < bytes:
		return nil, tooMuch("this device sends too much at once", inTime(bytes-c.bytes, share.Bytes))
	}
	c.requests--
	c.bytes -= bytes
	c.atOnce++
	return func() {
		d.mutex.Lock()
		defer d.mutex.Unlock()
		c.atOnce--
	}, nil
}

func inTime(missing, rate float64) time.Duration {
	return time.Duration(missing / rate * float64(time.Second))
}

func tooMuch(message string, wait time.Duration) *page.Problem {
	wait = max(wait, time.Second)
	return &page.Problem{Status: http.StatusTooManyRequests, Message: message, Hint: "wait " + lasting(wait) + ", then try again", Wait: wait}
}

// client is the account of one. Who was quiet longest makes room where there are too many.
func (d *Door) client(name string, share Share) *client {
	if c := d.clients[name]; c != nil {
		return c
	}
	for len(d.clients) >= d.Shares.Clients {
		oldest := ""
		for other, c := range d.clients {
			if oldest == "" || c.last.Before(d.clients[oldest].last) {
				oldest = other
			}
		}
		delete(d.clients, oldest)
	}
	c := &client{last: d.Now(), requests: share.Burst, bytes: share.Load}
	d.clients[name] = c
	return c
}

// stream is one answer that stays open.
type stream struct {
	client, device string
	end            context.CancelFunc
	ended          chan struct{}
}

// stream makes room for one more, at the cost of a client's own oldest or of the oldest of
// whoever holds most: so that nobody can take them all. It waits until that one is gone.
func (d *Door) stream(ctx context.Context, name, device string, most int) (context.Context, func()) {
	own, end := context.WithCancel(ctx)
	one := &stream{client: name, device: device, end: end, ended: make(chan struct{})}
	d.mutex.Lock()
	gone := d.room(name, most)
	d.streams = append(d.streams, one)
	d.mutex.Unlock()
	for _, s := range gone {
		s.end()
	}
	for _, s := range gone {
		select {
		case <-s.ended:
		case <-ctx.Done():
		}
	}
	return own, func() {
		end()
		d.mutex.Lock()
		d.streams = dropped(d.streams, one)
		d.mutex.Unlock()
		close(one.ended)
	}
}

// room takes those off the list that have to go.
func (d *Door) room(name string, most int) (gone []*stream) {
	for {
		count := map[string]int{}
		for _, s := range d.streams {
			count[s.client]++
		}
		whose := ""
		switch {
		case count[name] >= most:
			whose = name
		case len(d.streams) >= d.Shares.Streams:
			for other, n := range count {
				if n > count[whose] || n == count[whose] && other < whose {
					whose = other
				}
			}
		default:
			return gone
		}
		for _, s := range d.streams {
			if s.client == whose {
				gone = append(gone, s)
				d.streams = dropped(d.streams, s)
				break
			}
		}
	}
}

func dropped(all []*stream, one *stream) (left []*stream) {
	for _, s := range all {
		if s != one {
			left = append(left, s)
		}
	}
	return left
}

// cut ends the streams of a device that may not come in any more.
func (d *Door) cut(device string) {
	if device == "" {
		return
	}
	d.mutex.Lock()
	defer d.mutex.Unlock()
	for _, s := range d.streams {
		if s.device == device {
			s.end()
		}
	}
}

// Watch ends the streams of devices that another program shut out, or whose time is over,
// until ctx ends.
func (d *Door) Watch(ctx context.Context, every time.Duration) {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			d.look()
		}
	}
}

func (d *Door) look() {
	if !d.network() {
		return
	}
	all, err := d.devices.all(d.Now())
	if err != nil {
		all = nil // nobody comes in by a list that cannot be read
	}
	in := map[string]bool{"": true}
	for _, one := range all {
		in[one.ID] = true
	}
	d.mutex.Lock()
	defer d.mutex.Unlock()
	for _, s := range d.streams {
		if !in[s.device] {
			s.end()
		}
	}
}
