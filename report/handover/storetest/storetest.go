// Package storetest has stores for tests: Engine is an object store that others wrote, over a folder, that can be
// killed and started again at the same address, and Memory is one of our own in this process.
//
// The engine is versitygw, which `make engines` builds by .ci/store.mod; ARCTALLY_STORE says where it is.
// Where it does not, the tests that need it skip.
package storetest

import (
	"context"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
	"github.com/stretchr/testify/require"
)

// What the store is reached by.
const (
	Key    = "storekeyoftests"
	Secret = "a secret of tests"
	Region = "us-east-1"
	Bucket = "repairs"
)

// patience is how long a store may take to start on a machine with other things to do.
const patience = time.Minute

// Engine is a store that runs.
type Engine struct {
	Address string // host:port
	Folder  string // that keeps the objects
	t       testing.TB
	held    sync.Mutex
	process *exec.Cmd // nil is killed
}

// Start starts a store over a new folder, with an empty bucket; it ends with the test.
func Start(t testing.TB) *Engine {
	t.Helper()
	return StartOver(t, t.TempDir())
}

// StartOver is Start over a folder.
func StartOver(t testing.TB, folder string) *Engine {
	t.Helper()
	if os.Getenv("ARCTALLY_STORE") == "" {
		t.Skip("no object store here: make engines builds one, and runs this test")
	}
	listener, err := new(net.ListenConfig).Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	e := &Engine{Address: listener.Addr().String(), Folder: filepath.Join(folder, "objects"), t: t}
	require.NoError(t, listener.Close())
	require.NoError(t, os.MkdirAll(e.Folder, 0o755))
	t.Cleanup(e.Kill)
	e.Again()
	client, err := minio.New(e.Address, &minio.Options{Creds: credentials.NewStaticV4(Key, Secret, ""), Region: Region})
	require.NoError(t, err)
	require.NoError(t, client.MakeBucket(t.Context(), Bucket, minio.MakeBucketOptions{}))
	return e
}

// URL is where the store answers.
func (e *Engine) URL() string { return "http://" + e.Address }

// Environment is how a program finds the store.
func (e *Engine) Environment() map[string]string {
	return map[string]string{"AWS_ENDPOINT_URL": e.URL(), "AWS_REGION": Region, "AWS_ACCESS_KEY_ID": Key, "AWS_SECRET_ACCESS_KEY": Secret}
}

// Use has this program, and those that it starts, find a store until the test ends.
func Use(t testing.TB, store interface{ Environment() map[string]string }) {
	t.Helper()
	for name, value := range store.Environment() {
		t.Setenv(name, value)
	}
}

// Kill kills the store, as a power cut would.
func (e *Engine) Kill() {
	e.held.Lock()
	defer e.held.Unlock()
	if e.process != nil {
		_ = e.process.Process.Kill()
		_ = e.process.Wait() // it was killed
		e.process = nil
	}
}

// Again starts the store at the same address, and returns once it answers.
func (e *Engine) Again() {
	e.held.Lock()
	defer e.held.Unlock()
	e.process = exec.CommandContext(context.WithoutCancel(e.t.Context()), os.Getenv("ARCTALLY_STORE"), "--port", e.Address, "--quiet", "posix", e.Folder)
	e.process.Env = append(os.Environ(), "ROOT_ACCESS_KEY="+Key, "ROOT_SECRET_KEY="+Secret)
	e.process.Stderr = os.Stderr
	require.NoError(e.t, e.process.Start())
	require.Eventually(e.t, func() bool {
		ask, err := http.NewRequestWithContext(e.t.Context(), http.MethodGet, e.URL(), nil)
		if err != nil {
			return false
		}
		answer, err := http.DefaultClient.Do(ask)
		return err == nil && answer.Body.Close() == nil
	}, patience, 20*time.Millisecond, "the store answers")
}
