package outbox

import (
	"context"
	"crypto/rand"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/seal"
	"arctally/cmd/internal/bundling"
	"arctally/cmd/internal/explain"
	"arctally/report/handover"
)

const frozen = "../../../testdata/record/"

// shop is a folder of jobs with a store beside it, and a clock that goes only where a test sets it.
type shop struct {
	t       *testing.T
	folder  string
	store   handover.Store
	began   time.Time
	ahead   time.Duration
	busy    func() bool
	changed int
}

func newShop(t *testing.T) *shop {
	t.Helper()
	s := &shop{t: t, folder: t.TempDir(), began: time.Now(), ahead: time.Hour, busy: func() bool { return false }}
	var err error
	s.store, err = handover.Open(filepath.Join(t.TempDir(), "store"))
	require.NoError(t, err)
	return s
}

func (s *shop) outbox() *Outbox {
	return New(Options{
		Folder: s.folder, Store: s.store, Quiet: 30 * time.Minute, Busy: func() bool { return s.busy() },
		Changed: func() { s.changed++ }, Now: func() time.Time { return s.began.Add(s.ahead) },
	})
}

// record puts a copy of a frozen record into the folder.
func (s *shop) record(name, of string) string {
	s.t.Helper()
	content, err := os.ReadFile(frozen + of)
	require.NoError(s.t, err)
	file := filepath.Join(s.folder, name+".arctally")
	require.NoError(s.t, os.WriteFile(file, content, 0o600))
	return file
}

// closed puts a closed record into the folder that no other one is the same as.
func (s *shop) closed(name string) {
	s.t.Helper()
	s.goOn(s.record(name, "version-4-capture.arctally"))
}

// goOn puts something more into a record, and closes it again.
func (s *shop) goOn(file string) {
	s.t.Helper()
	key, err := seal.Folder(s.t.TempDir()).Machine()
	require.NoError(s.t, err)
	w, err := record.Amend(file)
	require.NoError(s.t, err)
	w.SealWith(key)
	_, err = w.Photograph("image/png", []byte(rand.Text()))
	require.NoError(s.t, err)
	require.NoError(s.t, w.Close())
}

func (s *shop) bundles() []string {
	s.t.Helper()
	found, err := handover.Digests(context.Background(), s.store)
	var own *handover.Error
	if errors.As(err, &own) && own.Kind == handover.Missing {
		return nil
	}
	require.NoError(s.t, err)
	return found
}

// requireState wants a record to stand somewhere.
func requireState(t *testing.T, b *Outbox, name string, want State) Row {
	t.Helper()
	row, ok := b.Row(name)
	require.True(t, ok, name)
	require.Equal(t, want, row.State, row.Says)
	return row
}

// all has the outbox do what there is to do, and counts it.
func all(b *Outbox) (done int) {
	for b.one(context.Background()) {
		done++
	}
	return done
}

func TestOutbox_HandsOverWhatIsClosed(t *testing.T) {
	s := newShop(t)
	s.closed("first")
	s.closed("second")
	s.record("open", "version-3-box.arctally")
	require.NoError(t, os.WriteFile(filepath.Join(s.folder, "broken.arctally"), []byte("no record"), 0o600))
	require.NoError(t, os.Symlink("first.arctally", filepath.Join(s.folder, "link.arctally")))
	b := s.outbox()
	s.ahead = 0
	require.Zero(t, all(b), "somebody wrote into them just now")
	requireState(t, b, "first", Waits)
	require.Equal(t, 1, s.changed, "the pages hear of all of them at once")
	s.ahead = time.Hour
	require.Equal(t, 4, all(b))
	first := requireState(t, b, "first", Given)
	second := requireState(t, b, "second", Given)
	require.ElementsMatch(t, []string{first.Bundle, second.Bundle}, s.bundles())
	require.Contains(t, requireState(t, b, "open", Open).Says, "no seal is in it")
	broken := requireState(t, b, "broken", Waits)
	require.Contains(t, broken.Says, "not a record")
	require.NotEmpty(t, broken.Hint)
	require.True(t, broken.Again.After(b.Now()))
	_, looked := b.Row("link")
	require.False(t, looked)
	require.Zero(t, all(b))
	names, err := os.ReadDir(filepath.Join(s.folder, scratchFolder))
	require.NoError(t, err)
	require.Empty(t, names)

	again := s.outbox()
	require.Equal(t, 1, all(again), "only what failed is tried again")
	kept := requireState(t, again, "first", Given)
	require.Equal(t, first.Bundle, kept.Bundle)
	require.WithinDuration(t, first.At, kept.At, 0)
	list, err := Read(s.folder)
	require.NoError(t, err)
	require.Equal(t, s.store.String(), list.Store)
	require.Len(t, list.Rows, 4)
}

// Where it is lost where they stand, all are handed over once more, and that is nothing.
func TestOutbox_NothingRestsOnItsFile(t *testing.T) {
	for name, lose := range map[string]func(file string) error{
		"gone": os.Remove, "broken": func(file string) error { return os.WriteFile(file, []byte(`{"records":[{`), 0o600) },
	} {
		t.Run(name, func(t *testing.T) {
			s := newShop(t)
			s.closed("first")
			require.Equal(t, 1, all(s.outbox()))
			before := s.bundles()
			require.NoError(t, lose(filepath.Join(s.folder, fileName)))
			b := s.outbox()
			require.Equal(t, 1, all(b))
			require.Equal(t, before[0], requireState(t, b, "first", Given).Bundle)
			require.Equal(t, before, s.bundles())
		})
	}
}

// Another store has none of them yet.
func TestOutbox_AnotherStore(t *testing.T) {
	s := newShop(t)
	s.closed("first")
	require.Equal(t, 1, all(s.outbox()))
	var err error
	s.store, err = handover.Open(t.TempDir())
	require.NoError(t, err)
	require.Equal(t, 1, all(s.outbox()))
	require.Len(t, s.bundles(), 1)
}

// A record that somebody went on with is another bundle; the one before stays.
func TestOutbox_ARecordThatWasGoneOnWith(t *testing.T) {
	s := newShop(t)
	s.closed("first")
	b := s.outbox()
	require.Equal(t, 1, all(b))
	before := requireState(t, b, "first", Given).Bundle
	s.goOn(filepath.Join(s.folder, "first.arctally"))
	s.ahead = 0
	require.Zero(t, all(b))
	require.Equal(t, before, requireState(t, b, "first", Waits).Bundle)
	s.ahead = time.Hour
	require.Equal(t, 1, all(b))
	after := requireState(t, b, "first", Given).Bundle
	require.ElementsMatch(t, []string{before, after}, s.bundles())
	require.NotEqual(t, before, after)
	for _, digest := range s.bundles() {
		_, err := handover.Read(context.Background(), s.store, digest)
		require.NoError(t, err)
	}
}

// troubled is a store in which puts go wrong.
type troubled struct {
	handover.Store
	put func(ctx context.Context, name string) error
}

func (s troubled) Put(ctx context.Context, bundle string, e handover.Entry, content handover.Content) error {
	if err := s.put(ctx, e.Name); err != nil {
		return err
	}
	return s.Store.Put(ctx, bundle, e, content)
}

// What fails is tried again, later each time, and the store is left alone meanwhile.
func TestOutbox_TriesAgain(t *testing.T) {
	s := newShop(t)
	s.closed("first")
	s.closed("second")
	reached, puts := false, 0
	s.store = troubled{s.store, func(context.Context, string) error {
		if puts++; reached {
			return nil
		}
		return &handover.Error{Kind: handover.Unreachable, Where: "s3://repairs", Text: "the store cannot be reached"}
	}}
	b := s.outbox()
	var waits []time.Duration
	for range 9 {
		require.Equal(t, 1, all(b), "one tells that the store is away")
		waits = append(waits, b.pause.Sub(b.Now()))
		s.ahead += waits[len(waits)-1] + time.Second
	}
	const sec = time.Second
	require.Equal(t, []time.Duration{10 * sec, 20 * sec, 40 * sec, 80 * sec, 160 * sec, 320 * sec, 640 * sec, 900 * sec, 900 * sec}, waits)
	require.Equal(t, 9, puts)
	said := requireState(t, b, "first", Waits)
	require.Contains(t, said.Words(func(time.Time) string { return "soon" }), "tried again soon: s3://repairs: the store cannot be reached")
	require.Contains(t, said.Hint, "AWS_ENDPOINT_URL")
	reached = true
	require.Equal(t, 2, all(b))
	require.Empty(t, requireState(t, b, "first", Given).Says)
	require.Len(t, s.bundles(), 2)
}

// What would fail again is not tried again, until the program begins anew.
func TestOutbox_SomethingElseIsThere(t *testing.T) {
	s := newShop(t)
	s.closed("first")
	b := s.outbox()
	require.Equal(t, 1, all(b))
	digest := requireState(t, b, "first", Given).Bundle
	at := filepath.Join(s.store.String(), digest)
	require.NoError(t, os.Remove(filepath.Join(at, handover.ManifestName)))
	require.NoError(t, os.WriteFile(filepath.Join(at, handover.ResultsName), []byte("else"), 0o600))
	require.NoError(t, os.Remove(filepath.Join(s.folder, fileName)))
	b = s.outbox()
	require.Equal(t, 1, all(b))
	row := requireState(t, b, "first", Failed)
	require.Contains(t, row.Words(func(time.Time) string { return "" }), "not handed over: ")
	require.Contains(t, row.Says, "results.json: it is there already")
	s.ahead = 100 * time.Hour
	require.Zero(t, all(b))
	require.Equal(t, 1, all(s.outbox()))
}

// Who records has the machine for himself: nothing begins, and what is under way breaks off.
func TestOutbox_SomebodyRecords(t *testing.T) {
	s := newShop(t)
	s.closed("first")
	recording := false
	begun := make(chan struct{})
	s.busy = func() bool {
		select {
		case <-begun:
			return true
		default:
			return recording
		}
	}
	plain := s.store
	s.store = troubled{plain, func(ctx context.Context, name string) error {
		if name == handover.ResultsName {
			close(begun)
			<-ctx.Done()
			return ctx.Err()
		}
		return nil
	}}
	recording = true
	b := s.outbox()
	require.Zero(t, all(b))
	recording = false
	require.Zero(t, all(b), "it broke off")
	row := requireState(t, b, "first", Waits)
	require.Empty(t, row.Says, "that is no failure")
	_, err := handover.Read(context.Background(), plain, s.bundles()[0])
	require.ErrorContains(t, err, "no manifest")
	begun, b.Store = make(chan struct{}), plain
	require.Equal(t, 1, all(b), "and goes on")
	requireState(t, b, "first", Given)
}

// The program ends at once while it hands over, and leaves nothing in the jobs' folder but where they stand.
func TestOutbox_Run(t *testing.T) {
	s := newShop(t)
	s.closed("first")
	b := s.outbox()
	b.Look = time.Millisecond
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		b.Run(ctx)
	}()
	require.Eventually(t, func() bool {
		row, ok := b.Row("first")
		return ok && row.State == Given
	}, time.Minute, time.Millisecond)
	stop()
	<-ended
}

func TestRead_WhereNothingWasHandedOver(t *testing.T) {
	folder := t.TempDir()
	_, err := Read(folder)
	require.ErrorContains(t, err, "nothing was handed over from here")
	require.Contains(t, explain.Of(err).Hint, "arctally serve --hand-over")
	_, err = Read(filepath.Join(folder, "nowhere"))
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(filepath.Join(folder, fileName), []byte("{"), 0o600))
	_, err = Read(folder)
	require.ErrorContains(t, err, "cannot be read")
	require.Contains(t, explain.Of(err).Hint, "delete it")
}

// A record that a person removed, once it was given, is in the list as that: no row of it is broken, nothing
// of it waits, and it is given again by itself where it is brought back.
func TestLook_RemovedHere(t *testing.T) {
	s := newShop(t)
	s.closed("first")
	s.closed("second")
	s.record("open", "version-3-box.arctally")
	b := s.outbox()
	require.Equal(t, 3, all(b))
	digest := requireState(t, b, "first", Given).Bundle
	file := filepath.Join(s.folder, "first.arctally")
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	at := time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)
	gone, err := bundling.Remove(t.Context(), bundling.Removing{File: file, From: s.store, Now: func() time.Time { return at }, Told: func(string) {}})
	require.NoError(t, err)
	require.NoError(t, os.Remove(filepath.Join(s.folder, "open.arctally")))
	require.Zero(t, all(b))

	list, err := Look(s.folder)
	require.NoError(t, err)
	require.Len(t, list.Rows, 2, "of one that is gone, and that no store has, nothing is known")
	require.Equal(t, Row{Record: "first", State: Gone, Bundle: digest, At: at, Store: gone.Store}, list.Rows[0])
	require.Equal(t, "removed here noon, in "+s.store.String()+" as bundle "+digest, list.Rows[0].Words(func(time.Time) string { return "noon" }))
	require.Equal(t, Given, list.Rows[1].State)

	require.NoError(t, os.WriteFile(file, content, 0o600))
	require.Equal(t, 1, all(s.outbox()))
	list, err = Look(s.folder)
	require.NoError(t, err)
	require.Equal(t, Given, list.row("first").State, "it is here again")
}

// What was given by hand alone is in the list once it was removed.
func TestLook_NothingGivenByItself(t *testing.T) {
	s := newShop(t)
	_, err := Look(s.folder)
	require.ErrorContains(t, err, "nothing was handed over from here")
	s.closed("first")
	file := filepath.Join(s.folder, "first.arctally")
	_, err = bundling.Hand(t.Context(), file, s.store, t.TempDir(), func(string) {})
	require.NoError(t, err)
	_, err = bundling.Remove(t.Context(), bundling.Removing{File: file, From: s.store, Now: time.Now, Told: func(string) {}})
	require.NoError(t, err)
	list, err := Look(s.folder)
	require.NoError(t, err)
	require.Len(t, list.Rows, 1)
	require.Equal(t, Gone, list.Rows[0].State)
}

// What commits wait beside is still being written, or was cut off: nothing of it is handed over.
func TestOutbox_CommitsWait(t *testing.T) {
	s := newShop(t)
	s.closed("first")
	log := filepath.Join(s.folder, "first.arctally-wal")
	require.NoError(t, os.WriteFile(log, []byte("commits"), 0o600))
	b := s.outbox()
	require.Zero(t, all(b))
	_, ok := b.Row("first")
	require.False(t, ok)
	require.NoError(t, os.Remove(log))
	require.Equal(t, 1, all(b))
	requireState(t, b, "first", Given)
}
