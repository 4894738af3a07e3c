package shelf

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/tape"
)

// all reads a file of pieces to its end; false where that is not sound.
func all(p *Pieces) (read [][]byte, sound bool) {
	if p == nil {
		return nil, false
	}
	defer p.Close()
	for {
		piece, ok := p.Next()
		if !ok || len(piece) == 0 {
			return read, ok
		}
		read = append(read, bytes.Clone(piece))
	}
}

// Pieces come back in their order, short ones and those that need a file before the end; nobody
// finds them before they are kept.
func TestDraft_backAndForth(t *testing.T) {
	for _, lengths := range [][]int{{}, {1}, {3, 2, 1}, {littleDraft, 1}, {700_000, 700_000, 5}} {
		s := shelfOf(t, Limit)
		key := s.Key(&kept{})
		d := s.Draft(key, Limit)
		d.Piece([]byte("of a time before"))
		d.Restart()
		var want [][]byte
		for k, n := range lengths {
			want = append(want, bytes.Repeat([]byte{byte(k + 1)}, n))
			d.Piece(want[k])
		}
		require.Nil(t, s.Pieces(key))
		d.Keep()
		got, sound := all(s.Pieces(key))
		require.True(t, sound, lengths)
		require.Equal(t, want, got)
		require.Len(t, s.lying(), 1)
		var value kept
		require.False(t, s.Fetch(key, &value), "pieces are no value")
		s.Put(key, &value)
		require.Nil(t, s.Pieces(key), "a value is no pieces")
	}
	require.Nil(t, (*Shelf)(nil).Draft(Key{}, 1))
	require.Nil(t, (*Shelf)(nil).Pieces(Key{}))
}

// A file of pieces with any one bit turned over, cut anywhere, of another key or with its pieces
// in another order is not sound.
func TestDraft_damaged(t *testing.T) {
	s := shelfOf(t, Limit)
	key := s.Key(&kept{})
	d := s.Draft(key, Limit)
	d.Piece([]byte("piece 1"))
	d.Piece([]byte("piece 2"))
	d.Keep()
	whole, err := os.ReadFile(s.file(key))
	require.NoError(t, err)
	refused := func(content []byte, why string, k int) {
		require.NoError(t, os.WriteFile(s.file(key), content, 0o600))
		_, sound := all(s.Pieces(key))
		require.False(t, sound, "%s at %d", why, k)
	}
	for k := range whole {
		refused(whole[:k], "cut", k)
		turned := bytes.Clone(whole)
		turned[k] ^= 1 << (k % 8)
		refused(turned, "turned over", k)
	}
	head, piece := len(beginPieces)+len(key), 4+len("piece 1")+4
	one, two := whole[head:head+piece], whole[head+piece:head+2*piece]
	refused(bytes.Join([][]byte{whole[:head], two, one, whole[head+2*piece:]}, nil), "exchanged", 0)
	other := s.Key(&kept{Name: "other"})
	copied := append([]byte(beginPieces), other[:]...)
	require.NoError(t, os.WriteFile(s.file(other), append(copied, whole[head:]...), 0o600))
	_, sound := all(s.Pieces(other))
	require.False(t, sound, "the pieces of another key")
}

// What grows too large, was dropped or cannot be written is not kept, and leaves no file.
func TestDraft_givenUp(t *testing.T) {
	for name, spoil := range map[string]func(s *Shelf, d *Draft){
		"too large at once": func(_ *Shelf, d *Draft) { d.Piece(make([]byte, 3<<20)) },
		"too large in the end": func(_ *Shelf, d *Draft) {
			for range 30 {
				d.Piece(make([]byte, 100_000))
			}
		},
		"dropped": func(_ *Shelf, d *Draft) { d.Piece(make([]byte, 2<<20)); d.Drop() },
		"no folder": func(s *Shelf, d *Draft) {
			if err := os.WriteFile(s.folder, nil, 0o600); err != nil {
				d.Drop()
			}
		},
		"a piece beyond all": func(_ *Shelf, d *Draft) { d.Piece(make([]byte, mostPiece+1)) },
	} {
		t.Run(name, func(t *testing.T) {
			s := shelfOf(t, Limit)
			key := s.Key(&kept{})
			d := s.Draft(key, 2500_000)
			spoil(s, d)
			if name != "no folder" {
				require.True(t, d.GivenUp())
			}
			d.Keep()
			require.Nil(t, s.Pieces(key))
			require.Empty(t, s.lying())
		})
	}
}

// A draft that is kept makes room for itself, and does not go for it.
func TestDraft_makesRoom(t *testing.T) {
	s := shelfOf(t, 3_000_000)
	old := s.Key(&kept{Name: "old"})
	s.Put(old, &kept{Name: string(make([]byte, 1_500_000))})
	past := time.Now().Add(-time.Minute)
	require.NoError(t, os.Chtimes(s.file(old), past, past))
	key := s.Key(&kept{})
	d := s.Draft(key, math.MaxInt64)
	d.Piece(make([]byte, 2_000_000))
	d.Keep()
	_, sound := all(s.Pieces(key))
	require.True(t, sound)
	require.NoFileExists(t, s.file(old))
}

// What stands on a tape comes back in its order, over many pieces; at its end is the end.
func TestTape_backAndForth(t *testing.T) {
	s := shelfOf(t, Limit)
	key := s.Key(&kept{})
	dice := rand.New(rand.NewPCG(7, 8))
	d := s.Draft(key, Limit)
	w := NewTape(d)
	w.Mark(99)
	w = NewTape(d) // begins anew
	var said []func(r tape.Reader)
	for k := range 400_000 {
		m := tape.Mark(1 + dice.IntN(60))
		w.Mark(m)
		said = append(said, func(r tape.Reader) { require.Equal(t, m, r.Mark()) })
		for range dice.IntN(4) {
			c, x := tape.Column(dice.IntN(tape.Columns)), int64(dice.Uint64())>>dice.IntN(64)
			w.Number(c, x)
			said = append(said, func(r tape.Reader) { require.Equal(t, x, r.Number(c)) })
		}
		if k%1000 == 0 {
			value := kept{Name: fmt.Sprint(k), table: []float64{math.NaN()}}
			w.Value(&value)
			said = append(said, func(r tape.Reader) {
				var got kept
				r.Value(&got)
				require.Equal(t, value.Name, got.Name)
			})
		}
	}
	w.Keep()
	info, err := os.Stat(s.file(key))
	require.NoError(t, err)
	require.Greater(t, info.Size(), int64(2*pieceLength), "several pieces")
	p := NewPlayer(s.Pieces(key), func() bool { return true })
	require.NoError(t, tape.Playing(func() {
		for _, one := range said {
			one(p)
		}
		require.Equal(t, tape.End, p.Mark())
	}))
	require.ErrorContains(t, tape.Playing(func() { p.Number(3) }), "none is there")
	require.Error(t, tape.Playing(func() { p.Value(new(kept)) }))
	stopped := NewPlayer(s.Pieces(key), func() bool { return false })
	require.Error(t, tape.Playing(func() { stopped.Mark() }), "who is asked to stop does")
}

// FuzzPlayer: whatever a piece holds, it is played or given up.
func FuzzPlayer(f *testing.F) {
	s := New(filepath.Join(f.TempDir(), "results"), "program 1", Limit)
	d := s.Draft(Key{}, Limit)
	w := NewTape(d)
	w.Mark(3)
	w.Number(1, 5)
	w.Value(&kept{Name: "x"})
	w.Keep()
	pieces := s.Pieces(Key{})
	piece, sound := pieces.Next()
	assert.True(f, sound)
	f.Add(bytes.Clone(piece))
	pieces.Close()
	f.Fuzz(func(t *testing.T, piece []byte) {
		if len(piece) == 0 || len(piece) > 1<<16 {
			return
		}
		s := New(filepath.Join(t.TempDir(), "results"), "program 1", Limit)
		d := s.Draft(Key{}, Limit)
		d.Piece(piece)
		d.Keep()
		pieces := s.Pieces(Key{})
		defer pieces.Close()
		p := NewPlayer(pieces, func() bool { return true })
		_ = tape.Playing(func() {
			for p.Mark() != tape.End {
				p.Number(1)
				p.Value(new(kept))
			}
		})
	})
}
