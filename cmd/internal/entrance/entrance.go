// Package entrance joins the door, the authority and the terminal: how the pages are
// reached, and what the person at the machine is told about it.
package entrance

import (
	"fmt"
	"net"
	"net/http"

	"arctally/cmd/internal/authority"
	"arctally/cmd/internal/door"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/sealing"
	"arctally/cmd/internal/terminal"
	"arctally/report/page"
)

// Options are what the person at the terminal chose.
type Options struct {
	Certificate, Key string    // files of a certificate of one's own; empty is the machine's authority
	NewAuthority     bool      // make another authority
	Role             page.Role // of the code that is shown first
}

// Way is how the pages are reached.
type Way struct {
	Door      *door.Door
	screen    *terminal.Screen
	role      page.Role
	addresses []string // at which browsers find the pages
	network   []string // those of them that others can reach
	authority *authority.Authority
	front     func(*http.Server) *door.Front
}

// errFolder is a machine that can keep no key.
var errFolder = &explain.Error{
	Kind: explain.InTheWay, Text: "serve: there is no folder for the authority and the devices of this machine",
	Next: "set HOME, or serve this machine alone: --listen 127.0.0.1:8470",
}

// Open finds out how the pages are reached at an address. At a loopback one it is as simple
// as that; at any other the machine needs a certificate, and a list of devices.
func Open(o Options, at net.Addr, hosts []string, screen *terminal.Screen) (*Way, error) {
	w := &Way{screen: screen, role: o.Role}
	w.addresses, w.network = addressesOf(at)
	settings := door.Options{Hosts: hosts, Now: screen.Now, Tell: screen.Tell}
	if w.network == nil {
		if o.Certificate != "" || o.Key != "" {
			return nil, &explain.MisuseError{Command: "serve", Text: "--certificate and --key are for the network: --listen :8470"}
		}
		var err error
		w.Door, err = door.New(settings)
		w.front = func(pages *http.Server) *door.Front { return door.NewFront(pages, w.Door, nil, nil) }
		return w, err
	}
	if settings.Folder = sealing.Folder(); settings.Folder == "" {
		return nil, errFolder
	}
	return w, w.secure(o, settings, hosts)
}

// secure gives the machine its certificate.
func (w *Way) secure(o Options, settings door.Options, hosts []string) (err error) {
	shows, err := w.certificate(o, settings.Folder, hosts)
	if err != nil {
		return err
	}
	settings.Names, settings.Strict = shows.Names, o.Certificate != ""
	if len(w.network) > 0 {
		settings.Address = "https://" + w.network[0]
	}
	if w.Door, err = door.New(settings); err != nil {
		return err
	}
	var der []byte
	if w.authority != nil {
		der = w.authority.Certificate()
	}
	w.front = func(pages *http.Server) *door.Front {
		return door.NewFront(pages, w.Door, shows.Config(), door.Plain(der))
	}
	return nil
}

func (w *Way) certificate(o Options, folder string, hosts []string) (authority.Shown, error) {
	switch {
	case (o.Certificate == "") != (o.Key == ""):
		return nil, &explain.MisuseError{Command: "serve", Text: "--certificate and --key belong together"}
	case o.Certificate != "" && o.NewAuthority:
		return nil, &explain.MisuseError{Command: "serve", Text: "with --certificate the machine needs no authority of its own"}
	case o.Certificate != "":
		return authority.ReadOwn(o.Certificate, o.Key, w.screen.Now())
	}
	a, err := authority.Open(folder, authority.Of(hosts), o.NewAuthority, w.screen.Now())
	if err != nil {
		return nil, err
	}
	w.authority = a
	return a.Leaves(func() authority.Names { return authority.Of(hosts) }, w.screen.Now)
}

// Before puts the door before the pages.
func (w *Way) Before(pages *http.Server) *door.Front { return w.front(pages) }

// addressesOf are those at which a browser finds a listener, and of them those that others
// than this machine can reach; nil is none.
func addressesOf(at net.Addr) (addresses, network []string) {
	tcp, ok := at.(*net.TCPAddr)
	if !ok || tcp.IP.IsLoopback() {
		return []string{at.String()}, nil
	}
	port := fmt.Sprint(tcp.Port)
	if !tcp.IP.IsUnspecified() {
		return nil, []string{at.String()}
	}
	network = []string{}
	all, err := net.InterfaceAddrs()
	if err != nil {
		all = nil // localhost works all the same
	}
	for _, a := range all {
		if ip, ok := a.(*net.IPNet); ok && !ip.IP.IsLoopback() && !ip.IP.IsLinkLocalUnicast() {
			network = append(network, net.JoinHostPort(ip.IP.String(), port))
		}
	}
	return []string{net.JoinHostPort("localhost", port)}, network
}
