package apart

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"time"

	"arctally/cmd/internal/shelf"
)

// Process is a recorder that was started.
type Process struct {
	Number int             // 0 is that it has none of its own
	Gone   <-chan struct{} // closed when it has ended
	Why    func() string   // it has ended; to be asked after that
	Kill   func()
}

// Starter starts a recorder; what it says of its own end goes into a log.
type Starter func(o Order, log string) (*Process, error)

// program tells this build from every other one.
var program = sync.OnceValue(func() string {
	known, _ := shelf.ThisProgram() // one that does not know itself takes others for its like
	return known
})

// OfItsOwn starts the recorder as a process of its own. It outlives this one, and hears
// nothing of what is typed at the terminal of this one.
func OfItsOwn() Starter {
	_ = program() // before another build lies in its place
	start := beforeAll()
	return func(o Order, log string) (*Process, error) {
		own, err := os.Executable()
		if err != nil {
			return nil, err
		}
		last, err := os.OpenFile(log, os.O_CREATE|os.O_TRUNC|os.O_RDWR, 0o600)
		if err != nil {
			return nil, err
		}
		command := &exec.Cmd{
			Path: own, Args: []string{os.Args[0], Role}, Dir: o.Folder,
			Stdin: bytes.NewReader(encoded(o)), Stderr: last, SysProcAttr: aloof(),
		}
		if err := start(command.Start); err != nil {
			return nil, errors.Join(err, last.Close())
		}
		gone := make(chan struct{})
		why := ""
		go func() {
			_ = command.Wait() // what became of it is in its state
			why = endOf(command, last)
			close(gone)
		}()
		return &Process{Number: command.Process.Pid, Gone: gone, Why: func() string { return why }, Kill: func() { _ = command.Process.Kill() }}, nil
	}
}

// endOf is what a process ended with.
func endOf(command *exec.Cmd, log *os.File) string {
	why := command.ProcessState.String()
	text := make([]byte, mostHead)
	n, _ := log.ReadAt(text, 0) // what is not there says nothing
	_ = log.Close()             // it was read, or cannot be
	if command.ProcessState.Success() {
		_ = os.Remove(log.Name()) // it says nothing
	}
	for said := range strings.Lines(string(text[:n])) {
		for _, begins := range []string{"panic: ", "fatal error: ", "runtime: ", "arctally: "} {
			if strings.HasPrefix(said, begins) {
				return why + ", " + strings.TrimSpace(said)
			}
		}
	}
	return why
}

// Main is the recorder as a program: it reads its order, and returns the exit status.
func Main(ctx context.Context, order io.Reader, stderr io.Writer) int {
	alone()
	var o Order
	err := json.NewDecoder(order).Decode(&o)
	if err == nil {
		err = Serve(ctx, o, time.Now)
	}
	if err != nil {
		_, _ = fmt.Fprintf(stderr, "arctally: %v\n", err) // it is in the log
		return 1
	}
	return 0
}
