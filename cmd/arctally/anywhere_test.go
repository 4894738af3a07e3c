//go:build linux

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page/live"
	"arctally/report/sheet"
)

// forwarder is the library of Windows from which a Go program takes its random numbers, where
// wine is older than that library.
const forwarder = "LIBRARY bcryptprimitives.dll\nEXPORTS\nProcessPrng = advapi32.SystemFunction036\n"

// stacks is put into the program for Windows: it writes down what each goroutine does, once the file
// is there that its environment names.
const stacks = `package main

import (
	"os"
	"runtime/pprof"
	"strconv"
	"time"
)

func init() {
	go func() {
		asked := os.Getenv("ARCTALLY_STACKS")
		for _, err := os.Stat(asked); err != nil; _, err = os.Stat(asked) {
			time.Sleep(time.Second)
		}
		f, err := os.Create(asked + strconv.Itoa(os.Getpid()))
		if err == nil {
			_ = pprof.Lookup("goroutine").WriteTo(f, 2)
			_ = f.Close()
		}
	}()
}
`

// windows runs the program for Windows under wine, in a folder and a system of its own.
type windows struct {
	t             *testing.T
	wine, program string
	native        string // the program of this system
	folder        string // where the program runs
	env           []string
	server        string // ends all that runs in this system
	system        string
	asked         string // the file for which each program tells its stacks
}

// tool finds a program of another package.
func tool(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Fatalf("%s is not here: make anywhere installs it", names[0])
	return ""
}

func newWindows(t *testing.T) *windows {
	t.Helper()
	if os.Getenv("ARCTALLY_ANYWHERE") == "" {
		t.Skip("make anywhere runs the program for Windows")
	}
	folder := t.TempDir()
	w := &windows{
		t: t, wine: tool(t, "wine64", "/usr/lib/wine/wine64"), server: tool(t, "wineserver"),
		program: filepath.Join(folder, "arctally.exe"), native: filepath.Join(folder, "arctally"), folder: filepath.Join(folder, "work"), system: filepath.Join(folder, "system"),
		env: append(os.Environ(), "WINEPREFIX="+filepath.Join(folder, "system"), "WINEDEBUG=-all", "TZ=UTC", "DISPLAY=",
			"XDG_CACHE_HOME="+filepath.Join(folder, "cache"), "XDG_CONFIG_HOME="+filepath.Join(folder, "config")),
	}
	require.NoError(t, os.Mkdir(w.folder, 0o755))
	w.compile("linux", "build", "-trimpath", "-buildvcs=false", "-o", w.native, ".")
	w.compile("windows", "build", "-trimpath", "-buildvcs=false", "-overlay", w.overlay(), "-o", w.program, ".")
	t.Cleanup(func() { _ = w.command(w.server, "-k").Run() }) // nothing may be running any more
	w.must(w.command(w.wine, "wineboot", "-i"))
	def, library := filepath.Join(folder, "forwarder.def"), filepath.Join(w.system, "drive_c", "windows", "system32", "bcryptprimitives.dll")
	require.NoError(t, os.WriteFile(def, []byte(forwarder), 0o600))
	w.must(w.command(tool(t, "x86_64-w64-mingw32-ld"), "-shared", "-e", "0", "-s", "-o", library, def))
	return w
}

// compile runs the compiler for a system.
func (w *windows) compile(system string, args ...string) {
	w.t.Helper()
	w.must(&exec.Cmd{
		Path: tool(w.t, "go"), Args: append([]string{"go"}, args...),
		Env: append(os.Environ(), "GOOS="+system, "GOARCH=amd64", "CGO_ENABLED=0"),
	})
}

// overlay adds a file to the sources of the program, for the compiler alone.
func (w *windows) overlay() string {
	w.t.Helper()
	here, err := os.Getwd()
	require.NoError(w.t, err)
	source, list := filepath.Join(filepath.Dir(w.program), "stacks.go"), filepath.Join(filepath.Dir(w.program), "overlay.json")
	text, err := json.Marshal(map[string]map[string]string{"Replace": {filepath.Join(here, "stacks.go"): source}})
	require.NoError(w.t, err)
	require.NoError(w.t, errors.Join(os.WriteFile(source, []byte(stacks), 0o600), os.WriteFile(list, text, 0o600)))
	return list
}

func (w *windows) command(path string, args ...string) *exec.Cmd {
	return &exec.Cmd{Path: path, Args: append([]string{filepath.Base(path)}, args...), Dir: w.folder, Env: w.env}
}

// into has a program write into files: what wine leaves running would hold a pipe open.
func (w *windows) into(c *exec.Cmd) (out, said func() string) {
	w.t.Helper()
	read := func(into *io.Writer) func() string {
		f, err := os.CreateTemp(w.t.TempDir(), "said")
		require.NoError(w.t, err)
		*into = f
		return func() string {
			text, err := os.ReadFile(f.Name())
			require.NoError(w.t, errors.Join(err, f.Close()))
			return string(text)
		}
	}
	return read(&c.Stdout), read(&c.Stderr)
}

// end waits until a program ends. One that hangs is left as it is, for its stacks to be told.
func (w *windows) end(c *exec.Cmd) error {
	w.t.Helper()
	ended := make(chan error, 1)
	require.NoError(w.t, c.Start())
	go func() { ended <- c.Wait() }()
	select {
	case err := <-ended:
		return err
	case <-time.After(longest):
		w.t.Fatalf("%v still runs after %s", c.Args, longest)
		return nil
	}
}

// must runs what has to work.
func (w *windows) must(c *exec.Cmd) {
	w.t.Helper()
	out, said := w.into(c)
	err := w.end(c)
	require.NoError(w.t, err, "%v: %s%s", c.Args, out(), said())
}

// run runs the program for Windows.
func (w *windows) run(args ...string) (out, said string, status int) {
	w.t.Helper()
	return w.carryOut(w.command(w.wine, append([]string{w.program}, args...)...))
}

// here runs the program of this system on the same files.
func (w *windows) here(args ...string) (out, said string, status int) {
	w.t.Helper()
	return w.carryOut(w.command(w.native, args...))
}

func (w *windows) carryOut(c *exec.Cmd) (out, said string, status int) {
	w.t.Helper()
	printed, told := w.into(c)
	err := w.end(c)
	var failed *exec.ExitError
	if err != nil && !errors.As(err, &failed) {
		require.NoError(w.t, err)
	}
	return printed(), told(), c.ProcessState.ExitCode()
}

// within is w for a part of the test, which tells what its programs are at where it fails.
func (w *windows) within(t *testing.T) *windows {
	part := *w
	part.t, part.asked = t, filepath.Join(t.TempDir(), "asked")
	part.env = append(slices.Clone(w.env), "ARCTALLY_STACKS=Z:"+strings.ReplaceAll(part.asked, "/", `\`))
	t.Cleanup(func() {
		if t.Failed() {
			part.tellStacks()
		}
	})
	return &part
}

// tellStacks has every program that still runs tell its stacks.
func (w *windows) tellStacks() {
	if err := os.WriteFile(w.asked, nil, 0o600); err != nil {
		w.t.Log(err)
		return
	}
	time.Sleep(10 * time.Second) // who hangs for good has time enough
	told, _ := filepath.Glob(w.asked + "?*")
	for _, file := range told {
		text, err := os.ReadFile(file)
		w.t.Logf("%s: %v\n%s", file, err, text)
	}
}

// The program for Windows is run, and held against that of this system.
func TestAnywhere_Windows(t *testing.T) {
	w := newWindows(t)
	require.NoError(t, os.CopyFS(filepath.Join(w.folder, "keyway"), os.DirFS(keyway)))
	t.Run("help", func(t *testing.T) { w.within(t).help() })
	t.Run("import", func(t *testing.T) { w.within(t).imports() })
	t.Run("demo", func(t *testing.T) { w.within(t).demo() })
	t.Run("same", func(t *testing.T) { w.within(t).same() })
	t.Run("port", func(t *testing.T) { w.within(t).readsPort() })
	t.Run("record", func(t *testing.T) { w.within(t).records() })
	t.Run("serve", func(t *testing.T) { w.within(t).serves() })
}

func (w *windows) help() {
	out, said, status := w.run("--help")
	native, _, nativeStatus := w.here("--help")
	assert.Equal(w.t, native, out)
	assert.Equal(w.t, nativeStatus, status, said)
	_, said, status = w.run("passes", "none.arctally")
	assert.Equal(w.t, explain.Failed, status)
	assert.Contains(w.t, said, "hint: ")
}

// imports has each system take the same capture in: the passes are equal to the last bit.
func (w *windows) imports() {
	_, said, status := w.run("import", "keyway/capture.csv", "--job", "keyway/job.yaml", "-o", "keyway.arctally")
	require.Equal(w.t, explain.Open, status, said)
	_, said, status = w.here("import", "keyway/capture.csv", "--job", "keyway/job.yaml", "-o", "keyway-here.arctally")
	require.Equal(w.t, explain.Open, status, said)
	passes := w.passesOf("keyway.arctally")
	require.NotEmpty(w.t, passes)
	assert.Equal(w.t, w.passesOf("keyway-here.arctally"), passes)
}

// passesOf has this system judge a record.
func (w *windows) passesOf(file string) []sheet.PassRow {
	w.t.Helper()
	out, said, status := w.here("passes", file, "--json")
	require.Contains(w.t, []int{explain.Done, explain.Open}, status, said)
	var list sheet.PassList
	require.NoError(w.t, json.Unmarshal([]byte(out), &list))
	return list.Passes
}

// demo has the virtual box lay a repair: what went wrong is found, and the record is whole.
func (w *windows) demo() {
	_, said, status := w.run("demo", "-o", "demo.arctally", "--report", "demo.html")
	require.Equal(w.t, explain.Open, status, said)
	out, _, _ := w.here("findings", "demo.arctally", "--json")
	var list sheet.FindingList
	require.NoError(w.t, json.Unmarshal([]byte(out), &list))
	var rules []string
	for _, f := range list.Findings {
		rules = append(rules, f.Rule)
	}
	for _, rule := range []string{"arc_out", "gas_flow", "wire_speed"} {
		assert.Contains(w.t, rules, rule)
	}
	require.NoError(w.t, record.Verify(filepath.Join(w.folder, "demo.arctally")))
}

// same has both systems say of the same records what they have to say: the same bytes.
func (w *windows) same() {
	for _, file := range []string{"demo.arctally", "keyway.arctally"} {
		for _, args := range [][]string{
			{"passes", file},
			{"passes", file, "--json"},
			{"findings", file},
			{"findings", file, "--json"},
			{"prove", file},
			{"map", file},
			{"verify", file},
			{"export", file, "--format", "json"},
		} {
			out, said, status := w.run(args...)
			native, _, nativeStatus := w.here(args...)
			assert.Equal(w.t, nativeStatus, status, "%v: %s", args, said)
			assert.Equal(w.t, native, out, "%v", args)
			require.NotEmpty(w.t, out, "%v", args)
		}
		for _, form := range []string{".pdf", ".html", ".json"} {
			w.forget()
			_, said, status := w.run("report", file, "-o", "there"+form)
			_, saidHere, statusHere := w.here("report", file, "-o", "here"+form)
			require.Equal(w.t, statusHere, status, said+saidHere)
			there, err := os.ReadFile(filepath.Join(w.folder, "there"+form))
			require.NoError(w.t, err)
			here, err := os.ReadFile(filepath.Join(w.folder, "here"+form))
			require.NoError(w.t, err)
			assert.True(w.t, bytes.Equal(here, there), "%s%s: %d bytes here, %d there", file, form, len(here), len(there))
			w.t.Logf("%s: %d equal bytes of %s", file, len(there), form)
		}
	}
}

// forget has both systems know nothing of any record: else a paper says when it was read before.
func (w *windows) forget() {
	w.t.Helper()
	shelves, err := filepath.Glob(filepath.Join(w.system, "drive_c", "users", "*", "AppData", "Local", "arctally", "results"))
	require.NoError(w.t, err)
	require.NotEmpty(w.t, shelves)
	for _, shelf := range append(shelves, filepath.Join(filepath.Dir(w.folder), "cache", "arctally", "results")) {
		require.NoError(w.t, os.RemoveAll(shelf))
	}
}

// plugIn makes a port of Windows of what a box speaks on.
func (w *windows) plugIn(name, behind string) {
	w.must(w.command(w.wine, "reg", "add", `HKLM\Software\Wine\Ports`, "/v", name, "/d", behind, "/f"))
	w.must(w.command(w.server, "-w")) // it has written that down
}

// readsPort has the tests of a port that only Windows has run there, with somebody who answers
// behind it.
func (w *windows) readsPort() {
	box, err := sensorbox.OpenPair()
	require.NoError(w.t, err)
	defer func() { assert.NoError(w.t, box.Close()) }()
	answer := make([]byte, 256)
	for k := range answer {
		answer[k] = byte(k)
	}
	go func() {
		asked := make([]byte, 1)
		for {
			if _, err := box.Read(asked); err != nil {
				return
			}
			if _, err := box.Write(answer); err != nil {
				return
			}
		}
	}()
	w.plugIn("COM2", box.Name())
	tests := filepath.Join(filepath.Dir(w.program), "port.exe")
	w.compile("windows", "test", "-c", "-o", tests, "arctally/acquire/port")
	c := w.command(w.wine, tests, "-test.run", "TestCom_", "-test.v", "-test.timeout", (longest / 2).String())
	c.Env = append(slices.Clone(w.env), "ARCTALLY_ANSWERING_PORT=COM2")
	out, said, status := w.carryOut(c)
	require.Zero(w.t, status, out+said)
	require.Contains(w.t, out, "--- PASS: TestCom_", said)
}

// records has the virtual box of this system speak to a COM port, and to a port of this system:
// what is recorded of the same plan is equal to the last digit.
func (w *windows) records() {
	job := jobtest.Short(w.t, "helix", jobtest.TwoTurns)
	p, err := jobfile.Read(job)
	require.NoError(w.t, err)
	require.NoError(w.t, os.CopyFS(filepath.Join(w.folder, "short"), os.DirFS(filepath.Dir(job))))
	faults, err := virtualbox.Faults("arc-out,gas-loss", 1)
	require.NoError(w.t, err)
	play := func() (*sensorbox.Box, string, <-chan error) {
		plan := virtualbox.Plan(p, 1, faults)
		plan.PlaySpeed = 20
		box, err := sensorbox.New(plan)
		require.NoError(w.t, err)
		name, err := box.Open()
		require.NoError(w.t, err)
		played := make(chan error, 1)
		ctx, stop := context.WithTimeout(w.t.Context(), longest)
		go func() {
			defer stop()
			_, err := box.Play(ctx)
			played <- errors.Join(err, box.Close())
		}()
		return box, name, played
	}
	_, name, played := play()
	w.plugIn("COM1", name)
	_, said, status := w.run("record", "short/job.yaml", "--port", "COM1", "-o", "there.arctally", "--patience", "100ms")
	require.NoError(w.t, <-played, said)
	require.Contains(w.t, []int{explain.Done, explain.Open}, status, said)
	_, name, played = play()
	_, said, _ = w.here("record", "short/job.yaml", "--port", name, "-o", "here.arctally", "--patience", "100ms")
	require.NoError(w.t, <-played, said)
	require.NoError(w.t, record.Verify(filepath.Join(w.folder, "there.arctally")))

	there, here := w.passesOf("there.arctally"), w.passesOf("here.arctally")
	require.NotEmpty(w.t, there)
	require.Len(w.t, there, len(here))
	for k := range there {
		require.NotNil(w.t, there[k].Energy)
		assert.Equal(w.t, *here[k].Energy, *there[k].Energy)
		assert.Equal(w.t, *here[k].ArcTime, *there[k].ArcTime)
		assert.Equal(w.t, here[k].Findings, there[k].Findings)
		w.t.Logf("pass %d: %v J from COM1", k+1, *there[k].Energy)
	}
}

// serves has the pages served: a recording outlives the program that serves them, and the next
// one finds it.
func (w *windows) serves() {
	require.NoError(w.t, os.Mkdir(filepath.Join(w.folder, "jobs"), 0o755))
	free, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(w.t, err)
	f := &field{t: w.t, folder: filepath.Join(w.folder, "jobs"), address: free.Addr().String()}
	require.NoError(w.t, free.Close())
	serve := func() *exec.Cmd {
		c := w.command(w.wine, w.program, "serve", "--demo", "--speed", "20", "--listen", f.address, "jobs")
		out, said := w.into(c)
		require.NoError(w.t, c.Start())
		w.t.Cleanup(func() {
			if text := out() + said(); w.t.Failed() {
				w.t.Logf("%v said: %s", c.Args, text)
			}
		})
		return c
	}
	first := serve()
	w.answers(f, "/", "<!doctype html>")
	w.answers(f, "/api/house", `"demo"`)
	status, text, err := askOnce(http.MethodPost, "http://"+f.address+"/api/recording", `{"job":"demo"}`)
	require.NoError(w.t, err)
	require.Equal(w.t, http.StatusCreated, status, string(text))
	before := f.until("samples", func(s *live.State) bool { return s.DurableSamples > 0 })
	require.NoError(w.t, first.Process.Kill())
	_ = first.Wait()                          // it was killed
	http.DefaultClient.CloseIdleConnections() // wine now and then keeps those of a killed program open, and nobody would answer
	second := serve()
	after := f.until("more samples", func(s *live.State) bool { return s.DurableSamples > before.DurableSamples })
	assert.Equal(w.t, before.Epoch, after.Epoch, "it has gone on")
	f.stop()
	require.NoError(w.t, second.Process.Kill())
	_ = second.Wait() // it was killed
	require.NoError(w.t, record.Verify(filepath.Join(f.folder, "demo.arctally")))
	entries, err := os.ReadDir(f.folder)
	require.NoError(w.t, err)
	assert.False(w.t, slices.ContainsFunc(entries, func(e os.DirEntry) bool { return strings.HasSuffix(e.Name(), "-lock") }))
}

// answers waits until a page is served that says something.
func (w *windows) answers(f *field, path, says string) {
	w.t.Helper()
	var text []byte
	require.Eventually(w.t, func() bool {
		var status int
		var err error
		status, text, err = askOnce(http.MethodGet, "http://"+f.address+path, "")
		return err == nil && status == http.StatusOK && strings.Contains(strings.ToLower(string(text)), says)
	}, longest, 100*time.Millisecond, "%s", text)
}
