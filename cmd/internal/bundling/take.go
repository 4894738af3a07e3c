package bundling

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"arctally/acquire/record"
	"arctally/acquire/system"
	"arctally/cmd/internal/explain"
	"arctally/report/handover"
)

// Taken is a bundle that was taken out of a store.
type Taken struct {
	*handover.Manifest
	Folder  string // where it is now
	Record  string // the file of its record
	Sealing *record.Sealing
	Results Results
}

// Results are how many passes and findings there were as the record was judged when it was handed over.
type Results struct{ Passes, Findings int }

// Take fetches the bundle at a place into a folder, under its digest, whole or not at all: every file is
// what the manifest says, and the record is whole and the one by which the bundle is named.
func Take(ctx context.Context, where, into string, told func(what string)) (t Taken, err error) {
	from, digest, err := handover.OpenAt(where)
	if err != nil {
		return t, whichBundle(ctx, where, err)
	}
	b, err := handover.Read(ctx, from, digest)
	if err != nil {
		return t, err
	}
	t = Taken{Manifest: b.Manifest, Folder: filepath.Join(into, digest)}
	t.Record = filepath.Join(t.Folder, handover.RecordName)
	if _, err := os.Lstat(t.Folder); !errors.Is(err, fs.ErrNotExist) {
		return t, errors.Join(err, taken(t))
	}
	if err := os.MkdirAll(into, 0o755); err != nil {
		return t, err
	}
	draft, err := os.MkdirTemp(into, ".take-*")
	if err != nil {
		return t, err
	}
	if t.Results, err = resultsOf(ctx, b); err == nil {
		err = fetch(ctx, b, draft, told)
	}
	if err == nil {
		told("verifying")
		t.Sealing, err = isNamed(ctx, filepath.Join(draft, handover.RecordName), where, b.Manifest)
	}
	if err == nil {
		err = settle(draft, t.Folder)
	}
	if err != nil {
		return t, errors.Join(err, os.RemoveAll(draft))
	}
	return t, nil
}

// whichBundle says which bundles there are, where somebody named their store and none of them.
func whichBundle(ctx context.Context, where string, err error) error {
	store, unnamed := handover.Open(where)
	if unnamed != nil {
		return err
	}
	digests, unread := handover.Digests(ctx, store)
	if unread != nil || len(digests) == 0 {
		return err
	}
	const most = 20
	listed := strings.Join(digests[:min(len(digests), most)], ", ")
	if len(digests) > most {
		listed += ", and more"
	}
	return &explain.Error{Kind: explain.Unfit, Text: fmt.Sprintf("%v; of these there are %d", err, len(digests)), Next: "put one of these behind it: " + listed, Cause: err}
}

// largestResults is the largest file of results that is counted: more than thousands of passes have. Ours, no source.
const largestResults = 256 << 20

// resultsOf counts what the results of a bundle say.
func resultsOf(ctx context.Context, b *handover.Bundle) (r Results, err error) {
	text, err := b.ReadFile(ctx, handover.ResultsName, largestResults)
	if err != nil {
		return r, err
	}
	var found struct{ Passes, Findings []json.RawMessage }
	if err := json.Unmarshal(text, &found); err != nil {
		return r, fmt.Errorf("%s: %w", handover.ResultsName, err)
	}
	return Results{len(found.Passes), len(found.Findings)}, nil
}

// taken is a bundle that is there already.
func taken(t Taken) error {
	return &explain.Error{Kind: explain.InTheWay, Text: t.Folder + " is there already", Next: "arctally verify " + t.Record + ", or name another folder with -o"}
}

func fetch(ctx context.Context, b *handover.Bundle, draft string, told func(string)) error {
	root, err := os.OpenRoot(draft)
	if err != nil {
		return err
	}
	return errors.Join(b.Fetch(ctx, root, told), root.Close())
}

// isNamed verifies a record, and that it is the one by which its bundle is named.
func isNamed(ctx context.Context, file, where string, m *handover.Manifest) (*record.Sealing, error) {
	found, err := sealing(ctx, file)
	if wrong, ok := errors.AsType[*record.Error](err); ok {
		own := *wrong
		own.Path = where + "/" + handover.RecordName // it lies elsewhere, for as long as it is looked at
		err = &own
	}
	if err != nil {
		return nil, err
	}
	differs := func(text string) error { return &handover.Error{Kind: handover.Differs, Where: where, Text: text} }
	if !found.Ended() {
		return nil, differs("the record in it has no end mark, so that nobody closed it")
	}
	last := found.Seals[len(found.Seals)-1]
	if hex.EncodeToString(found.Head[:]) != m.Digest || last.Record != m.Record || found.Groups != m.Commits {
		return nil, differs("the record in it is whole, but is another one than the bundle is named by")
	}
	return found, nil
}

func sealing(ctx context.Context, file string) (*record.Sealing, error) {
	r, err := record.Open(file)
	if err != nil {
		return nil, err
	}
	r.Under(ctx)
	found, err := r.VerifySeals()
	return found, errors.Join(err, r.Close())
}

// settle gives a folder its name.
func settle(draft, folder string) error {
	if err := os.Chmod(draft, 0o755); err != nil {
		return err
	}
	if err := os.Rename(draft, folder); err != nil {
		return err
	}
	return system.SyncFolder(filepath.Dir(folder))
}
