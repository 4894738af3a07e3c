package shelf

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// kept is a small value of all kinds.
type kept struct {
	Name  string
	table []float64
	Next  *kept2
}

type kept2 struct{ N int }

func shelfOf(t *testing.T, limit int64) *Shelf {
	return New(filepath.Join(t.TempDir(), "results"), "program 1", limit)
}

// What was put under a key is found under it by whoever asks, and under no other.
func TestShelf_findsByItsKey(t *testing.T) {
	s := shelfOf(t, Limit)
	on := kept{Name: "job", table: []float64{1}}
	value := kept{Name: "found", table: []float64{1, 2}, Next: &kept2{7}}
	var got kept
	require.False(t, s.Fetch(s.Key(&on), &got), "nothing is there yet")
	s.Put(s.Key(&on), &value)
	again := New(s.folder, "program 1", Limit)
	require.True(t, again.Fetch(again.Key(&kept{Name: "job", table: []float64{1}}), &got))
	assert.Equal(t, value, got)

	other := New(s.folder, "program 2", Limit)
	for name, key := range map[string]Key{
		"another program": other.Key(&on),
		"another name":    s.Key(&kept{Name: "job ", table: []float64{1}}),
		"another number":  s.Key(&kept{Name: "job", table: []float64{1.0000000000000002}}),
		"nil and empty":   s.Key(&kept{Name: "job", table: []float64{1}, Next: &kept2{}}),
	} {
		assert.False(t, s.Fetch(key, &got), name)
		if hex := s.file(key); assert.NotEqual(t, s.file(s.Key(&on)), hex) {
			content, err := os.ReadFile(s.file(s.Key(&on)))
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(hex, content, 0o600))
			assert.False(t, s.Fetch(key, &got), "%s, where a file was given its name", name)
		}
	}
}

// A file with any one bit turned over, or cut anywhere, or with anything behind it, counts
// as none, and what is there already is left as it is.
// What is kept may be most of what a process holds: it is not held a second time for that.
func TestShelf_keepsWithoutACopy(t *testing.T) {
	s := New(t.TempDir(), "a program", Limit)
	x := struct{ J []float64 }{make([]float64, 1<<20)}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	require.True(t, s.Put(s.Key(new("long")), &x))
	runtime.ReadMemStats(&after)
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(1<<20))
}

func TestShelf_damaged(t *testing.T) {
	s := shelfOf(t, Limit)
	key := s.Key(&kept{})
	s.Put(key, &kept{Name: "whole", table: []float64{1}, Next: &kept2{3}})
	whole, err := os.ReadFile(s.file(key))
	require.NoError(t, err)
	want := kept{Name: "untouched"}
	refused := func(content []byte, why string, k int) {
		require.NoError(t, os.WriteFile(s.file(key), content, 0o600))
		got := want
		require.False(t, s.Fetch(key, &got), "%s at %d", why, k)
		require.Equal(t, want, got)
	}
	for k := range whole {
		refused(whole[:k], "cut", k)
		turned := bytes.Clone(whole)
		turned[k] ^= 1 << (k % 8)
		refused(turned, "turned over", k)
	}
	refused(append(bytes.Clone(whole), 0), "one more", len(whole))
	require.NoError(t, os.WriteFile(s.file(key), whole, 0o600))
	var got kept
	require.True(t, s.Fetch(key, &got))
}

// No more is kept than the limit: what was used longest ago goes first, and what is being
// used stays; what another program left behind half written goes when it is old.
func TestShelf_makesRoom(t *testing.T) {
	one := kept{Name: strings.Repeat("x", 1000)}
	s := shelfOf(t, 3500)
	key := func(n int) Key { return s.Key(&kept2{n}) }
	for n := range 3 {
		s.Put(key(n), &one)
		then := time.Now().Add(time.Duration(n-10) * time.Minute)
		require.NoError(t, os.Chtimes(s.file(key(n)), then, then))
	}
	old, fresh := filepath.Join(s.folder, draftName+"1"), filepath.Join(s.folder, draftName+"2")
	require.NoError(t, os.WriteFile(old, nil, 0o600))
	require.NoError(t, os.WriteFile(fresh, nil, 0o600))
	then := time.Now().Add(-2 * draftsLast)
	require.NoError(t, os.Chtimes(old, then, then))
	var got kept
	require.True(t, s.Fetch(key(0), &got), "it is used now")
	s.Put(key(3), &one)
	for n, there := range []bool{true, false, true, true} {
		assert.Equal(t, there, s.Fetch(key(n), &got), n)
	}
	assert.NoFileExists(t, old)
	assert.FileExists(t, fresh, "its program may still write")

	s.Put(key(4), &kept{Name: strings.Repeat("x", 4000)})
	assert.False(t, s.Fetch(key(4), &got), "too large for any room")
	assert.True(t, s.Fetch(key(3), &got), "and nothing went for it")
}

// Several at once write, read and delete on one shelf: each finds a whole value or none.
func TestShelf_severalAtOnce(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "results")
	var all sync.WaitGroup
	for n := range 6 {
		s := New(folder, "program", 60_000)
		all.Go(func() {
			for k := range 60 {
				key := s.Key(&kept2{k % 5})
				value := kept{Name: strings.Repeat(string(rune('a'+k%5)), 5000+n)}
				s.Put(key, &value)
				var got kept
				if s.Fetch(key, &got) {
					assert.Empty(t, strings.Trim(got.Name, value.Name[:1]))
					assert.GreaterOrEqual(t, len(got.Name), 5000)
				}
				if k%17 == n {
					_ = os.RemoveAll(folder) // fails where another one puts a file there meanwhile
				}
			}
		})
	}
	all.Wait()
	entries, _ := os.ReadDir(folder) // it may be gone
	assert.LessOrEqual(t, len(entries), 5)
	for _, e := range entries {
		assert.False(t, strings.HasPrefix(e.Name(), draftName), e.Name())
	}
}

// Without a place, or where none can be made, nothing is kept and nothing fails.
func TestShelf_nowhere(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for _, s := range []*Shelf{nil, New(filepath.Join(file, "results"), "p", Limit), From(t.Context())} {
		key := s.Key(&kept2{1})
		s.Put(key, &kept2{1})
		assert.False(t, s.Fetch(key, &kept2{}))
	}
	s := New("x", "p", Limit)
	assert.Same(t, s, From(s.With(context.Background())))
}

// The shelf of the user is in his cache folder, for him alone, and is that of this build.
func TestOfUser(t *testing.T) {
	cache := t.TempDir()
	for _, name := range []string{"XDG_CACHE_HOME", "HOME", "LocalAppData"} {
		t.Setenv(name, cache)
	}
	s := OfUser()
	require.NotNil(t, s)
	key := s.Key(&kept2{1})
	s.Put(key, &kept2{2})
	inside, err := filepath.Rel(cache, s.file(key))
	require.NoError(t, err)
	assert.True(t, filepath.IsLocal(inside))
	assert.FileExists(t, s.file(key))
	info, err := os.Stat(s.folder)
	require.NoError(t, err)
	assert.EqualValues(t, 0o700, info.Mode().Perm())
	assert.Contains(t, s.program, "arctally")
}
