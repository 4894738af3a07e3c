package review

import (
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/report/sheet"
)

func TestIntegrityOf(t *testing.T) {
	i, err := IntegrityOf(nil)
	require.NoError(t, err)
	assert.Equal(t, sheet.Integrity{Verified: true}, i)
	for kind, isDamage := range map[record.Kind]bool{record.Altered: true, record.Damaged: true, record.Truncated: true, record.Changed: false, record.Busy: false, record.Failed: false, record.Missing: false} {
		i, err := IntegrityOf(&record.Error{Kind: kind, Path: "a"})
		assert.Equal(t, isDamage, i.Damage != "", kind.String())
		assert.Equal(t, isDamage, err == nil, "%s: what was not read through is not damaged", kind)
		assert.False(t, i.Verified)
	}
	_, err = IntegrityOf(errors.ErrUnsupported)
	require.Error(t, err)
}

// The sheet of a record says nothing of it before it was verified, and afterwards what came of it.
func TestVerify(t *testing.T) {
	file := filepath.Join(t.TempDir(), "copy.arctally")
	frozen := must(filepath.Glob("../../../testdata/record/*.arctally"))[0]
	require.NoError(t, os.WriteFile(file, must(os.ReadFile(frozen)), 0o600))
	worst := func(verify bool) sheet.Truth {
		r, err := OpenUnjudged(file)
		require.NoError(t, err)
		if verify {
			require.NoError(t, r.Verify(t.Context()))
		}
		banner := r.Sheet().Banner(sheet.Metric)
		require.NoError(t, r.Close())
		for _, truth := range banner {
			if truth.Kind == sheet.OfRecord {
				return truth
			}
		}
		return sheet.Truth{}
	}
	assert.Equal(t, "record not verified", worst(false).Short)
	assert.Equal(t, "record verified", worst(true).Short)
	db := must(sql.Open("sqlite", file))
	_, err := db.Exec("UPDATE chunks SET payload = zeroblob(length(payload)) WHERE id = (SELECT max(id) FROM chunks)")
	require.NoError(t, errors.Join(err, db.Close()))
	assert.Equal(t, "record not verified", worst(false).Short)
	assert.Equal(t, "record damaged", worst(true).Short)
	assert.Contains(t, worst(true).Words, "Nothing below can be relied on.")
}

func must[V any](v V, err error) V {
	if err != nil {
		panic(err)
	}
	return v
}
