package page

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"runtime/debug"
	"slices"
	"strings"
)

// policy lets a page load what this server serves, and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; font-src 'self'; manifest-src 'self'; " +
	"frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// guard refuses what did not come from our own pages, and mends what breaks.
func (s *server) guard(called func(host string) bool, next http.Handler) http.Handler {
	origins := http.NewCrossOriginProtection()
	return s.answering(func(w http.ResponseWriter, r *http.Request) error {
		extend(w, sendTime)
		harden(w.Header())
		if !called(r.Host) {
			return &Problem{
				Status: http.StatusMisdirectedRequest, Message: fmt.Sprintf("this machine is not called %q", r.Host),
				Hint: "use its address in figures, or start the program with arctally serve --host NAME",
			}
		}
		if err := origins.Check(r); err != nil {
			return &Problem{Status: http.StatusForbidden, Message: "a page of another server asked for this", Hint: "use the pages that this program serves"}
		}
		if site := r.Header.Get("Sec-Fetch-Site"); strings.HasPrefix(r.URL.Path, "/api/") && site != "" && site != "same-origin" && site != "none" {
			return &Problem{Status: http.StatusForbidden, Message: "a page of another server asked for this", Hint: "use the pages that this program serves"}
		}
		next.ServeHTTP(w, r)
		return nil
	})
}

// mayBeCalled tells whether a request names this machine. A page elsewhere may
// have its own name point here, and then pass for one of ours: so names must be
// known. An address in figures cannot be taken over that way.
func mayBeCalled(called string, hosts []string) bool {
	host := called
	if h, _, err := net.SplitHostPort(called); err == nil {
		host = h
	}
	host = strings.ToLower(strings.TrimSuffix(host, "."))
	if _, err := netip.ParseAddr(strings.Trim(host, "[]")); err == nil {
		return true
	}
	return host == "localhost" || slices.ContainsFunc(hosts, func(name string) bool { return strings.ToLower(name) == host })
}

// answering turns the error of an operation into an answer. A panic is an error
// of ours: it goes to the log with its place, and the pages get a sentence.
func (s *server) answering(operation func(w http.ResponseWriter, r *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		out := &tracked{ResponseWriter: w}
		defer func() {
			problem := recover()
			if problem == nil {
				return
			}
			if err, ok := problem.(error); ok && errors.Is(err, http.ErrAbortHandler) {
				panic(problem)
			}
			s.log.Error("a request broke", "method", r.Method, "path", r.URL.Path, "panic", problem, "stack", string(debug.Stack()))
			s.refuse(out, r, errBroken)
		}()
		if err := operation(out, r); err != nil {
			s.refuse(out, r, err)
		}
	}
}

// StreamPath is where the stream of events is, which stays open.
const StreamPath = "/api/events"

// Refuse answers a request that does not come as far as the pages.
func Refuse(w http.ResponseWriter, p *Problem) {
	harden(w.Header())
	s := &server{log: slog.New(slog.DiscardHandler), outward: Outward}
	s.refuse(&tracked{ResponseWriter: w}, nil, p)
}

// harden says what a browser may do with an answer: nothing that these pages do not need.
func harden(header http.Header) {
	header.Set("Content-Security-Policy", policy)
	header.Set("X-Content-Type-Options", "nosniff")
	header.Set("Referrer-Policy", "no-referrer")
	header.Set("Cross-Origin-Opener-Policy", "same-origin")
	header.Set("Cross-Origin-Resource-Policy", "same-origin")
	header.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=(), payment=(), usb=()")
}
