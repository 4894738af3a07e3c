package door

import (
	"context"
	"crypto/tls"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"sync"
	"time"
)

// Front serves the pages: over TLS to whoever comes from the network, and plainly to who
// sits at the machine.
type Front struct {
	here, secure, plain *http.Server
	door                *Door
}

// streamsOfOne connection of HTTP/2; a browser opens one connection.
const streamsOfOne = 64

// NewFront puts a door before the pages. Without a config others than this machine cannot
// come; plain answers who comes from the network without TLS.
func NewFront(pages *http.Server, d *Door, config *tls.Config, plain http.Handler) *Front {
	pages.Handler = d.Handler(pages.Handler)
	secure := &http.Server{
		Handler: pages.Handler, TLSConfig: config, HTTP2: &http.HTTP2Config{MaxConcurrentStreams: streamsOfOne},
		ReadHeaderTimeout: pages.ReadHeaderTimeout, IdleTimeout: pages.IdleTimeout, MaxHeaderBytes: pages.MaxHeaderBytes, ErrorLog: rarely(pages.ErrorLog),
	}
	pages.ConnContext = func(ctx context.Context, _ net.Conn) context.Context {
		return context.WithValue(ctx, hereKey{}, true)
	}
	refusing := &http.Server{Handler: plain, ReadTimeout: firstByteTime, WriteTimeout: firstByteTime, MaxHeaderBytes: 16 << 10, ErrorLog: secure.ErrorLog}
	refusing.SetKeepAlivesEnabled(false)
	return &Front{here: pages, secure: secure, plain: refusing, door: d}
}

// Serve serves until it is shut down.
func (f *Front) Serve(l net.Listener) error {
	if f.secure.TLSConfig == nil {
		return f.here.Serve(l)
	}
	ctx, end := context.WithCancel(context.Background())
	defer end()
	go f.door.Watch(ctx, time.Second)
	s := newSplit(l)
	ended := make(chan error, 4)
	go func() { ended <- s.run() }()
	go func() { ended <- f.here.Serve(s.here) }()
	go func() { ended <- f.plain.Serve(s.plain) }()
	go func() { ended <- f.secure.ServeTLS(s.secure, "", "") }()
	err := <-ended
	return errors.Join(err, l.Close())
}

// Shutdown lets answers that are under way go out.
func (f *Front) Shutdown(ctx context.Context) error {
	var all sync.WaitGroup
	errs := make([]error, 3)
	for k, s := range []*http.Server{f.here, f.secure, f.plain} {
		all.Go(func() { errs[k] = s.Shutdown(ctx) })
	}
	all.Wait()
	return errors.Join(errs...)
}

// Close ends at once.
func (f *Front) Close() error {
	return errors.Join(f.here.Close(), f.secure.Close(), f.plain.Close())
}

// Of what strangers do wrong a few lines a minute are told: else they could write the terminal full.
const (
	rareLines = 10
	rareTime  = time.Minute
)

func rarely(to *log.Logger) *log.Logger {
	if to == nil {
		return nil
	}
	return log.New(&rare{to: to.Writer()}, "", 0)
}

type rare struct {
	to    io.Writer
	mutex sync.Mutex
	since time.Time
	lines int
}

// Write implements io.Writer.
func (r *rare) Write(line []byte) (int, error) {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	if now := time.Now(); now.Sub(r.since) > rareTime {
		r.since, r.lines = now, 0
	}
	if r.lines++; r.lines > rareLines {
		return len(line), nil
	}
	return r.to.Write(line)
}
