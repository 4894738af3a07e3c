package review

import (
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/finding"
	"arctally/cmd/internal/shelf"
)

// manySheets is a judgement whose means were put away in sheets of a few while it was judged.
func manySheets(t *testing.T, s *shelved, few int) (r *Review, means []finding.JudgedMeans) {
	t.Helper()
	r, err := OpenUnjudged(s.file)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, r.Close()) })
	on := shelf.New(s.folder, s.program, shelf.Limit)
	rests, known := r.restsOn(on)
	require.True(t, known)
	run, err := r.prepare("")
	require.NoError(t, err)
	require.NoError(t, r.judgeBy(t.Context(), run, nil, func(float64) {}))
	means = allMeans(t, r)
	away := newPutAway(on, rests)
	away.put(means[:1])
	away.restart()
	l := r.apart.known
	l.judged = finding.Judged{}
	for from := 0; from < len(means); from += few {
		part := means[from:min(from+few, len(means))]
		if from+few < len(means) {
			away.put(part)
		} else {
			l.judged.Put(part...)
		}
	}
	r.keepAs(rests, on, away)
	return r, means
}

// Means that were put away are found in the time that they belong to, whichever that is, and only
// the sheets of about that time are read.
func TestMeans_ofATime(t *testing.T) {
	r, means := manySheets(t, newShelved(t), 7)
	require.Greater(t, len(means), 30)
	assert.Equal(t, means, allMeans(t, r))
	for from := 0; from+1 < len(means); from += 5 {
		until := min(from+11, len(means)-1)
		a, b := means[from], means[until]
		if a.Epoch != b.Epoch {
			continue
		}
		judged, err := r.Means(t.Context(), a.Epoch, a.Tick, b.Tick)
		require.NoError(t, err)
		var got []finding.JudgedMeans
		for m := range judged.During(a.Epoch, a.Tick, b.Tick) {
			got = append(got, *m)
		}
		require.Equal(t, means[from:until], got)
		read := 0
		for sheet := range judged.Sheets() {
			read += len(sheet)
		}
		require.LessOrEqual(t, read, 7*4)
	}
	judged, err := r.Means(t.Context(), 77, math.MinInt64, math.MaxInt64)
	require.NoError(t, err)
	assert.Zero(t, *judged)
}

// Where the sheets have gone, or any bit of them has turned over, the record is judged again, once.
func TestMeans_gone(t *testing.T) {
	for name, spoil := range map[string]func(t *testing.T, file string){
		"gone": func(t *testing.T, file string) { require.NoError(t, os.Remove(file)) },
		"a bit turned over": func(t *testing.T, file string) {
			content, err := os.ReadFile(file)
			require.NoError(t, err)
			content[len(content)/2] ^= 8
			require.NoError(t, os.WriteFile(file, content, 0o600))
		},
		"cut short": func(t *testing.T, file string) { require.NoError(t, os.Truncate(file, 300)) },
	} {
		t.Run(name, func(t *testing.T) {
			s := newShelved(t)
			r, means := manySheets(t, s, 7)
			spoil(t, s.fileOf(r.apart.means))
			assert.Equal(t, means, allMeans(t, r))
			l, err := r.large(t.Context())
			require.NoError(t, err)
			assert.Nil(t, l.sheets, "they are held from then on")
		})
	}
}

// Where there is no room for them, nothing is kept, and they are judged again.
func TestMeans_noRoom(t *testing.T) {
	s := newShelved(t)
	require.NoError(t, os.WriteFile(s.folder, nil, 0o600)) // a file where a folder is to be
	r, means := manySheets(t, s, 7)
	assert.Equal(t, means, allMeans(t, r))
	r, means = manySheets(t, s, len(means)+1)
	l := r.apart.known
	require.NotNil(t, l, "nothing was put away: what is held stays")
	assert.Equal(t, means, allMeans(t, r))
	assert.Same(t, l, r.apart.known)
}
