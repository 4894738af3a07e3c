package record

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func entriesOf(t *testing.T, path string) []Entry {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	entries, err := r.Entries()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	return entries
}

func heads(t *testing.T, path string) (all [][]byte) {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, r.each("SELECT hash FROM commits ORDER BY number", nil, func(scan func(...any) error) error {
		var hash []byte
		err := scan(&hash)
		all = append(all, hash)
		return err
	}))
	require.NoError(t, r.Close())
	return all
}

func TestOldRecord_IsUpgradedByWhoGoesOn(t *testing.T) {
	for name, open := range map[string]func(string) (*Writer, error){"append": Append, "amend": Amend} {
		t.Run(name, func(t *testing.T) {
			path := oldRecord(t)
			samples, old := samplesHash(t, path), heads(t, path)
			w, err := open(path)
			require.NoError(t, err)
			number, err := w.Entry("disposition", "Inspector 1", time.Unix(7, 9).UTC(), "{}")
			require.NoError(t, err)
			require.Equal(t, int64(1), number)
			require.NoError(t, w.Close())
			require.NoError(t, Verify(path))
			require.Equal(t, samples, samplesHash(t, path))
			require.Equal(t, old, heads(t, path)[:len(old)], "no hash changes")
			require.Equal(t, []Entry{{Number: 1, Kind: "disposition", By: "Inspector 1", At: time.Unix(7, 9).UTC(), Text: "{}"}}, entriesOf(t, path))

			groups := len(heads(t, path))
			w, err = Amend(path)
			require.NoError(t, err)
			require.NoError(t, w.Close())
			require.Len(t, heads(t, path), groups, "it is upgraded once")
			topics := map[string]int{}
			r, err := Open(path)
			require.NoError(t, err)
			require.NoError(t, r.each("SELECT topic FROM about", nil, func(scan func(...any) error) error {
				var topic string
				err := scan(&topic)
				topics[topic]++
				return err
			}))
			require.NoError(t, r.Close())
			require.Equal(t, []int{1, 1, 1, 2}, []int{topics["entries"], topics["photographs"], topics["ticks"], topics["chain"]})
		})
	}
}

// Where the upgrade fails, the record is the one that it was.
func TestOldRecord_UpgradeIsAllOrNothing(t *testing.T) {
	path := oldRecord(t)
	old := heads(t, path)
	const ids = "Every row belongs to a commit group: id = commit_number * 1000000 + position. Groups are numbered from 1. Rows are added and never changed."
	change(t, path, "UPDATE about SET text = NULL WHERE topic = 'ids'") // which no text can be made of
	_, err := Amend(path)
	requireKind(t, Failed, err)
	change(t, path, "UPDATE about SET text = '"+ids+"' WHERE topic = 'ids'")
	require.NoError(t, Verify(path))
	require.Equal(t, old, heads(t, path))
	w, err := Append(path)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
}

// A reader of an old record that is upgraded under it is told so.
func TestOldRecord_UpgradedWhileItIsRead(t *testing.T) {
	path := oldRecord(t)
	r, err := Open(path)
	require.NoError(t, err)
	w, err := Amend(path)
	require.NoError(t, err)
	_, err = w.Entry("machining", "Inspector 1", time.Unix(1, 0), "{}")
	require.NoError(t, err)
	require.NoError(t, w.Close())
	requireKind(t, Changed, r.Verify())
	require.NoError(t, r.Close())
}

func TestOldRecord_HidingEntriesBehindAnOldVersionIsSeen(t *testing.T) {
	path := peopledRecord(t)
	change(t, path, "PRAGMA user_version = 1")
	requireKind(t, Altered, Verify(path))
}
