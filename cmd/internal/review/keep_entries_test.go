package review

import (
	"bytes"
	"database/sql"
	"errors"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/record"
	"arctally/analyze/finding"
	"arctally/analyze/inspect"
	"arctally/analyze/note"
	"arctally/analyze/pass"
	"arctally/cmd/internal/shelf"
)

// entriesOfAllKinds has one entry of each kind: every field of one that may be set alone.
func entriesOfAllKinds(t *testing.T) map[string]inspect.Entry {
	of := inspect.Refer(&finding.Finding{Number: 1, Pass: 1, Rule: finding.Voltage, Start: pass.Moment{Tick: 5}})
	all := map[string]inspect.Entry{
		"Disposition": {Disposition: &inspect.Disposition{Of: of, Method: inspect.Visual, Result: inspect.NoIndication, Decision: inspect.Accept}},
		"Machining":   {Machining: &inspect.Machining{CleanedUp: inspect.NotSaid, Remark: "r"}},
	}
	entry := reflect.TypeFor[inspect.Entry]()
	for k := range entry.NumField() {
		if f := entry.Field(k); f.Type.Kind() == reflect.Pointer {
			require.Contains(t, all, f.Name, "a kind of entry that is not tried")
		}
	}
	return all
}

// What a person finds and decides costs no judging, however often; what somebody else's
// program writes into the file does.
func TestJudge_entriesCostNothing(t *testing.T) {
	s := newShelved(t)
	ctx := shelf.New(s.folder, s.program, shelf.Limit).With(t.Context())
	first := s.judge("")
	require.True(t, s.read)
	for range 2 {
		for name, e := range entriesOfAllKinds(t) {
			e.By, e.At = "Inspector 1", time.Now()
			before := s.judge("")
			var seen bytes.Buffer
			require.NoError(t, png.Encode(&seen, image.NewGray(image.Rect(0, 0, 1+len(before.Entries), 1))))
			taken, err := newPicture(seen.Bytes(), "")
			require.NoError(t, err)
			_, err = AmendEntries(ctx, s.file, before.Entries, []inspect.Entry{e}, []Picture{taken})
			require.NoError(t, err)
			after := s.judge("")
			require.False(t, s.read, name)
			require.Len(t, after.Entries, len(before.Entries)+1)
			same(t, "Result", reflect.ValueOf(first.small()), reflect.ValueOf(after.small()))
		}
	}
	w, err := record.Amend(s.file)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	require.NoError(t, os.Chtimes(s.file, time.Time{}, time.Now().Add(time.Hour)))
	s.judge("")
	require.True(t, s.read, "nobody knows what was written")
}

// Every kind of note changes what judging reads, also where this program adds it.
func TestJudge_notesAreJudged(t *testing.T) {
	notes := map[string]note.Note{
		"Temperature": {Temperature: new(quantity.Celsius(120))}, "GasFlow": {GasFlow: new(quantity.CubicMetresPerSecond(1e-4))},
		"Text": {Text: "a word"}, "TorchAt": {TorchAt: new(quantity.Degrees(90))}, "EndOfPass": {EndOfPass: true},
	}
	kind := reflect.TypeFor[note.Note]()
	require.Equal(t, len(notes)+len([]string{"By", "Epoch", "Tick"}), kind.NumField(), "a kind of note that is not tried")
	s := newShelved(t)
	ctx := shelf.New(s.folder, s.program, shelf.Limit).With(t.Context())
	s.judge("")
	for name, n := range notes {
		_, known := kind.FieldByName(name)
		require.True(t, known, name)
		n.By, n.Tick = "Operator 1", 7
		require.NoError(t, Adding(ctx, s.file, func() error { return AddNotes(s.file, []note.Note{n}, Moment{Tick: 7}) }))
		s.judge("")
		require.True(t, s.read, name)
		s.judge("")
		require.False(t, s.read, name)
	}
}

// swapSamples puts samples of one second in place of those of another: they can be read.
func swapSamples(t *testing.T, file string) {
	const other = "(SELECT payload FROM chunks c WHERE c.kind = chunks.kind AND c.part = chunks.part AND c.n = chunks.n AND c.codec = chunks.codec AND c.id < chunks.id ORDER BY c.id LIMIT 1)"
	db := must(sql.Open("sqlite", file))
	done, err := db.Exec("UPDATE chunks SET payload = coalesce(" + other + ", payload) WHERE kind = 'arc'")
	require.NoError(t, errors.Join(err, db.Close()))
	require.Greater(t, must(done.RowsAffected()), int64(1))
}

// A sample that was altered is judged, also where an entry came before or after, and so is
// one that was put right again: what was judged between them is not that of the head.
func TestJudge_alteredBetweenEntries(t *testing.T) {
	s := newShelved(t)
	ctx := shelf.New(s.folder, s.program, shelf.Limit).With(t.Context())
	enter := func() {
		e := entriesOfAllKinds(t)["Machining"]
		e.By, e.At = "Inspector 1", time.Now()
		_, err := AmendEntries(ctx, s.file, nil, []inspect.Entry{e}, nil)
		require.NoError(t, err)
	}
	first := s.judge("")
	enter()
	good := filepath.Join(t.TempDir(), "good")
	require.NoError(t, os.WriteFile(good, must(os.ReadFile(s.file)), 0o600))
	swapSamples(t, s.file)
	s.judge("")
	require.True(t, s.read, "altered after an entry")
	enter()
	altered := s.judge("")
	require.False(t, s.read)
	assert.NotEqual(t, first.Result.Passes, altered.Result.Passes)
	require.NoError(t, os.WriteFile(s.file, must(os.ReadFile(good)), 0o600))
	again := s.judge("")
	require.True(t, s.read, "put right again")
	same(t, "Result", reflect.ValueOf(first.small()), reflect.ValueOf(again.small()))
}

// What fails, or what nobody knows of, carries nothing over.
func TestAdding_fails(t *testing.T) {
	s := newShelved(t)
	ctx := shelf.New(s.folder, s.program, shelf.Limit).With(t.Context())
	failed := errors.New("refused")
	require.ErrorIs(t, Adding(ctx, s.file, func() error { return failed }), failed)
	assert.NoDirExists(t, s.folder)
	log := s.file + "-wal"
	require.NoError(t, Adding(ctx, s.file, func() error { return os.WriteFile(log, []byte("somebody goes on"), 0o600) }))
	assert.NoDirExists(t, s.folder)
	require.NoError(t, Adding(ctx, s.file, func() error { return os.Remove(log) }))
	assert.NoDirExists(t, s.folder)
}
