// Package workshop does what the pages ask for, in one folder of jobs, procedures and
// records: it answers report/page.Workshop, and serves it.
//
// Terms. A folder is what is served; no name leads out of it. A stamp tells that a
// file has changed. A judgement is a review in the making, or one that is kept until
// its record changes. The bench is the sensor box, which one check or one recording
// has at a time.
package workshop

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"
	"sync"
	"sync/atomic"

	"arctally/acquire/port"
	planning "arctally/analyze/plan"
	"arctally/cmd/internal/alljobs"
	"arctally/cmd/internal/apart"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/manual"
	"arctally/cmd/internal/outbox"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/form"
	"arctally/report/sheet"
)

// workshop does what the pages ask for, in one folder.
type workshop struct {
	folder  *folder
	screen  *terminal.Screen // where it tells what it records, and whose clock it goes by
	hub     *page.Hub
	places  port.Places                      // where ports are looked for
	starter apart.Starter                    // of recorders
	other   atomic.Pointer[apart.OtherBuild] // records over this folder; nil is none
	box     *virtualbox.Options              // a virtual sensor box stands in; nil is a real one
	reviews *reviews
	readers *readers
	memory  *memory
	known   *known
	desks   desks
	all     *alljobs.Jobs  // of the folder, or of the database that was named
	outbox  *outbox.Outbox // hands closed records over; nil where nobody said where to

	running  context.Context // of all recordings; ends with the program
	mu       sync.Mutex
	current  *apart.Recorder // the one that runs, or the last one; nil is none
	entering sync.Mutex      // held while somebody puts something on record after welding
	bench    sync.Mutex      // held while a check reads from the sensor box, or somebody listens to the ports, and while a recording begins
}

var _ page.Workshop = (*workshop)(nil)

func newWorkshop(ctx context.Context, f *folder, screen *terminal.Screen, hub *page.Hub, box *virtualbox.Options) *workshop {
	w := &workshop{
		folder: f, screen: screen, hub: hub, places: port.System(), box: box, running: ctx,
		memory: newMemory(f), known: newKnown(), readers: newReaders(), desks: newDesks(),
	}
	w.reviews = newReviews(ctx, w.tellHouse)
	w.all = w.aboutAll()
	return w
}

// close ends the recording, if one runs, and what is judged.
func (w *workshop) close() {
	if r := w.busy(); r != nil {
		r.Cut()
		<-r.Closed()
	}
	if r := w.recorded(); r != nil {
		r.Leave()
	}
	w.all.Close()
	w.reviews.close()
	w.readers.close()
}

// recorded is the recording that runs, or the last one.
func (w *workshop) recorded() *apart.Recorder {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.current
}

// busy is the recording that runs; nil is none.
func (w *workshop) busy() *apart.Recorder {
	if r := w.recorded(); r != nil && r.Runs() {
		return r
	}
	return nil
}

// House implements page.Folder.
func (w *workshop) House(context.Context) (page.House, error) {
	h := page.House{
		Folder: filepath.Base(w.folder.path), Program: "arctally " + manual.Version(), Jobs: w.folder.jobs(), Procedures: w.folder.procedures(),
		Records: w.folder.records(), Ports: port.Candidates(), VirtualBox: w.box != nil,
	}
	if h.Ports == nil {
		h.Ports = []string{}
	}
	r, other := w.busy(), w.other.Load()
	if r != nil {
		h.Recording = new(r.Record())
	}
	for k := range h.Records {
		row := &h.Records[k]
		w.folder.outwards(row.Error, row.Hint)
		if r != nil && row.Record == r.Record() || other != nil && row.Record == other.Recorder.Order.Record {
			row.State = page.InProgress
		}
		row.OpenFindings = w.reviews.open(row.Record)
		row.Judged = w.reviews.judged(row)
		w.folder.outwards(row.Judged.Why)
		row.Worst = w.known.first(row.Record, w.folder.stampOfRecord(row.Record))
		row.Handed = w.handed(row.Record)
	}
	for _, list := range [][]page.FileRow{h.Jobs, h.Procedures} {
		for k := range list {
			w.folder.outwards(list[k].Error, list[k].Hint)
		}
	}
	if named := w.memory.now().Operator; named != "" {
		h.Operator = &named
	}
	h.GoOn = w.goOn(h.Records)
	h.Removed, h.RemovedMore = w.folder.removed()
	if other != nil {
		h.Elsewhere = &page.Elsewhere{Record: other.Recorder.Order.Record, Words: other.Error(), Next: other.Hint()}
	}
	return h, nil
}

// tellHouse tells the pages that something in the folder is different.
func (w *workshop) tellHouse() {
	house, err := w.House(w.running)
	if err == nil { // House itself never fails
		w.hub.House(house)
	}
}

// ReadFile implements page.Folder.
func (w *workshop) ReadFile(_ context.Context, kind form.Kind, file string) ([]byte, error) {
	name, err := w.folder.fileName(kind, file)
	if err != nil {
		return nil, err
	}
	text, err := w.folder.root.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, notHere(name)
	}
	return text, err
}

// notHere is the name of a file that is asked for and is not in the folder, in words for who sits before a page.
type notHere string

func (n notHere) Error() string { return string(n) + " is not in this folder" }
func (notHere) Unwrap() error   { return fs.ErrNotExist }

// WriteFile implements page.Folder.
func (w *workshop) WriteFile(_ context.Context, kind form.Kind, file string, text []byte, was page.Version) error {
	name, err := w.folder.fileName(kind, file)
	if err != nil {
		return err
	}
	if err := w.folder.replace(name, text, was); err != nil {
		return err
	}
	w.tellHouse()
	return nil
}

// Plan implements page.Folder.
func (w *workshop) Plan(_ context.Context, file string, job []byte) (sheet.PlanList, error) {
	p, err := jobfile.Parse(w.folder.root.FS(), file, job)
	if err != nil {
		return sheet.PlanList{}, err
	}
	made, err := planning.Make(p.Job, planning.Options{})
	if err != nil {
		return sheet.PlanList{}, err
	}
	return sheet.NewPlan(p.Job, made).List(), nil
}
