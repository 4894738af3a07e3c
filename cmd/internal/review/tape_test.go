package review

import (
	"context"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/analyze/note"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/shelf"
)

// jobWith is the job of the record with something in its procedure replaced, in a file.
func (s *shelved) jobWith(written, want string) string {
	s.Helper()
	r, err := record.Open(s.file)
	require.NoError(s, err)
	documents := r.Meta().Documents
	require.NoError(s, r.Close())
	own, err := jobfile.OfRecord(s.file, record.Meta{Documents: documents})
	require.NoError(s, err)
	folder := s.TempDir()
	procedure := documents[jobfile.ProcedureDocument]
	require.Equal(s, 1, strings.Count(procedure, written), "%s in %s", written, procedure)
	file := filepath.Join(folder, jobfile.Document)
	require.NoError(s, os.MkdirAll(filepath.Join(folder, filepath.Dir(own.ProcedureFile)), 0o750))
	require.NoError(s, os.WriteFile(file, []byte(documents[jobfile.Document]), 0o600))
	require.NoError(s, os.WriteFile(filepath.Join(folder, own.ProcedureFile), []byte(strings.Replace(procedure, written, want, 1)), 0o600))
	return file
}

// afresh judges the record by its samples, whatever is on the shelf.
func (s *shelved) afresh(jobFile string) *Review {
	s.Helper()
	r, err := Judge(s.Context(), s.file, jobFile, func(float64) {})
	require.NoError(s, err)
	s.Cleanup(func() { require.NoError(s, r.Close()) })
	return r
}

// fromTape judges by a job, wants that no sample was read for it, and all as the samples say.
func (s *shelved) fromTape(jobFile string) *Review {
	s.Helper()
	judged := s.judge(jobFile)
	require.False(s, s.read)
	alike(s.T, s.afresh(jobFile), judged)
	return judged
}

// Another limit is judged from the tape, to the bit as from the samples; another threshold of the
// arc goes back to them, and so does what follows it.
func TestJudge_otherLimits(t *testing.T) {
	s := newShelved(t)
	first := s.judge("")
	require.True(t, s.read)
	other := s.jobWith("16.5..19.0 V", "16.5..16.6 V")
	judged := s.fromTape(other)
	require.NotEqual(t, len(first.Result.Findings), len(judged.Result.Findings), "it says something else")
	s.judge(other)
	require.False(t, s.read, "and is kept")
	s.fromTape(s.jobWith("0.25..0.55", "0.25..0.26"))
	s.fromTape(s.jobWith("dwell: 1.0 s", "dwell: 0.1 s"))
	threshold := s.jobWith("arc_current: 15 A", "arc_current: 60 A")
	byThreshold := s.judge(threshold)
	require.True(t, s.read)
	alike(t, s.afresh(threshold), byThreshold)
	s.fromTape(s.jobWith("16.5..19.0 V", "17.5..19.0 V"))
}

// theTape is the file of the tape of the record by its own job.
func (s *shelved) theTape() string {
	s.Helper()
	r, err := OpenUnjudged(s.file)
	require.NoError(s, err)
	kept := shelf.New(s.folder, s.program, shelf.Limit)
	on, known := r.restsOn(kept)
	require.True(s, known)
	key := on.tapeKey(kept)
	require.NoError(s, r.Close())
	file := s.fileOf(key)
	require.FileExists(s, file)
	return file
}

// Where the tape has gone, is damaged, or is that of another state of the record or another
// program, the samples are judged, and nobody is told.
func TestJudge_tapeThatDoesNotHold(t *testing.T) {
	for name, change := range map[string]func(s *shelved){
		"deleted": func(s *shelved) { require.NoError(s, os.Remove(s.theTape())) },
		"cut": func(s *shelved) {
			file := s.theTape()
			content, err := os.ReadFile(file)
			require.NoError(s, err)
			require.NoError(s, os.WriteFile(file, content[:len(content)/2], 0o600))
		},
		"without its last piece": func(s *shelved) {
			file := s.theTape()
			content, err := os.ReadFile(file)
			require.NoError(s, err)
			require.NoError(s, os.WriteFile(file, content[:len(content)-8], 0o600))
		},
		"a bit turned over": func(s *shelved) {
			file := s.theTape()
			content, err := os.ReadFile(file)
			require.NoError(s, err)
			content[len(content)*2/3] ^= 4
			require.NoError(s, os.WriteFile(file, content, 0o600))
		},
		"another program": func(s *shelved) { s.program = "another build" },
		"another record": func(s *shelved) {
			w, err := record.Amend(s.file)
			require.NoError(s, err)
			require.NoError(s, w.Event(note.Note{By: "Operator 1", Text: "a word", Epoch: 0, Tick: 1}.Event()))
			require.NoError(s, w.Close())
		},
		"one that does not fit": func(s *shelved) {
			r, err := OpenUnjudged(s.file)
			require.NoError(s, err)
			kept := shelf.New(s.folder, s.program, shelf.Limit)
			on, _ := r.restsOn(kept)
			tape := shelf.NewTape(kept.Draft(on.tapeKey(kept), shelf.Limit))
			tape.Mark(77)
			tape.Keep()
			require.NoError(s, r.Close())
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := newShelved(t)
			s.judge("")
			change(s)
			other := s.jobWith("16.5..19.0 V", "16.5..16.6 V")
			judged := s.judge(other)
			require.True(t, s.read)
			alike(t, s.afresh(other), judged)
			s.fromTape(s.jobWith("16.5..19.0 V", "17.5..19.0 V"))
		})
	}
}

// A tape that is far too long for its record is given up, and the result is kept all the same.
func TestJudge_noTapeOfASlowSource(t *testing.T) {
	s := newShelved(t)
	r, err := OpenUnjudged(s.file)
	require.NoError(t, err)
	kept := shelf.New(s.folder, s.program, shelf.Limit)
	on, known := r.restsOn(kept)
	require.True(t, known)
	run, err := r.prepare("")
	require.NoError(t, err)
	w := taping{draft: kept.Draft(on.tapeKey(kept), 5000), means: newPutAway(kept, on)}
	w.begin(run)
	require.NoError(t, Feed(context.Background(), r.Reader, run, func(float64) {}))
	result := run.Finish()
	require.False(t, w.tape.Keep())
	require.NoError(t, r.Close())
	assert.Nil(t, kept.Pieces(on.tapeKey(kept)))
	same(t, "Result", reflect.ValueOf(s.afresh("").Result), reflect.ValueOf(result))
}
