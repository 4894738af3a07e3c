package record

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// picture makes bytes that no compression shortens.
func picture(n int, seed uint64) []byte {
	r := rand.NewChaCha8([32]byte{byte(seed)})
	b := make([]byte, n)
	_, _ = r.Read(b) // it never fails
	return b
}

// peopledRecord has samples, two entries and two photographs, one of several parts.
func peopledRecord(t *testing.T) string { return onceMade(t, &peopled, makePeopledRecord) }

func makePeopledRecord(t *testing.T, path string) {
	t.Helper()
	makeSmallRecord(t, path)
	w, err := reopen(path, whenAsked())
	require.NoError(t, err)
	_, err = w.Photograph("image/jpeg", picture(photographPart*2+17, 1))
	require.NoError(t, err)
	_, err = w.Photograph("image/png", picture(900, 2))
	require.NoError(t, err)
	for k := range 2 {
		_, err = w.Entry("disposition", "Inspector 1", time.Unix(int64(k), 0), fmt.Sprintf(`{"corrects":%d}`, k))
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
}

func TestWriter_EntriesAndPhotographsComeBack(t *testing.T) {
	path := peopledRecord(t)
	require.NoError(t, Verify(path))
	large := picture(photographPart*2+17, 1)
	w, err := Amend(path)
	require.NoError(t, err)
	again, err := w.Photograph("image/jpeg", large)
	require.NoError(t, err)
	number, err := w.Entry("machining", "Operator 1", time.Unix(5, 6).UTC(), "text")
	require.NoError(t, err)
	require.Equal(t, int64(3), number, "the numbers go on")
	require.NoError(t, w.Sync())

	r, err := Open(path) // while it is written
	require.NoError(t, err)
	entries, err := r.Entries()
	require.NoError(t, err)
	require.Len(t, entries, 3)
	require.Equal(t, Entry{Number: 3, Kind: "machining", By: "Operator 1", At: time.Unix(5, 6).UTC(), Text: "text"}, entries[2])
	kind, payload, err := r.Photograph(again)
	require.NoError(t, err)
	require.Equal(t, "image/jpeg", kind)
	require.True(t, bytes.Equal(large, payload))
	rows := 0
	require.NoError(t, r.each("SELECT id FROM photographs", nil, func(func(...any) error) error { rows++; return nil }))
	require.Equal(t, 3+1, rows, "the same photograph is stored once")
	_, _, err = r.Photograph(strings.Repeat("0", 64))
	requireKind(t, Missing, err)
	require.NoError(t, r.Close())
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
}

func TestWriter_RefusesWhatIsTooLargeOrIncomplete(t *testing.T) {
	path := smallRecord(t)
	w, err := Amend(path)
	require.NoError(t, err)
	_, err = w.Photograph("image/png", make([]byte, MaxPhotograph+1))
	requireKind(t, TooLarge, err)
	require.ErrorContains(t, err, "16.0 MiB (16777217 bytes), where 16 MiB are the most")
	_, err = w.Photograph("image/png", nil)
	requireKind(t, Incomplete, err)
	_, err = w.Photograph("", []byte{1})
	requireKind(t, Incomplete, err)
	_, err = w.Entry("k", "b", time.Unix(1, 0), strings.Repeat("x", MaxEntry+1))
	requireKind(t, TooLarge, err)
	for _, e := range []Entry{
		{By: "b", At: time.Unix(1, 0), Text: "t"},
		{Kind: "k", At: time.Unix(1, 0), Text: "t"},
		{Kind: "k", By: "b", Text: "t"},
		{Kind: "k", By: "b", At: time.Unix(1, 0)},
	} {
		_, err := w.Entry(e.Kind, e.By, e.At, e.Text)
		requireKind(t, Incomplete, err)
	}
	require.NoError(t, w.Close())
	require.Empty(t, entriesOf(t, path))
	var closed *Error
	_, err = w.Photograph("image/png", []byte{1})
	require.ErrorAs(t, err, &closed)
	require.Equal(t, Closed, closed.Kind)
}

func TestVerify_FindsEveryChangeOfEntriesAndPhotographs(t *testing.T) {
	original, err := os.ReadFile(peopledRecord(t))
	require.NoError(t, err)
	for name, change := range map[string]string{
		"text":             `UPDATE entries SET text = '{}' WHERE id = (SELECT max(id) FROM entries)`,
		"name":             `UPDATE entries SET "by" = 'Inspector 2'`,
		"time":             `UPDATE entries SET at = at + 1`,
		"kind":             `UPDATE entries SET kind = 'machining'`,
		"deleted":          `DELETE FROM entries WHERE id = (SELECT max(id) FROM entries)`,
		"added":            `INSERT INTO entries (id, kind, at, "by", text) VALUES (99000001, 'disposition', 1, 'x', '{}')`,
		"added to a group": `INSERT INTO entries (id, kind, at, "by", text) SELECT max(id) + 1, kind, at, "by", text FROM entries`,
		"picture":          `UPDATE photographs SET payload = substr(payload, 1, 9) || x'00' || substr(payload, 11) WHERE part = 1`,
		"type":             `UPDATE photographs SET type = 'image/gif' WHERE part = 0`,
		"part taken away":  `DELETE FROM photographs WHERE part = 2`,
		"parts swapped":    `UPDATE photographs SET part = 1 - part WHERE part < 2`,
		"another digest":   `UPDATE photographs SET sha256 = 'x'`,
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "copy.arctally")
			require.NoError(t, os.WriteFile(path, original, 0o600))
			require.NoError(t, Verify(path))
			alter(t, path, change)
			requireKind(t, Altered, Verify(path))
		})
	}
}

func TestReader_APhotographThatIsAnotherOneIsDamaged(t *testing.T) {
	path := peopledRecord(t)
	w, err := Amend(path)
	require.NoError(t, err)
	digest, err := w.Photograph("image/png", picture(900, 2))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	alter(t, path, "UPDATE photographs SET payload = x'01' || substr(payload, 2) WHERE type = 'image/png'")
	r, err := Open(path)
	require.NoError(t, err)
	_, _, err = r.Photograph(digest)
	requireKind(t, Damaged, err)
	require.NoError(t, r.Close())
}

// A crash leaves whole photographs and whole entries, or none.
func TestWriter_LogCutAnywhereLeavesWholePhotographs(t *testing.T) {
	if testing.Short() {
		t.Skip("it cuts a log in many places")
	}
	path := smallRecord(t)
	w, err := Amend(path)
	require.NoError(t, err)
	first, second := picture(photographPart+5, 3), picture(70_000, 4)
	var digests []string
	for k, p := range [][]byte{first, second} {
		digest, err := w.Photograph("image/jpeg", p)
		require.NoError(t, err)
		digests = append(digests, digest)
		_, err = w.Entry("disposition", "Inspector 1", time.Unix(int64(k+1), 0), "{}")
		require.NoError(t, err)
		require.NoError(t, w.Sync())
	}
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	log, err := os.ReadFile(path + logSuffix)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	seen := map[int]bool{}
	for k := range 62 {
		at := len(log) * k / 61
		cut := filepath.Join(t.TempDir(), "cut.arctally")
		require.NoError(t, os.WriteFile(cut, file, 0o600))
		require.NoError(t, os.WriteFile(cut+logSuffix, log[:at], 0o600))
		require.NoError(t, Verify(cut))
		r, err := Open(cut)
		require.NoError(t, err)
		entries, err := r.Entries()
		require.NoError(t, err)
		for k := range entries {
			_, _, err := r.Photograph(digests[k])
			require.NoError(t, err, "an entry's photograph is there before it")
		}
		require.NoError(t, r.Close())
		seen[len(entries)] = true
		w, err := Amend(cut)
		require.NoError(t, err)
		number, err := w.Entry("disposition", "Inspector 2", time.Unix(9, 0), "{}")
		require.NoError(t, err)
		require.Equal(t, int64(len(entries)+1), number)
		require.NoError(t, w.Close())
		require.NoError(t, Verify(cut))
	}
	require.Equal(t, map[int]bool{0: true, 1: true, 2: true}, seen)
}

// Photographs thirty times as large as the memory that samples wait in take none of
// it, and nobody who adds samples waits for them.
func TestWriter_PhotographsDoNotHoldUpSamples(t *testing.T) {
	if testing.Short() {
		t.Skip("it writes large photographs")
	}
	path := filepath.Join(t.TempDir(), "job.arctally")
	w, err := create(path, Meta{}, options{now: time.Now, limit: 4000})
	require.NoError(t, err)
	release := holdWriteLock(t, path)
	done := make(chan error, 3)
	for k := range uint64(3) {
		go func() {
			_, err := w.Photograph("image/jpeg", picture(1<<20, k))
			done <- err
		}()
	}
	for queued := false; !queued; runtime.Gosched() {
		w.mu.Lock()
		queued = w.waiting > 0
		w.mu.Unlock()
	}
	b := arcBlock(100)
	for range 30 { // the disk stands still, with a photograph before it
		require.NoError(t, w.Block(b))
		b.Tick += 100 * b.Step
	}
	require.Empty(t, done)
	require.Zero(t, w.Acknowledged())
	release()
	for range 3 {
		require.NoError(t, <-done)
	}
	require.NoError(t, w.Close())
	require.Equal(t, int64(3000), w.Acknowledged())
	require.NoError(t, Verify(path))
}

// Entries, photographs and samples come from several goroutines while a reader reads.
func TestWriter_PeopleWriteWhileItRecords(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arctally")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	const people, each = 4, 10
	var group sync.WaitGroup
	for who := range people {
		group.Go(func() {
			for k := range each {
				_, err := w.Photograph("image/jpeg", picture(2000, uint64(k))) // everybody has the same
				if err == nil {
					_, err = w.Entry("disposition", fmt.Sprintf("Inspector %d", who), time.Unix(1, 0), "{}")
				}
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	b := arcBlock(100)
	for range 50 {
		require.NoError(t, w.Block(b))
		b.Tick += 100 * b.Step
		r, err := Open(path)
		require.NoError(t, err)
		entries, err := r.Entries()
		require.NoError(t, err)
		require.LessOrEqual(t, len(entries), people*each)
		require.NoError(t, r.Close())
	}
	group.Wait()
	require.NoError(t, w.Close())
	require.Equal(t, int64(5000), w.Acknowledged())
	require.Len(t, entriesOf(t, path), people*each)
	require.NoError(t, Verify(path))
}

// What is one act of one person goes on record in one commit, whatever else is added meanwhile.
func TestWriter_EntriesOfOneAct(t *testing.T) {
	path := peopledRecord(t)
	w, err := Amend(path)
	require.NoError(t, err)
	act := []Entry{
		{Kind: "disposition", By: "Inspector 1", At: time.Unix(7, 0).UTC(), Text: "first"},
		{Kind: "disposition", By: "Inspector 1", At: time.Unix(7, 0).UTC(), Text: "second"},
	}
	for k := range maxGroupOthers - 1 { // one row more, and the open group is full
		require.NoError(t, w.Event(series.Event{Kind: series.Remark, Tick: int64(k)}))
	}
	first, err := w.Entries(act)
	require.NoError(t, err)
	require.Equal(t, int64(3), first)
	_, err = w.Entries([]Entry{act[0], {Kind: "disposition", By: "", At: act[0].At, Text: "nobody"}})
	require.Error(t, err)
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
	entries := entriesOf(t, path)
	require.Len(t, entries, 4, "of an act that is refused nothing is kept")
	act[0].Number, act[1].Number = 3, 4
	require.Equal(t, act, entries[2:])
	require.Equal(t, int64(2), groupsOf(t, path, "SELECT count(*) FROM entries GROUP BY id / 1000000 ORDER BY id DESC")[0], "one commit")
}
