package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"path"
	"strings"
	"time"

	"arctally/cmd/internal/explain"
	"arctally/report/page"
	"arctally/testdata/job/demo"
)

const shutdownTime = 5 * time.Second // for answers that are under way

// serveOptions say where a folder is served, and what is recorded from.
type serveOptions struct {
	listen string      // the address
	hosts  []string    // names of this machine
	box    *boxOptions // a virtual sensor box stands in for a real one; nil is none
}

// serve serves a folder until ctx ends; ready hears where.
func (o *serveOptions) serve(ctx context.Context, screen *screen, name string, ready func(net.Addr)) (err error) {
	folder, err := openFolder(name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, folder.close()) }()
	if o.box != nil {
		if err := o.prepareDemo(folder); err != nil {
			return err
		}
	}
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", o.listen)
	if err != nil {
		return taken(err)
	}
	hub := page.NewHub()
	shop := newWorkshop(context.WithoutCancel(ctx), folder, screen, hub, o.box)
	defer shop.close()
	server := page.New(page.Options{
		Workshop: shop, Explain: explain.Page, Hub: hub, Hosts: o.hosts,
		Log: slog.New(slog.NewTextHandler(screen.err, nil)),
	})
	o.announce(screen, folder.path, listener.Addr())
	ready(listener.Addr())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return taken(err)
	case <-ctx.Done():
	}
	screen.tell("ending: what is being recorded is stored")
	return o.end(server, shop)
}

// end stores the recording, if one runs, and then lets the pages go.
func (o *serveOptions) end(server *http.Server, shop *workshop) error {
	shop.close()
	ctx, cancel := context.WithTimeout(context.Background(), shutdownTime)
	defer cancel()
	if err := server.Shutdown(ctx); err != nil {
		return server.Close() // who still waits for an answer will not get it
	}
	return nil
}

// taken is an address that cannot be served.
func taken(cause error) error {
	return &explain.Error{Cause: cause, Next: "another program may use the address: choose another port, --listen 127.0.0.1:8471"}
}

// announce says where the pages are, and who else can see them.
func (o *serveOptions) announce(screen *screen, folder string, at net.Addr) {
	screen.tell("serving %s; Ctrl-C ends", folder)
	addresses, open := addressesOf(at)
	for _, address := range addresses {
		screen.tell("open http://%s", address)
	}
	if open {
		screen.tell("caution: anybody on that network can see and add to all of this, and nothing is encrypted: keep it on the tablet's own network")
	}
	if o.box != nil {
		screen.tell("a virtual sensor box stands in for a real one: nothing here was welded")
	}
}

// addressesOf are those at which a browser finds a listener, and whether others
// than this machine can.
func addressesOf(at net.Addr) (addresses []string, open bool) {
	tcp, ok := at.(*net.TCPAddr)
	if !ok || tcp.IP.IsLoopback() {
		return []string{at.String()}, false
	}
	port := fmt.Sprint(tcp.Port)
	if !tcp.IP.IsUnspecified() {
		return []string{at.String()}, true
	}
	addresses = []string{net.JoinHostPort("localhost", port)}
	all, err := net.InterfaceAddrs()
	if err != nil {
		return addresses, true // localhost works all the same
	}
	for _, a := range all {
		if ip, ok := a.(*net.IPNet); ok && !ip.IP.IsLoopback() && !ip.IP.IsLinkLocalUnicast() {
			addresses = append(addresses, net.JoinHostPort(ip.IP.String(), port))
		}
	}
	return addresses, true
}

// prepareDemo tries the options out, and gives an empty folder a job to lay.
func (o *serveOptions) prepareDemo(f *folder) error {
	p, err := planFrom(demo.Files, jobDocument)
	if err != nil {
		return err
	}
	var wrongUse *explain.MisuseError
	if _, err := boxFor(p, o.box.planned(p)); errors.As(err, &wrongUse) {
		return &explain.MisuseError{Command: "serve", Text: wrongUse.Text}
	} else if err != nil {
		return err
	}
	entries, err := fs.ReadDir(f.root.FS(), ".")
	if err != nil || len(entries) > 0 {
		return err
	}
	return fs.WalkDir(demo.Files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := fs.ReadFile(demo.Files, name)
		if err != nil {
			return err
		}
		return f.replace(path.Join(path.Dir(name), strings.Replace(path.Base(name), "job.", "demo.", 1)), text, page.Version{New: true})
	})
}
