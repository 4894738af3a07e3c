// Package gather finds the results of many records, and hands them to a fleet: of records
// in a folder, which it has judged, and of bundles, where they lie beside the record.
//
// Terms. A bundle is what was handed over of one record, in a folder named by the digest of
// its state; its manifest is written last, so that one without it is torn.
package gather

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/review"
	"arctally/report/fleet"
)

// Bundles are those of one store.
type Bundles interface {
	// Digests names them.
	Digests(ctx context.Context) ([]string, error)
	// Results opens the results of one; the caller closes them.
	Results(ctx context.Context, digest string) (io.ReadCloser, error)
}

// Gathering takes the results of sources in.
type Gathering struct {
	Into *fleet.Fleet
	Now  func() time.Time
	// Reading hears what is read, and how far that is, from 0 to 1.
	Reading func(name string, share float64)
	// Done hears what became of what was taken in.
	Done func(fleet.TakenIn)
	// Refused hears what could not be taken in, and why; the rest goes on.
	Refused func(error)

	waiting []*fleet.Results
	refused int
}

// atOnce is how many results one transaction takes in: each costs a write to the disk.
const atOnce = 32

// Take takes in what lies in each of the sources; what cannot be is told, counted, and an
// error at the end.
func (g *Gathering) Take(ctx context.Context, sources []string) error {
	for _, source := range sources {
		if err := g.source(ctx, source); err != nil {
			return errors.Join(err, g.flush(ctx))
		}
	}
	if err := g.flush(ctx); err != nil {
		return err
	}
	if g.refused > 0 {
		return &explain.Error{Kind: explain.Unfit, Text: fmt.Sprintf("not taken in: %d", g.refused), Next: "what was told above says why; all else was taken in"}
	}
	return nil
}

// source takes in one record, one folder of records, or one of bundles.
func (g *Gathering) source(ctx context.Context, source string) error {
	info, err := os.Stat(source)
	if err != nil {
		return err
	}
	if !info.IsDir() {
		return g.record(ctx, source)
	}
	records, err := filepath.Glob(filepath.Join(globbed(source), "*"+jobfile.RecordExtension))
	if err != nil {
		return err
	}
	bundles, err := openFolder(source)
	if err != nil {
		return err
	}
	defer func() { _ = bundles.root.Close() }() // it only read
	digests, err := bundles.Digests(ctx)
	if err != nil {
		return err
	}
	if len(records)+len(digests) == 0 {
		return &explain.Error{Kind: explain.NotThere, Text: source + ": there is no record here, and no bundle", Next: "name the folder in which the *" + jobfile.RecordExtension + " lie, or the bundles by their digests"}
	}
	for _, file := range records {
		if err := g.record(ctx, file); err != nil {
			return err
		}
	}
	return g.bundles(ctx, source, bundles, digests)
}

// globbed is a folder whose name is no pattern.
func globbed(folder string) string {
	return strings.NewReplacer(`\`, `\\`, "*", `\*`, "?", `\?`, "[", `\[`).Replace(folder)
}

// record judges a record, and takes in what comes of that.
func (g *Gathering) record(ctx context.Context, file string) error {
	r, err := g.judged(ctx, file)
	return g.put(ctx, r, err)
}

func (g *Gathering) judged(ctx context.Context, file string) (results *fleet.Results, err error) {
	r, err := review.Judge(ctx, file, "", func(share float64) { g.Reading(file, share) })
	if err != nil {
		return nil, err
	}
	var text bytes.Buffer
	if err := errors.Join(r.WriteJSON(&text), r.Close()); err != nil {
		return nil, err
	}
	return fleet.Read(file, &text, "")
}

func (g *Gathering) bundles(ctx context.Context, source string, from Bundles, digests []string) error {
	for _, digest := range digests {
		name := filepath.Join(source, digest)
		g.Reading(name, 0)
		r, err := read(ctx, from, name, digest)
		if err := g.put(ctx, r, err); err != nil {
			return err
		}
	}
	return nil
}

func read(ctx context.Context, from Bundles, name, digest string) (*fleet.Results, error) {
	text, err := from.Results(ctx, digest)
	if err != nil {
		return nil, err
	}
	r, err := fleet.Read(name, text, digest)
	if err == nil && r.Record == recordFile {
		r.Record = digest + "/" + recordFile
	}
	return r, errors.Join(err, text.Close())
}

// put keeps results until there are enough for a transaction, or tells why there are none.
func (g *Gathering) put(ctx context.Context, r *fleet.Results, err error) error {
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		g.refused++
		g.Refused(err)
		return nil
	}
	if g.waiting = append(g.waiting, r); len(g.waiting) < atOnce {
		return nil
	}
	return g.flush(ctx)
}

func (g *Gathering) flush(ctx context.Context) error {
	if len(g.waiting) == 0 {
		return nil
	}
	done, err := g.Into.TakeIn(ctx, g.waiting, g.Now())
	g.waiting = nil
	for _, one := range done {
		g.Done(one)
	}
	return err
}

// folder are the bundles in a folder. Nothing in it leads out of it.
type folder struct {
	root *os.Root
	path string
}

func openFolder(path string) (*folder, error) {
	root, err := os.OpenRoot(path)
	return &folder{root, path}, err
}

const (
	resultsFile  = "results.json"
	recordFile   = "record" + jobfile.RecordExtension // each bundle calls its own so
	manifestFile = "ro-crate-metadata.json"
)

// Digests implements Bundles.
func (f *folder) Digests(context.Context) (digests []string, err error) {
	entries, err := fs.ReadDir(f.root.FS(), ".")
	for _, entry := range entries {
		if entry.IsDir() && len(entry.Name()) == 64 && strings.Trim(entry.Name(), "0123456789abcdef") == "" {
			digests = append(digests, entry.Name())
		}
	}
	return digests, err
}

// Results implements Bundles.
func (f *folder) Results(_ context.Context, digest string) (io.ReadCloser, error) {
	if _, err := f.root.Stat(filepath.Join(digest, manifestFile)); errors.Is(err, fs.ErrNotExist) {
		return nil, &explain.Error{Kind: explain.Unfit, Text: filepath.Join(f.path, digest) + ": the bundle is not whole: its manifest is missing", Next: "hand the record over again"}
	}
	return f.root.Open(filepath.Join(digest, resultsFile))
}
