//go:build linux

package main

import (
	"encoding/json"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/record"
	"arctally/report/page"
	"arctally/report/page/live"
)

// anotherBuild is the program made anew, with some words of one of its sources changed.
func anotherBuild(t *testing.T, file, from, to string) string {
	t.Helper()
	folder := t.TempDir()
	file, err := filepath.Abs(file)
	require.NoError(t, err)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.True(t, strings.Contains(string(text), from), "%s is not in %s", from, file)
	changed, list, program := filepath.Join(folder, "changed.go"), filepath.Join(folder, "overlay.json"), filepath.Join(folder, "arctally")
	require.NoError(t, os.WriteFile(changed, []byte(strings.Replace(string(text), from, to, 1)), 0o600))
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {file: changed}})
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(list, overlay, 0o600))
	said, err := exec.CommandContext(t.Context(), "go", "build", "-overlay", list, "-buildvcs=false", "-o", program, ".").CombinedOutput()
	require.NoError(t, err, string(said))
	return program
}

// replace kills the program that serves, and has another build of it serve.
func (f *field) replace(build string) {
	f.t.Helper()
	require.NoError(f.t, f.program.Process.Kill())
	require.Error(f.t, f.program.Wait())
	f.build = build
	f.serve()
}

// The program that is upgraded while it records finds the recording, where both builds speak alike.
func TestUpgrade_WhileRecording(t *testing.T) {
	f := newField(t)
	later := anotherBuild(t, "../internal/apart/far.go", "before it said anything", "before it said a word")
	f.serve()
	f.record()
	before := f.until("samples", func(s *live.State) bool { return s.DurableSamples > 0 })
	recorder := recorderOf(t, f.folder)
	f.replace(later)
	after := f.until("samples for the later build", func(s *live.State) bool { return s.DurableSamples > before.DurableSamples })
	assert.Equal(t, before.Epoch, after.Epoch)
	assert.Equal(t, recorder, recorderOf(t, f.folder))
	end := f.stop()
	assert.Greater(t, end.DurableSamples, before.DurableSamples)
	f.end()
	require.NoError(t, record.Verify(f.file()))
}

// elsewhere waits until the pages say, or do not say any more, that another build records.
func (f *field) elsewhere(says bool) page.House {
	f.t.Helper()
	for deadline := time.Now().Add(longest); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		var house page.House
		_, text, err := askOnce(http.MethodGet, "http://"+f.address+"/api/house", "")
		if err == nil && json.Unmarshal(text, &house) == nil && house.Folder != "" && (house.Elsewhere != nil) == says {
			return house
		}
	}
	f.t.Fatal("the pages never said so")
	return page.House{}
}

// Where two builds do not speak alike, the pages say that something is recorded, and how it is
// ended; the record suffers nothing, and what is begun afterwards is recorded.
func TestUpgrade_AnotherSpeech(t *testing.T) {
	f := newField(t)
	later := anotherBuild(t, "../internal/apart/speech.go", "const meaning = 1", "const meaning = 2")
	f.serve()
	f.record()
	recorder := recorderOf(t, f.folder)
	f.replace(later)
	house := f.elsewhere(true)
	told := house.Elsewhere
	assert.Equal(t, "job", told.Record)
	assert.Nil(t, house.GoOn, "it is not left open")
	require.Len(t, house.Records, 1)
	assert.Equal(t, page.InProgress, house.Records[0].State)
	assert.Contains(t, told.Words, "another build of this program records job")
	status, text, err := askOnce(http.MethodPost, "http://"+f.address+"/api/recording", `{"job":"job","record":"second","port":"`+f.port+`"}`)
	require.NoError(t, err)
	assert.Equal(t, http.StatusConflict, status, string(text))
	assert.Contains(t, string(text), "another build of this program records job")
	status, text, err = askOnce(http.MethodDelete, "http://"+f.address+"/api/recording", "")
	require.NoError(t, err)
	assert.Equal(t, http.StatusConflict, status, string(text))
	held := f.head()
	require.Eventually(t, func() bool { return f.head() != held }, longest, 50*time.Millisecond, "it goes on")
	assert.Equal(t, recorder, recorderOf(t, f.folder), "nobody was put beside it")

	require.Contains(t, told.Next, "kill -TERM ")
	require.NoError(t, unix.Kill(recorder, unix.SIGTERM))
	assert.NotNil(t, f.elsewhere(false).GoOn, "nobody here has ended it")
	require.NoError(t, record.Verify(f.file()))
	status, text, err = askOnce(http.MethodPost, "http://"+f.address+"/api/recording", `{"job":"job","record":"job","more":true,"port":"`+f.port+`"}`)
	require.NoError(t, err)
	require.Equal(t, http.StatusCreated, status, string(text))
	f.until("samples of the later build", func(s *live.State) bool { return s.Phase == live.Running && s.DurableSamples > 0 })
	f.stop()
	f.end()
	require.NoError(t, record.Verify(f.file()))
}
