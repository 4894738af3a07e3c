package review

import (
	"bytes"
	"encoding/hex"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/finding"
	"arctally/analyze/note"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/shelf"
	"arctally/report/paper"
	"arctally/report/sheet"
)

// fill gives every field of a value something of its own, or leaves it nil or empty.
func fill(v reflect.Value, dice *rand.Rand, sparse bool) {
	n := 1 + dice.IntN(3)
	if sparse {
		n = dice.IntN(2)
	}
	switch v.Kind() {
	case reflect.Bool:
		v.SetBool(!sparse || dice.IntN(2) == 0)
	case reflect.Int, reflect.Int64:
		v.SetInt(1 + dice.Int64())
	case reflect.Uint8:
		v.SetUint(1 + dice.Uint64N(255))
	case reflect.Float64:
		odd := []float64{math.NaN(), math.Inf(1), math.Copysign(0, -1), math.SmallestNonzeroFloat64}
		if v.SetFloat(1 + dice.Float64()); sparse {
			v.SetFloat(odd[dice.IntN(len(odd))])
		}
	case reflect.String:
		v.SetString(string(rune('a' + dice.IntN(26))))
	case reflect.Pointer:
		if n > 0 {
			v.Set(reflect.New(v.Type().Elem()))
			fill(v.Elem(), dice, sparse)
		}
	case reflect.Slice:
		if n > 0 || dice.IntN(2) == 0 {
			v.Set(reflect.MakeSlice(v.Type(), n, n))
		}
		for k := range n {
			fill(v.Index(k), dice, sparse)
		}
	case reflect.Array:
		for k := range v.Len() {
			fill(v.Index(k), dice, sparse)
		}
	case reflect.Struct:
		for k := range v.NumField() {
			f := v.Field(k)
			fill(reflect.NewAt(f.Type(), f.Addr().UnsafePointer()).Elem(), dice, sparse) // unexported ones too
		}
	default:
		panic(v.Type().String())
	}
}

// same wants two values alike to the bit, field by field, and nil apart from empty.
func same(t *testing.T, at string, a, b reflect.Value) {
	switch a.Kind() {
	case reflect.Float64:
		require.Equal(t, math.Float64bits(a.Float()), math.Float64bits(b.Float()), at)
	case reflect.Pointer:
		require.Equal(t, a.IsNil(), b.IsNil(), at)
		if !a.IsNil() {
			same(t, at, a.Elem(), b.Elem())
		}
	case reflect.Slice, reflect.Array:
		if a.Kind() == reflect.Slice {
			require.Equal(t, a.IsNil(), b.IsNil(), at)
		}
		require.Equal(t, a.Len(), b.Len(), at)
		for k := range a.Len() {
			same(t, at, a.Index(k), b.Index(k))
		}
	case reflect.Struct:
		for k := range a.NumField() {
			same(t, at+"."+a.Type().Field(k).Name, a.Field(k), b.Field(k))
		}
	default:
		require.True(t, a.Equal(b), at)
	}
}

// Every field of what is kept comes back to the bit: also one that is added tomorrow.
func TestKeep_losesNoField(t *testing.T) {
	dice := rand.New(rand.NewPCG(1, 2))
	for round := range 40 {
		for _, fresh := range []func() any{func() any { return new(analyze.Result) }, func() any { return new([]series.Source) }} {
			want, got := fresh(), fresh()
			fill(reflect.ValueOf(want).Elem(), dice, round%2 == 1)
			require.NoError(t, shelf.Unpack(shelf.Pack(want), got))
			same(t, "", reflect.ValueOf(want).Elem(), reflect.ValueOf(got).Elem())
		}
	}
}

// shelved is a record, a shelf, and whether the samples were read for the last review.
type shelved struct {
	*testing.T
	file, folder string
	program      string
	read         bool
}

func newShelved(t *testing.T) *shelved {
	s := &shelved{T: t, file: filepath.Join(t.TempDir(), "r.arctally"), folder: filepath.Join(t.TempDir(), "results"), program: "program"}
	content, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "record", "version-2-box.arctally"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(s.file, content, 0o600))
	return s
}

// fileOf is the file in which what has a key is kept.
func (s *shelved) fileOf(key shelf.Key) string {
	return filepath.Join(s.folder, hex.EncodeToString(key[:]))
}

func (s *shelved) judge(jobFile string) *Review {
	s.Helper()
	s.read = false
	ctx := shelf.New(s.folder, s.program, shelf.Limit).With(s.Context())
	r, err := Judge(ctx, s.file, jobFile, func(float64) { s.read = true })
	require.NoError(s, err)
	s.Cleanup(func() { require.NoError(s, r.Close()) })
	return r
}

// alike wants two reviews to say the same to the bit.
func alike(t *testing.T, want, got *Review) {
	t.Helper()
	same(t, "Result", reflect.ValueOf(want.small()), reflect.ValueOf(got.small()))
	same(t, "Sources", reflect.ValueOf(want.Sources), reflect.ValueOf(got.Sources))
	same(t, "speakers", reflect.ValueOf(want.speakers), reflect.ValueOf(got.speakers))
	for _, r := range []*Review{want, got} {
		l, err := r.large(t.Context())
		require.NoError(t, err)
		require.NotEmpty(t, l.profiles)
	}
	means := allMeans(t, want)
	require.NotEmpty(t, means)
	same(t, "Means", reflect.ValueOf(means), reflect.ValueOf(allMeans(t, got)))
	same(t, "Profiles", reflect.ValueOf(want.apart.known.profiles), reflect.ValueOf(got.apart.known.profiles))
	var printed [2]bytes.Buffer
	require.NoError(t, want.Sheet().PassesJSON(&printed[0]))
	require.NoError(t, got.Sheet().PassesJSON(&printed[1]))
	require.Equal(t, printed[0].String(), printed[1].String())
	require.Equal(t, weldRecord(t, want), weldRecord(t, got))
}

// allMeans are those of all times.
func allMeans(t *testing.T, r *Review) (all []finding.JudgedMeans) {
	t.Helper()
	for epoch := range 3 {
		judged, err := r.Means(t.Context(), epoch, math.MinInt64, math.MaxInt64)
		require.NoError(t, err)
		for m := range judged.During(epoch, math.MinInt64, math.MaxInt64) {
			all = append(all, *m)
		}
	}
	return all
}

// weldRecord is the paper of a review, with what was measured around its events.
func weldRecord(t *testing.T, r *Review) string {
	t.Helper()
	s := r.Sheet()
	waves, err := r.Waves(t.Context(), s)
	require.NoError(t, err)
	require.NotEmpty(t, waves)
	var printed strings.Builder
	require.NoError(t, paper.With{Waves: waves}.HTML(&printed, s, sheet.Metric))
	require.Contains(t, printed.String(), `class="mean"`, "the means that were judged")
	return printed.String()
}

// What was judged is not judged again, and is the same to the bit.
func TestJudge_keeps(t *testing.T) {
	s := newShelved(t)
	first := s.judge("")
	require.True(t, s.read)
	require.NotEmpty(t, first.Result.Passes)
	second := s.judge("")
	assert.False(t, s.read)
	alike(t, first, second)
	l, err := second.large(t.Context())
	require.NoError(t, err)
	require.NoError(t, os.RemoveAll(s.folder))
	again, err := second.large(t.Context())
	require.NoError(t, err)
	assert.Same(t, l, again, "it is asked for once")
	on, known := second.restsOn(nil)
	require.True(t, known)
	measured, err := second.Measured()
	require.NoError(t, err)
	assert.Equal(t, measured, on.measured)
	own, err := second.Again()
	require.NoError(t, err)
	alike(t, first, own)
	require.NoError(t, own.Close())
}

// Whatever judging rests on, a change of it has the samples judged again.
func TestJudge_keepsNothingThatChanged(t *testing.T) {
	for name, change := range map[string]func(s *shelved) (jobFile string){
		"the program": func(s *shelved) string { s.program = "another build"; return "" },
		"the record": func(s *shelved) string {
			w, err := record.Amend(s.file)
			require.NoError(s, err)
			require.NoError(s, w.Event(note.Note{By: "Operator 1", Text: "a word", Epoch: 0, Tick: 1}.Event()))
			require.NoError(s, w.Close())
			return ""
		},
		"the job": func(s *shelved) string { return jobtest.Short(s.T, "helix", jobtest.OneTurn) },
		"the file, and not the head": func(s *shelved) string {
			later := time.Now().Add(time.Hour)
			require.NoError(s, os.Chtimes(s.file, later, later))
			return ""
		},
		"what was kept, by damage": func(s *shelved) string {
			s.each(func(file string) { require.NoError(s, os.Truncate(file, 100)) })
			return ""
		},
		"what was kept, by deletion": func(s *shelved) string { require.NoError(s, os.RemoveAll(s.folder)); return "" },
	} {
		t.Run(name, func(t *testing.T) {
			s := newShelved(t)
			s.judge("")
			s.judge("")
			require.False(t, s.read)
			jobFile := change(s)
			judged := s.judge(jobFile)
			require.True(t, s.read)
			kept := s.judge(jobFile)
			require.False(t, s.read, "and that is kept too")
			alike(t, judged, kept)
		})
	}
}

// What somebody wrote into while it was judged is not kept: nobody knows which of it was read.
func TestJudge_writtenIntoMeanwhile(t *testing.T) {
	s := newShelved(t)
	r := s.judge("")
	require.NoError(t, os.RemoveAll(s.folder))
	ctx := shelf.New(s.folder, s.program, shelf.Limit).With(t.Context())
	require.NoError(t, r.judgeOnce(ctx, func() error { return os.Chtimes(s.file, time.Time{}, time.Now().Add(time.Hour)) }))
	assert.NoDirExists(t, s.folder)
	failed := errors.New("cancelled")
	require.ErrorIs(t, r.judgeOnce(ctx, func() error { return failed }), failed)
	assert.NoDirExists(t, s.folder)
	require.NoError(t, r.judgeOnce(ctx, func() error { return nil }))
	assert.NoDirExists(t, s.folder, "what is read is not what is there now")
	s.judge("")
	assert.DirExists(t, s.folder)
}

// each does something to every file on the shelf.
func (s *shelved) each(do func(file string)) {
	all, err := filepath.Glob(filepath.Join(s.folder, "*"))
	require.NoError(s, err)
	require.NotEmpty(s, all)
	for _, file := range all {
		do(file)
	}
}

// What is large of a judgement may go while a review of it is in use: it is judged again.
func TestJudge_largeHasGone(t *testing.T) {
	s := newShelved(t)
	first := s.judge("")
	second := s.judge("")
	require.False(t, s.read)
	require.NoError(t, os.RemoveAll(s.folder))
	alike(t, first, second)
}

// A record that is being written is not kept: another second is in it at once.
func TestJudge_keepsNothingBeingWritten(t *testing.T) {
	s := newShelved(t)
	w, err := record.Append(s.file)
	require.NoError(t, err)
	require.NoError(t, w.Event(note.Note{By: "Operator 1", Text: "a word", Tick: 1}.Event()))
	require.NoError(t, w.Sync())
	for range 2 {
		s.judge("")
		require.True(t, s.read)
	}
	require.NoError(t, w.Close())
}
