// Package bench runs the firmware of the sensor box for tests: compiled from its
// sources on an emulated processor, with an arc on its pins, and its line on a
// pseudo-terminal that is read like any serial port. run.mjs is the emulator.
//
// Time here is that of the emulator, in us from the first start of the box. It runs
// as fast as the machine and the reader let it: nothing waits for a clock.
//
// What it cannot show: noise, errors of the converter, USB, isolation. It sends bytes
// in the time that the divider of the UART gives, so that 115200 baud come 2.1 % fast
// as they do from the chip, but a pseudo-terminal has no rate that they could miss.
package bench

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox"
)

// Pin is a level that is put on a pin of port D at a time in us. Before, all are high.
type Pin struct {
	At   float64
	Bit  int
	High bool
}

// The pins of port D, as the firmware has them.
const (
	TurnA = 2
	Wire  = 3
	TurnB = 4
	Index = 5
)

// Script is what happens to the box.
type Script struct {
	Hex    string // what Build made
	EEPROM string // a file that keeps the EEPROM from run to run; empty keeps none
	Arc    Signal
	Third  float64 // V on the third input at the start
	Rise   float64 // V/s, of the third input
	Pins   []Pin   // in the order of time
	Resets []float64
	Stalls []float64 // from each of them one conversion of the third input takes a millisecond more
	Said   int       // bytes that the host says through the port before the box is switched on
	Until  float64
}

// Seen is what the emulator saw of it, in us.
type Seen struct {
	Zeros        []float64 // at which a tick of the box is 0: its timer was set going
	Taken        []Taken   // what the converter took of the first two inputs
	Thirds       []float64 // at which a conversion of the third input began
	PingEnds     []float64 // zero bytes that came to the box
	EEPROMWrites int       // of bytes
	Sent         int       // bytes that the box sent
	Baud         int       // as the divider of the UART gives it
	Free         int       // bytes of memory that nothing has touched since the last start
}

// Taken is one conversion.
type Taken struct {
	At    float64 // when the converter held its input
	Input int     // 0 is voltage, 1 current
}

// folder is where the firmware and its bench lie.
func folder() string {
	_, file, _, _ := runtime.Caller(0)
	return filepath.Dir(filepath.Dir(file))
}

// Need skips a test where what it takes is not installed; it fails where one said that
// it must be there.
func Need(t testing.TB) {
	t.Helper()
	var missing error
	for _, tool := range []string{"avr-gcc", "avr-objcopy", "node"} {
		_, err := exec.LookPath(tool)
		missing = errors.Join(missing, err)
	}
	_, err := os.Stat(filepath.Join(folder(), "bench", "node_modules", "avr8js"))
	missing = errors.Join(missing, err)
	switch {
	case missing == nil:
	case os.Getenv("CI") != "" || os.Getenv("ARCTALLY_NEED_EMULATOR") != "":
		t.Fatalf("the firmware cannot be compiled and emulated (make packages emulator): %v", missing)
	default:
		t.Skipf("the firmware cannot be compiled and emulated (make packages emulator): %v", missing)
	}
}

// builds are what was compiled already, by the changes to box.h.
var builds = struct {
	sync.Mutex
	made map[string][]byte
}{made: map[string][]byte{}}

// Build compiles the firmware with some lines of box.h changed, from one to the next,
// and returns the file to flash.
func Build(t testing.TB, changes ...string) string {
	t.Helper()
	Need(t)
	into := t.TempDir()
	hex := filepath.Join(into, "box.hex")
	builds.Lock()
	defer builds.Unlock()
	key := strings.Join(changes, "\n")
	if made, ok := builds.made[key]; ok {
		require.NoError(t, os.WriteFile(hex, made, 0o600))
		return hex
	}
	require.NoError(t, os.CopyFS(into, sources{os.DirFS(folder())}))
	box, err := os.ReadFile(filepath.Join(into, "box.h"))
	require.NoError(t, err)
	for k := 0; k < len(changes); k += 2 {
		require.Contains(t, string(box), changes[k])
		box = bytes.Replace(box, []byte(changes[k]), []byte(changes[k+1]), 1)
	}
	require.NoError(t, os.WriteFile(filepath.Join(into, "box.h"), box, 0o600))
	for _, words := range []string{"avr-gcc @options -o box.elf main.c", "avr-objcopy -O ihex -R .eeprom box.elf box.hex"} {
		w := strings.Fields(words)
		command := exec.CommandContext(t.Context(), w[0], w[1:]...)
		command.Dir = into
		said, err := command.CombinedOutput()
		require.NoError(t, err, string(said))
	}
	builds.made[key], err = os.ReadFile(hex)
	require.NoError(t, err)
	return hex
}

// Run is a box at work.
type Run struct {
	Port string // as the reader opens it

	pair *sensorbox.Pair
	done chan error
	seen string // the file of what the emulator saw
}

// Start has the box begin as soon as a reader has opened its port.
func Start(t testing.TB, s Script) *Run {
	t.Helper()
	Need(t)
	pair, err := sensorbox.OpenPair()
	require.NoError(t, err)
	into := t.TempDir()
	r := &Run{Port: pair.Name(), pair: pair, done: make(chan error, 1), seen: filepath.Join(into, "seen")}
	script := s.write(t, into, r.seen)
	go func() { r.done <- r.emulate(t.Context(), script) }()
	return r
}

// Unplug takes the port away from its reader.
func (r *Run) Unplug() error { return r.pair.Close() }

// Wait returns what the emulator saw, once the box has said all and the reader has taken
// what the port held; what is still on its way inside the kernel is not counted there.
func (r *Run) Wait() (seen Seen, err error) {
	if err := <-r.done; err != nil {
		return seen, err
	}
	text, err := os.ReadFile(r.seen)
	if err != nil {
		return seen, err
	}
	return seen, json.Unmarshal(text, &seen)
}

func (r *Run) emulate(ctx context.Context, script string) error {
	if err := r.pair.AwaitReader(ctx); err != nil {
		return err
	}
	emulator := exec.CommandContext(ctx, "node", filepath.Join(folder(), "bench", "run.mjs"), script)
	hears, err := emulator.StdinPipe()
	if err != nil {
		return err
	}
	var complaints strings.Builder
	emulator.Stdout, emulator.Stderr = r.pair, &complaints
	go func() { _, _ = io.Copy(hears, r.pair) }() // ends with the pair, or with the emulator
	if err := emulator.Run(); err != nil {
		return errors.Join(err, errors.New(complaints.String()))
	}
	return r.pair.Drain(ctx)
}
