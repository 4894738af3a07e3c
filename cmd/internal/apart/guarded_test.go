//go:build linux

package apart

import (
	"encoding/json"
	"io"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/report/page/live"
)

// guardedVariable has a recorder of a test meet its front as on Windows.
const guardedVariable = "ARCTALLY_TEST_GUARDED"

// asOnWindows has front and recorder meet at a port of this machine.
func asOnWindows(t *testing.T) {
	t.Setenv(guardedVariable, "1")
	was := guarded
	guarded = true
	t.Cleanup(func() { guarded = was })
}

func met(t *testing.T, file string) (m meeting) {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &m))
	return m
}

// Who is on the machine and does not know the word is not let in, learns nothing, and holds
// up nobody by saying nothing.
func TestGuard_StrangersStayOutside(t *testing.T) {
	file := filepath.Join(t.TempDir(), "meeting")
	l, err := await(t.Context(), file)
	require.NoError(t, err)
	m := met(t, file)
	assert.Equal(t, os.Getpid(), m.Process)
	assert.NotEqual(t, m.Caller, m.Host)
	info, err := os.Stat(file)
	require.NoError(t, err)
	assert.Zero(t, info.Mode().Perm()&0o077, "others cannot read the words")

	silent, err := net.Dial("tcp", m.Address)
	require.NoError(t, err)
	guessing, err := net.Dial("tcp", m.Address)
	require.NoError(t, err)
	require.NoError(t, says(guessing, m.Host))
	said, err := io.ReadAll(guessing)
	require.NoError(t, err)
	assert.Empty(t, said)

	came := make(chan net.Conn, 1)
	go func() {
		conn, err := l.Accept()
		assert.NoError(t, err)
		came <- conn
	}()
	ours, err := call(t.Context(), file)
	require.NoError(t, err)
	theirs := <-came
	require.NoError(t, says(theirs, "hello"))
	assert.True(t, hears(ours, "hello"))
	assert.Equal(t, os.Getpid(), ours.(known).process)
	for _, c := range []net.Conn{ours, theirs, silent, guessing} {
		require.NoError(t, c.Close())
	}
	require.NoError(t, l.Close())
	require.NoFileExists(t, file)
	_, err = l.Accept()
	require.ErrorIs(t, err, net.ErrClosed)
}

// A port that another program has by now is not taken for the one that waited there.
func TestGuard_AnotherHasThePort(t *testing.T) {
	other, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "meeting")
	require.NoError(t, os.WriteFile(file, encoded(meeting{Address: other.Addr().String(), Caller: "we", Host: "they"}), 0o600))
	heard := make(chan string, 1)
	go func() {
		conn, err := other.Accept()
		assert.NoError(t, err)
		_, err = conn.Write([]byte("them"))
		assert.NoError(t, err)
		all, _ := io.ReadAll(conn) // it is cut off
		heard <- string(all)
	}()
	_, err = call(t.Context(), file)
	require.ErrorIs(t, err, errLine)
	assert.Equal(t, "we", <-heard)
	require.NoError(t, other.Close())
	_, err = call(t.Context(), file)
	require.Error(t, err, "nobody is there")
	require.NoError(t, os.WriteFile(file, []byte("{"), 0o600))
	_, err = call(t.Context(), file)
	require.Error(t, err)
	_, err = call(t.Context(), file+"-none")
	require.ErrorIs(t, err, os.ErrNotExist)
}

// As on Windows a recorder outlives its front, is found by the next one, and one that is
// killed is started again in the same record.
func TestGuard_OutlivesItsFront(t *testing.T) {
	asOnWindows(t)
	m := &mortal{start: OfItsOwn(), times: 2}
	first := newWatched(m.Start)
	o := ordered(t)
	r, err := Start(t.Context(), first.Front, o)
	require.NoError(t, err)
	before := waitFor(t, r, running)
	m.kill()
	again := waitFor(t, r, func(s *live.State) bool { return running(s) && s.Epoch > before.Epoch })
	r.Leave()
	require.True(t, r.Runs())

	second := newWatched(m.Start)
	found, err := Join(t.Context(), second.Front, o.Folder)
	require.NoError(t, err)
	require.NotNil(t, found)
	assert.NotEqual(t, os.Getpid(), found.number)
	after := waitFor(t, found, func(s *live.State) bool { return s.DurableSamples > again.DurableSamples })
	assert.Equal(t, again.Epoch, after.Epoch)
	found.End()
	select {
	case <-found.Closed():
	case <-time.After(longest):
		t.Fatal("it did not end")
	}
	found.Leave()
	require.NoError(t, record.Verify(o.File))
	assert.Equal(t, 1, saidIn(eventsIn(t, o.File), "had died"))
	none, err := Join(t.Context(), second.Front, o.Folder)
	require.NoError(t, err)
	assert.Nil(t, none)
}
