// Package door knows who may come in from the network, and lets nobody take more than his
// share: it stands before the pages.
//
// Terms. Here is whoever sits at the machine: he reaches the pages at a loopback address,
// and needs no ceremony. Anybody else comes over TLS, as a device: one that was paired by
// showing a code that stood at the machine, once. It gets a token, which its browser keeps
// as a cookie; of the token only a hash is kept here. A client is a device, an address from
// which strangers come, or the machine itself; a share is what one client may take.
//
// Errors: what is refused is answered in words, with what to do next, and said at the
// terminal where somebody seems to try what he may not. A list of devices that cannot be
// read lets nobody in.
package door

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"

	"arctally/report/page"
)

// Options is what a door is made of.
type Options struct {
	Folder  string                 // where the list of devices is kept; empty where others than this machine cannot come
	Hosts   []string               // by which this machine may be called at itself, beside localhost
	Names   func(host string) bool // whether the machine is called that on the network; nil where others cannot come
	Strict  bool                   // browsers are told to use nothing but TLS with this name
	Address string                 // where a tablet begins
	Now     func() time.Time
	Tell    func(format string, args ...any) // to who sits at the machine
	Shares  *Shares                          // nil is Usual
}

// Door decides who comes in.
type Door struct {
	Options
	devices *devices
	mutex   sync.Mutex // of what follows
	code    *code
	tries   map[string]*tries
	clients map[string]*client
	streams []*stream // the longest open first
	seen    map[string]time.Time
}

var _ page.Doorkeeper = (*Door)(nil)

// New returns a door.
func New(o Options) (*Door, error) {
	if o.Shares == nil {
		o.Shares = &Usual
	}
	d := &Door{Options: o, tries: map[string]*tries{}, clients: map[string]*client{}, seen: map[string]time.Time{}}
	if o.Folder == "" {
		return d, nil
	}
	d.devices = &devices{folder: o.Folder}
	return d, d.devices.load()
}

// network tells whether others than this machine can come.
func (d *Door) network() bool { return d.devices != nil }

// Handler lets those in that may come, and no more than their share of each.
func (d *Door) Handler(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		here := isHere(r.Context())
		if d.Strict && !here {
			w.Header().Set("Strict-Transport-Security", "max-age=31536000")
		}
		visitor, client, refused := d.admit(r, here)
		if refused != nil {
			page.Refuse(w, refused)
			return
		}
		r = r.WithContext(withClient(visitor.With(r.Context()), client))
		d.served(w, r, visitor, next)
	})
}

// admit says who asks, or why he is not heard at all.
func (d *Door) admit(r *http.Request, here bool) (v page.Visitor, client string, refused *page.Problem) {
	if here {
		if !d.calledHere(r.Host) {
			return v, "", wrongName(r.Host)
		}
		return page.AtTheMachine, "here", nil
	}
	if d.Names == nil || !d.Names(hostOf(r.Host)) {
		return v, "", wrongName(r.Host)
	}
	v = d.visitor(r)
	client = addressOf(r.RemoteAddr)
	if v.ID != "" {
		client = "device " + v.ID
	}
	if changes(r.Method) && !fromOurs(r) {
		return v, "", &page.Problem{Status: http.StatusForbidden, Message: "a page of another server asked for this", Hint: "use the pages that this machine serves"}
	}
	return v, client, nil
}

func wrongName(host string) *page.Problem {
	return &page.Problem{
		Status: http.StatusMisdirectedRequest, Message: "this machine is not called " + quoted(host),
		Hint: "use the address that the machine shows, or start the program with arctally serve --host NAME",
	}
}

// changes tells whether a request may change something.
func changes(method string) bool { return method != http.MethodGet && method != http.MethodHead }

// fromOurs tells whether a request was made by one of our own pages. Every browser says so
// of a request that changes something; who says nothing is no browser and has no cookie to be misused, but then it can say it too.
func fromOurs(r *http.Request) bool { return r.Header.Get("Origin") == "https://"+r.Host }

// calledHere tells whether a request at the machine itself names the machine. A page
// elsewhere may have its own name point here, and would pass for one of ours.
func (d *Door) calledHere(called string) bool {
	host := hostOf(called)
	if ip, err := netip.ParseAddr(host); err == nil {
		return ip.IsLoopback() || d.named(host)
	}
	return host == "localhost" || d.named(host)
}

func (d *Door) named(host string) bool {
	for _, name := range d.Hosts {
		if strings.EqualFold(strings.TrimSuffix(name, "."), host) {
			return true
		}
	}
	return false
}

// hostOf is the name in a Host header, in small letters.
func hostOf(called string) string {
	host := called
	if h, _, err := net.SplitHostPort(called); err == nil {
		host = h
	}
	return strings.ToLower(strings.TrimSuffix(strings.Trim(host, "[]"), "."))
}

// addressOf is what tells a stranger from others: his address, or the network of it, of
// which every machine has a great many.
func addressOf(remote string) string {
	at, err := netip.ParseAddrPort(remote)
	if err != nil {
		return "somewhere"
	}
	ip := at.Addr().Unmap().WithZone("")
	if ip.Is6() {
		p, _ := ip.Prefix(64)
		return p.String()
	}
	return ip.String()
}

type hereKey struct{}

type clientKey struct{}

// isHere tells whether a request came from the machine itself.
func isHere(ctx context.Context) bool {
	here, _ := ctx.Value(hereKey{}).(bool)
	return here
}

func withClient(ctx context.Context, client string) context.Context {
	return context.WithValue(ctx, clientKey{}, client)
}

func clientOf(ctx context.Context) string {
	client, _ := ctx.Value(clientKey{}).(string)
	return client
}
