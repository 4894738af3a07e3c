package record

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Whatever stands in SQLite's own table in the place of one object, or beside all: it is that
// object to the letter, or it is refused.
func FuzzObjects(f *testing.F) {
	for k, o := range objectsOf(latestVersion) {
		f.Add(uint8(k), o.kind, o.name, o.table, o.made, int64(k+2))
	}
	f.Add(uint8(3), "view", "chunks", "chunks", "CREATE VIEW chunks AS SELECT 1", int64(0))
	f.Add(uint8(255), "trigger", "keep", "entries", "CREATE TRIGGER keep", int64(0))
	f.Fuzz(func(t *testing.T, place uint8, kind, name, table, made string, root int64) {
		var whole []heldObject
		for k, o := range objectsOf(latestVersion) {
			whole = append(whole, heldObject{o, int64(k + 2)})
		}
		require.Empty(t, objectsDiffer(whole, latestVersion))
		held, forged := slices.Clone(whole), heldObject{object{kind, name, table, made}, root}
		if int(place) < len(held) {
			held[place] = forged
		} else {
			held = append(held, forged)
		}
		same := len(held) == len(whole) && forged.object == whole[place].object && root > 1
		for k, h := range whole {
			same = same && (k == int(place) || h.root != root)
		}
		require.Equal(t, same, objectsDiffer(held, latestVersion) == "")
	})
}
