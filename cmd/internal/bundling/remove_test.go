package bundling

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/cmd/internal/explain"
	"arctally/report/handover"
)

var noon = time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)

func remove(file string, from handover.Store, try bool) (Removed, error) {
	return Remove(context.Background(), Removing{File: file, From: from, Try: try, Now: func() time.Time { return noon }, Told: func(string) {}})
}

// The whole circle: handed over, removed, taken back, and the same to the byte.
func TestRemove_AndTakenBack(t *testing.T) {
	inEach(t, func(t *testing.T, s stored) {
		file, digest := handedRecord(t, s)
		content, err := os.ReadFile(file)
		require.NoError(t, err)
		folder := filepath.Dir(file)

		tried, err := remove(file, s, true)
		require.NoError(t, err)
		require.FileExists(t, file)
		require.Zero(t, tried.At)
		require.Equal(t, digest, tried.Bundle)
		noted, err := RemovedFrom(folder)
		require.NoError(t, err)
		require.Empty(t, noted, "it was tried, and no more")

		gone, err := remove(file, s, false)
		require.NoError(t, err)
		require.NoFileExists(t, file)
		noted, err = RemovedFrom(folder)
		require.NoError(t, err)
		require.Equal(t, []Removed{gone}, noted)
		require.Equal(t, "boom", gone.Record)
		require.Equal(t, noon, gone.At)
		require.EqualValues(t, len(content), gone.Bytes)
		left, err := os.ReadDir(folder)
		require.NoError(t, err)
		require.Len(t, left, 1, "the note, and nothing else")

		_, err = remove(file, s, false)
		require.ErrorContains(t, err, "removed here 2026-11-28 12:00 UTC: the store has it as bundle "+digest)
		require.Equal(t, "arctally take "+gone.Place(), explain.Of(err).Hint)

		taken, err := Take(t.Context(), gone.Place(), folder, func(string) {})
		require.NoError(t, err)
		require.True(t, taken.Sealing.Ended())
		back, err := os.ReadFile(taken.Record)
		require.NoError(t, err)
		require.True(t, bytes.Equal(content, back))
		require.NoError(t, os.Rename(taken.Record, file))
		noted, err = RemovedFrom(folder)
		require.NoError(t, err)
		require.Empty(t, noted, "it is here again")
	})
}

// requireStays wants a removal refused, nothing noted, and the record to be as it was.
func requireStays(t *testing.T, file string, content []byte, err error, says, hint string) {
	t.Helper()
	require.ErrorContains(t, err, says)
	require.Contains(t, explain.Of(err).Hint, hint)
	now, err := os.ReadFile(file)
	require.NoError(t, err)
	require.True(t, bytes.Equal(content, now))
	noted, err := os.ReadDir(filepath.Join(filepath.Dir(file), notesFolder))
	if !errors.Is(err, os.ErrNotExist) {
		require.NoError(t, err)
	}
	require.Empty(t, noted)
	require.NoFileExists(t, file+"-lock")
}

// Whatever is wrong with what the store has, the record stays.
func TestRemove_StoreHasNotAllOfIt(t *testing.T) {
	gone := func([]byte) []byte { return nil }
	altered := func(content []byte) []byte {
		return append(content[:len(content)-1:len(content)-1], content[len(content)-1]^1)
	}
	shorter := func(content []byte) []byte { return content[:len(content)-1] }
	half := func(content []byte) []byte { return content[:len(content)/2] }
	for name, c := range map[string]struct {
		file       string
		change     func([]byte) []byte
		says, hint string
	}{
		"torn":                   {handover.ManifestName, gone, "there is no manifest", "hand it over again"},
		"a file is missing":      {handover.ResultsName, gone, "the store has not all of its bundle", "hand it over again"},
		"the record is missing":  {handover.RecordName, gone, "the store has not all of its bundle", "hand it over again"},
		"a file is another":      {"weld-record.pdf", altered, "SHA-256", "somebody or something changed the bundle"},
		"the record is another":  {handover.RecordName, altered, "SHA-256", "somebody or something changed the bundle"},
		"the last is another":    {"weld-record.html", altered, "SHA-256", "somebody or something changed the bundle"},
		"a file is shorter":      {handover.SamplesName, shorter, "where the manifest says", "somebody or something changed the bundle"},
		"no manifest any more":   {handover.ManifestName, half, "no RO-Crate", "hand the record over again"},
		"of a later version":     {handover.ManifestName, later, "this program knows 1", "use the arctally that made it"},
		"manifest of other sums": {handover.ManifestName, otherSums, "SHA-256", "somebody or something changed the bundle"},
	} {
		t.Run(name, func(t *testing.T) {
			inEach(t, func(t *testing.T, s stored) {
				file, digest := handedRecord(t, s)
				content, err := os.ReadFile(file)
				require.NoError(t, err)
				s.change(digest, c.file, c.change)
				for _, try := range []bool{true, false} {
					_, err = remove(file, s, try)
					requireStays(t, file, content, err, c.says, c.hint)
				}
			})
		})
	}
}

func later(manifest []byte) []byte {
	return bytes.Replace(manifest, []byte(`"value": "1"`), []byte(`"value": "2"`), 1)
}

func otherSums(manifest []byte) []byte {
	m, err := handover.ParseManifest("here", manifest)
	if err != nil {
		panic(err)
	}
	for k := range m.Files {
		m.Files[k].SHA256 = hexOf('0')
	}
	return m.Bytes()
}

// A store that is not there, and one that goes away while it is asked.
func TestRemove_StoreCannotBeReached(t *testing.T) {
	inEach(t, func(t *testing.T, s stored) {
		file, _ := handedRecord(t, s)
		content, err := os.ReadFile(file)
		require.NoError(t, err)
		r := Removing{File: file, From: s, Now: time.Now, Told: func(what string) {
			if what == "reading back "+handover.ResultsName {
				s.vanish()
			}
		}}
		_, err = Remove(t.Context(), r)
		requireStays(t, file, content, err, "not removed: ", "")
		require.NotEmpty(t, explain.Of(err).Hint)
		_, err = remove(file, s, false)
		requireStays(t, file, content, err, "not removed: ", "")
	})
}

// What is removed must be what was handed over, and nobody may be at it.
func TestRemove_RecordIsAnother(t *testing.T) {
	inEach(t, func(t *testing.T, s stored) {
		file, digest := handedRecord(t, s)
		goOn(t, file)
		content, err := os.ReadFile(file)
		require.NoError(t, err)
		_, err = remove(file, s, false)
		requireStays(t, file, content, err, "the store has no bundle of it as it is now", "hand it over first: arctally hand-over "+file)

		_, err = Hand(t.Context(), file, s, t.TempDir(), func(string) {})
		require.NoError(t, err)
		w, err := record.Append(file)
		require.NoError(t, err)
		_, err = remove(file, s, false)
		require.ErrorContains(t, err, "busy")
		require.Contains(t, explain.Of(err).Hint, "end what records into it")
		require.NoError(t, w.Close())
		require.FileExists(t, file)
		require.NotEmpty(t, digest)
	})
}

// Bytes that the chain does not cover differ, and a manifest that fits a forged record names another one.
func TestRemove_AnotherFileOfTheSameChain(t *testing.T) {
	inEach(t, func(t *testing.T, s stored) {
		file, digest := handedRecord(t, s)
		content, err := os.ReadFile(file)
		require.NoError(t, err)
		other := append(bytes.Clone(content), make([]byte, 4096)...) // SQLite reads no further than its header says
		require.NoError(t, os.WriteFile(file, other, 0o600))
		_, err = remove(file, s, false)
		requireStays(t, file, other, err, "the record in it is another one than the one here", "nothing was written over")
		require.NoError(t, os.WriteFile(file, content, 0o600))
		s.change(digest, handover.ManifestName, func(manifest []byte) []byte {
			m, err := handover.ParseManifest("here", manifest)
			require.NoError(t, err)
			m.Commits++
			return m.Bytes()
		})
		_, err = remove(file, s, false)
		requireStays(t, file, content, err, "the record in it is another one than the one here", "")
	})
}

// The bundle's own record is never taken for a copy of it, whatever the folder of the store is called.
func TestRemove_TheBundleItself(t *testing.T) {
	s := inFolder(t)
	_, digest := handedRecord(t, s)
	link := filepath.Join(t.TempDir(), "mounted")
	require.NoError(t, os.Symlink(s.String(), link))
	for _, at := range []string{s.String(), link} {
		own := filepath.Join(at, digest, handover.RecordName)
		_, err := remove(own, s, false)
		require.ErrorContains(t, err, "it lies in a bundle itself")
		require.NotEmpty(t, explain.Of(err).Hint)
		require.FileExists(t, own)
	}
}

func TestRemove_NoRecord(t *testing.T) {
	s := inFolder(t)
	_, err := remove(filepath.Join(t.TempDir(), "boom.arctally"), s, false)
	var own *record.Error
	require.ErrorAs(t, err, &own)
	require.Equal(t, record.Missing, own.Kind)
}

// Where it cannot be noted that the record goes, it does not go.
func TestRemove_NoRoomForTheNote(t *testing.T) {
	s := inFolder(t)
	file, _ := handedRecord(t, s)
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	inTheWay := filepath.Join(filepath.Dir(file), notesFolder)
	require.NoError(t, os.WriteFile(inTheWay, nil, 0o600))
	_, err = remove(file, s, false)
	require.ErrorContains(t, err, "not removed: ")
	require.NoError(t, os.Remove(inTheWay))
	requireStays(t, file, content, err, "not removed: ", "")
}

// A record into which a program writes that knows no locks stays, to the last moment, and its note goes.
func TestRemove_TouchedAtTheLastMoment(t *testing.T) {
	s := inFolder(t)
	file, _ := handedRecord(t, s)
	content, err := os.ReadFile(file)
	require.NoError(t, err)
	content[len(content)-1] ^= 1
	_, err = Remove(t.Context(), Removing{File: file, From: s, Now: time.Now, Told: func(what string) {
		if what == "removing it here" {
			require.NoError(t, os.WriteFile(file, content, 0o600))
		}
	}})
	requireStays(t, file, content, err, "somebody wrote into it while it was to be removed", "hand it over as it is now: arctally hand-over "+file)
}

// A note that somebody damaged is told, and the others are known.
func TestRemovedFrom_Damaged(t *testing.T) {
	folder := t.TempDir()
	found, err := RemovedFrom(folder)
	require.NoError(t, err)
	require.Empty(t, found)
	other := Removed{Record: "boom", Bundle: hexOf('1'), Store: "/a", At: noon}
	require.NoError(t, other.keep(folder))
	for _, text := range []string{"", "{", `{"record":"boom","bundle":"x"}`, `{"record":"../boom","bundle":"` + hexOf('0') + `"}`, `{"record":"","bundle":"` + hexOf('0') + `"}`} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, notesFolder, "x.json"), []byte(text), 0o600))
		found, err = RemovedFrom(folder)
		require.Equal(t, []Removed{other}, found)
		require.ErrorContains(t, err, "x.json: cannot be read")
		require.Contains(t, explain.Of(err).Hint, "move it away")
	}
}

func hexOf(digit byte) string { return string(bytes.Repeat([]byte{digit}, 64)) }

// Of a name under which records were removed one after the other the last one counts, of two names both.
func TestRemovedFrom_SeveralOfOneName(t *testing.T) {
	folder := t.TempDir()
	first := Removed{Record: "boom", Bundle: hexOf('1'), Store: "/a", At: noon}
	second := Removed{Record: "boom", Bundle: hexOf('0'), Store: "/a", At: noon.Add(time.Hour)}
	copied := Removed{Record: "stick", Bundle: hexOf('0'), Store: "/a", At: noon}
	for _, r := range []Removed{second, first, copied} {
		require.NoError(t, r.keep(folder))
	}
	found, err := RemovedFrom(folder)
	require.NoError(t, err)
	require.Equal(t, []Removed{second, copied}, found)
}

// childStep has the test binary remove a record, and kill itself before that step.
const childStep = "ARCTALLY_REMOVE_UNTIL"

func TestMain(m *testing.M) {
	step, err := strconv.Atoi(os.Getenv(childStep))
	if err != nil {
		os.Exit(m.Run())
	}
	if err := removeUntil(step, os.Args[1], os.Args[2]); err != nil {
		_, _ = io.WriteString(os.Stderr, err.Error()+"\n")
		os.Exit(1)
	}
}

func removeUntil(step int, file, store string) error {
	from, err := handover.Open(store)
	if err != nil {
		return err
	}
	_, err = Remove(context.Background(), Removing{File: file, From: from, Now: time.Now, Told: func(string) {
		if step--; step != 0 {
			return
		}
		if self, err := os.FindProcess(os.Getpid()); err == nil {
			_ = self.Kill()
		}
		select {} // until it is
	}})
	return err
}

// Killed before whichever step, the record is here to the byte, or it is noted which store has it; the
// store has all of it in any case, and who asks again finds the same.
func TestRemove_KilledAtEveryStep(t *testing.T) {
	if testing.Short() {
		t.Skip("it kills many programs")
	}
	inEach(t, func(t *testing.T, s stored) {
		file, digest := handedRecord(t, s)
		content, err := os.ReadFile(file)
		require.NoError(t, err)
		here, there := 0, 0
		for step, killed := 1, true; killed; step++ {
			require.NoError(t, os.WriteFile(file, content, 0o600))
			require.NoError(t, os.RemoveAll(filepath.Join(filepath.Dir(file), notesFolder)))
			child := exec.CommandContext(t.Context(), os.Args[0], file, s.String())
			child.Env = append(os.Environ(), childStep+"="+strconv.Itoa(step))
			said, err := child.CombinedOutput()
			killed = err != nil
			require.Empty(t, string(said))
			b, err := handover.Read(t.Context(), s, digest)
			require.NoError(t, err)
			require.NoError(t, b.ReadBack(t.Context(), func(string) {}))
			noted, err := RemovedFrom(filepath.Dir(file))
			require.NoError(t, err)
			if now, err := os.ReadFile(file); err == nil {
				here++
				require.True(t, bytes.Equal(content, now))
				require.Empty(t, noted)
				_, err = remove(file, s, false)
				require.NoError(t, err, "nothing that was left is in the way")
				require.NoFileExists(t, file)
			} else {
				there++
				require.Equal(t, digest, noted[0].Bundle)
				_, err = remove(file, s, false)
				require.ErrorContains(t, err, "the store has it as bundle")
			}
		}
		require.Greater(t, here, 10, "each file of the bundle is a step")
		require.Equal(t, 2, there, "killed after it was removed, and not at all")
	})
}
