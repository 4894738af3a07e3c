package workshop

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"net"
	"path"
	"slices"
	"strings"
	"time"

	"arctally/acquire/system"
	"arctally/cmd/internal/apart"
	"arctally/cmd/internal/door"
	"arctally/cmd/internal/entrance"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/sealing"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/testdata/job/demo"
)

const shutdownTime = 5 * time.Second // for answers that are under way

// Options say where a folder is served, and what is recorded from.
type Options struct {
	Listen string              // the address
	Hosts  []string            // names of this machine
	Box    *virtualbox.Options // a virtual sensor box stands in for a real one; nil is none
	// Recorders starts what records; nil is a process of its own.
	Recorders apart.Starter
	Door      entrance.Options
	// HandOver names the store into which closed records are handed over; empty is none. Quiet is how long
	// nobody must have written into one; zero is usual.
	HandOver string
	Quiet    time.Duration
	// Fleet names the database that the page of all jobs is answered from; empty is one of this folder.
	Fleet string
}

// Serve serves a folder until ctx ends; ready hears where.
func (o *Options) Serve(ctx context.Context, screen *terminal.Screen, name string, ready func(net.Addr)) (err error) {
	folder, err := openFolder(name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, folder.close()) }()
	if o.Box != nil {
		if err := o.prepareDemo(folder); err != nil {
			return err
		}
	}
	listener, err := new(net.ListenConfig).Listen(ctx, "tcp", o.Listen)
	if err != nil {
		return taken(err)
	}
	hub := page.NewHub()
	shop := newWorkshop(context.WithoutCancel(ctx), folder, screen, hub, o.Box)
	if shop.starter = o.Recorders; shop.starter == nil {
		shop.starter = apart.OfItsOwn()
	}
	shop.all.Given = o.Fleet
	defer shop.close()
	if err := shop.useStore(o); err != nil {
		return errors.Join(err, listener.Close())
	}
	if err := shop.join(ctx); err != nil {
		return errors.Join(err, listener.Close())
	}
	shop.judgeNewest()
	defer shop.handOver(ctx)()
	way, err := entrance.Open(o.Door, listener.Addr(), o.Hosts, screen)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	server := way.Before(page.New(page.Options{
		Workshop: shop, Explain: explain.Page, Hub: hub, Named: true, Door: way.Door, Outward: folder.outward,
		Log: slog.New(slog.NewTextHandler(screen.Err, nil)),
	}))
	screen.Tell("serving %s; Ctrl-C ends", folder.path)
	way.Announce()
	if o.Box != nil {
		screen.Tell("a virtual sensor box stands in for a real one: nothing here was welded")
	}
	if trouble := sealing.Trouble(); trouble != "" {
		screen.Tell("%s", trouble)
	}
	ready(listener.Addr())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(listener) }()
	select {
	case err := <-ended:
		return taken(err)
	case <-ctx.Done():
	}
	screen.Tell("ending: what is being recorded is stored")
	return o.end(server, shop)
}

// end stores the recording, if one runs, and then lets the pages go.
func (o *Options) end(server *door.Front, shop *workshop) error {
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

// prepareDemo tries the options out, and gives an empty folder a job to lay.
func (o *Options) prepareDemo(f *folder) error {
	p, err := jobfile.ReadIn(demo.Files, jobfile.Document)
	if err != nil {
		return err
	}
	var wrongUse *explain.MisuseError
	if _, err := virtualbox.New(p, o.Box.Planned(p)); errors.As(err, &wrongUse) {
		return &explain.MisuseError{Command: "serve", Text: wrongUse.Text}
	} else if err != nil {
		return err
	}
	entries, err := fs.ReadDir(f.root.FS(), ".")
	if err != nil || slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return e.Name() != system.FolderLock }) {
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
