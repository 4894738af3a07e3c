//go:build linux

package main

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"os"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// freeAddress NAME puts an address at which nobody listens into the environment
// variable NAME.
func freeAddress(ts *testscript.TestScript, _ bool, args []string) {
	l, err := new(net.ListenConfig).Listen(context.Background(), "tcp", "127.0.0.1:0")
	ts.Check(err)
	ts.Setenv(args[0], l.Addr().String())
	ts.Check(l.Close())
}

// askPage STATUS METHOD URL FILE [BODY] asks a page, as soon as somebody listens,
// and writes the answer into a file. It asks again while the answer is that it
// takes time.
func askPage(ts *testscript.TestScript, _ bool, args []string) {
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	body := ""
	if len(args) > 4 {
		body = args[4]
	}
	for deadline := time.Now().Add(longest); ; time.Sleep(50 * time.Millisecond) {
		status, answer, err := askOnce(args[1], args[2], body)
		if (errors.Is(err, syscall.ECONNREFUSED) || status == http.StatusAccepted) && time.Now().Before(deadline) {
			continue
		}
		ts.Check(err)
		ts.Check(os.WriteFile(ts.MkAbs(args[3]), answer, 0o600))
		if status != want {
			ts.Fatalf("%s %s: %d, not %d: %s", args[1], args[2], status, want, answer)
		}
		return
	}
}

// askOnce asks, and waits no longer than a story does.
func askOnce(method, url, body string) (status int, answer []byte, err error) {
	ctx, stop := context.WithTimeout(context.Background(), longest)
	defer stop()
	request, err := http.NewRequestWithContext(ctx, method, url, strings.NewReader(body))
	if err != nil {
		return 0, nil, err
	}
	request.Header.Set("Content-Type", "application/json")
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		return 0, nil, err
	}
	answer, err = io.ReadAll(response.Body)
	return response.StatusCode, answer, errors.Join(err, response.Body.Close())
}
