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
	"os"
	"path/filepath"
	"strings"
	"time"

	"arctally/acquire/record"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/review"
	"arctally/report/fleet"
	"arctally/report/handover"
)

// Bundles are those of one store.
type Bundles interface {
	// Digests names them.
	Digests(ctx context.Context) ([]string, error)
	// Results are those of one.
	Results(ctx context.Context, digest string) ([]byte, error)
}

// Gathering takes the results of sources in.
type Gathering struct {
	Into *fleet.Fleet
	Now  func() time.Time
	// Reading hears what is read, and how far that is, from 0 to 1.
	Reading func(name string, share float64)
	// Done hears what became of what was taken in.
	Done func(fleet.TakenIn)
	// Refused hears what could not be taken in, by the name of its file or bundle, and why; the rest goes on.
	Refused func(name string, why error)
	// Judge judges a record, and tells how far it is; nil is review.Judge. The caller closes the review.
	Judge func(ctx context.Context, file string, told func(share float64)) (*review.Review, error)

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

// Records takes in records, each named by its file; what cannot be is told, and the rest goes on.
func (g *Gathering) Records(ctx context.Context, files []string) error {
	for _, file := range files {
		if err := g.record(ctx, file); err != nil {
			return errors.Join(err, g.flush(ctx))
		}
	}
	return g.flush(ctx)
}

// source takes in one record, one folder of records, or one of bundles.
func (g *Gathering) source(ctx context.Context, source string) error {
	stored, err := handover.Open(source)
	if err != nil {
		return err
	}
	bundles := store{stored}
	if handover.IsRemote(source) {
		digests, err := bundles.Digests(ctx)
		if err != nil {
			return err
		}
		return g.bundles(ctx, source, bundles, digests)
	}
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
	digests, err := bundles.Digests(ctx)
	if err != nil {
		return err
	}
	if len(records)+len(digests) == 0 {
		return &explain.Error{Kind: explain.NotThere, Text: source + ": there is no record here, and no bundle", Next: "name the folder in which the *" + jobfile.RecordExtension + " lie, or the bundles by their digests"}
	}
	if err := g.Records(ctx, records); err != nil {
		return err
	}
	return g.bundles(ctx, source, bundles, digests)
}

// globbed is a folder whose name is no pattern.
func globbed(folder string) string {
	return strings.NewReplacer(`\`, `\\`, "*", `\*`, "?", `\?`, "[", `\[`).Replace(folder)
}

// there tells of a state that was taken in before: then it is neither judged nor fetched once more.
func (g *Gathering) there(ctx context.Context, record, digest string) (bool, error) {
	there, err := g.Into.Has(ctx, digest)
	if there {
		g.Done(fleet.TakenIn{Record: record, Digest: digest, Outcome: fleet.Already})
	}
	return there, err
}

// record judges a record, and takes in what comes of that.
func (g *Gathering) record(ctx context.Context, file string) error {
	if digest, err := DigestOf(file); err == nil { // else judging it says why
		if there, err := g.there(ctx, filepath.Base(file), digest); there || err != nil {
			return err
		}
	}
	r, err := g.judged(ctx, file)
	return g.put(ctx, file, r, err)
}

// DigestOf is the head of the chain of a record.
func DigestOf(file string) (digest string, err error) {
	r, err := record.Open(file)
	if err != nil {
		return "", err
	}
	digest, err = r.Fingerprint()
	return digest, errors.Join(err, r.Close())
}

func (g *Gathering) judged(ctx context.Context, file string) (results *fleet.Results, err error) {
	judge := g.Judge
	if judge == nil {
		judge = func(ctx context.Context, file string, told func(float64)) (*review.Review, error) {
			return review.Judge(ctx, file, "", told)
		}
	}
	r, err := judge(ctx, file, func(share float64) { g.Reading(file, share) })
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
		if there, err := g.there(ctx, nameOf(digest), digest); err != nil {
			return err
		} else if there {
			continue
		}
		name := strings.TrimSuffix(source, "/") + "/" + digest
		g.Reading(name, 0)
		r, err := read(ctx, from, name, digest)
		if err := g.put(ctx, name, r, err); err != nil {
			return err
		}
	}
	return nil
}

// nameOf is how the record of a bundle is told from those of others.
func nameOf(digest string) string { return digest + "/" + handover.RecordName }

func read(ctx context.Context, from Bundles, name, digest string) (*fleet.Results, error) {
	text, err := from.Results(ctx, digest)
	if err != nil {
		return nil, err
	}
	r, err := fleet.Read(name, bytes.NewReader(text), digest)
	if err == nil && r.Record == handover.RecordName { // each bundle calls its own so
		r.Record = nameOf(digest)
	}
	return r, err
}

// ofStore tells what a store says of itself from what it says of one bundle.
func ofStore(err error) bool {
	own, ok := errors.AsType[*handover.Error](err)
	return ok && own.OfStore()
}

// put keeps results until there are enough for a transaction, or tells why there are none.
func (g *Gathering) put(ctx context.Context, name string, r *fleet.Results, err error) error {
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case ofStore(err):
		return err // and each of the others would be waited for in vain
	case err != nil:
		g.refused++
		g.Refused(name, err)
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

// store are the bundles of a store, each file held against the manifest of its bundle.
type store struct{ handover.Store }

// Digests implements Bundles.
func (s store) Digests(ctx context.Context) ([]string, error) { return handover.Digests(ctx, s.Store) }

// largestResults is how many bytes results have at most: those of a hundred thousand passes are smaller.
const largestResults = 512 << 20

// Results implements Bundles.
func (s store) Results(ctx context.Context, digest string) ([]byte, error) {
	b, err := handover.Read(ctx, s.Store, digest)
	if err != nil {
		return nil, err
	}
	return b.ReadFile(ctx, handover.ResultsName, largestResults)
}
