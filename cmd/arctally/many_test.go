//go:build linux

package main

import (
	"bytes"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
)

// Of each of many passes: its arc, and the pause after it, in seconds; and how often a
// second it is sampled.
const (
	manyArc   = 6
	manyPause = 2
	manyRate  = 1000
	manyFrame = 100 // samples
)

// recordMany records rings, 200 to a layer, in which the voltage is too high for a while, and the current
// too low for another.
func recordMany(t testing.TB, file string, passes int) {
	t.Helper()
	p, err := jobfile.Read(jobtest.Folder(t, "length: 60 mm", "length: 600 mm", jobtest.DemoPattern, "pattern: rings", "speed: 1.25 rpm", "speed: 10 rpm"))
	require.NoError(t, err)
	writer, err := p.CreateRecord(file, time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	tally, err := acquiretest.Record(t.Context(), &manySaid{passes: passes, random: rand.New(rand.NewPCG(1, 7))}, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{writer}})
	require.NoError(t, err)
	require.NoError(t, writer.Close())
	require.EqualValues(t, passes*(manyArc+manyPause)*manyRate, tally.Samples)
}

// What a weld record of 1000 passes and 4000 findings may take.
const (
	manyMemory  = 96 << 20 // bytes
	ofItself    = 32 << 20 // by which a test's program is larger than the program
	mostToJudge = 2.5      // times the processor time of judging alone
)

// usedBy is what the program took to carry something out. It is the one that ARCTALLY names,
// or the test's own.
func usedBy(t *testing.T, args ...string) (memory int64, took time.Duration) {
	t.Helper()
	program, more := os.Getenv("ARCTALLY"), int64(0)
	if program == "" {
		var err error
		program, err = os.Executable()
		require.NoError(t, err)
		more = ofItself
	}
	var said bytes.Buffer
	c := &exec.Cmd{Path: program, Args: append([]string{"arctally"}, args...), Stderr: &said}
	require.NoError(t, c.Start())
	ended := make(chan error, 1)
	go func() { ended <- c.Wait() }()
	for {
		select {
		case err := <-ended:
			require.Equal(t, explain.Open, c.ProcessState.ExitCode(), "%v: %s", err, said.String())
			return memory, c.ProcessState.UserTime() + c.ProcessState.SystemTime()
		case <-time.After(20 * time.Millisecond):
		}
		if _, most, err := memoryOf(c.Process.Pid); err == nil { // else it has just ended
			memory = most - more
		}
	}
}

// A weld record of a long job takes little memory, and not much more time than judging it.
func TestReport_OfManyPassesTakesLittle(t *testing.T) {
	if testing.Short() {
		t.Skip("it records many passes")
	}
	passes := 50
	if os.Getenv("ARCTALLY_MANY_PASSES") != "" {
		passes = 1000
	}
	folder := t.TempDir()
	file := filepath.Join(folder, "many.arctally")
	recordMany(t, file, passes)
	_, judging := usedBy(t, "passes", file, "--json")
	for _, form := range []string{"pdf", "html", "json"} {
		memory, took := usedBy(t, "report", file, "-o", filepath.Join(folder, "many."+form))
		t.Logf("%s of %d passes: %d MB, %.1f s of processor time; judging alone takes %.1f s", form, passes, memory>>20, took.Seconds(), judging.Seconds())
		assert.Less(t, memory, int64(manyMemory), form)
		if passes == 1000 { // of a few passes the types of the paper take most
			assert.Less(t, took.Seconds(), mostToJudge*judging.Seconds(), form)
		}
	}
}

// manySaid is what a box says of many passes.
type manySaid struct {
	passes, second int
	head           link.Header
	said           bytes.Buffer
	random         *rand.Rand
}

// Read implements io.Reader.
func (m *manySaid) Read(b []byte) (int, error) {
	if m.said.Len() == 0 && m.second < m.passes*(manyArc+manyPause) {
		if err := m.say(); err != nil {
			return 0, err
		}
		m.second++
	}
	return m.said.Read(b)
}

// say says a second.
func (m *manySaid) say() error {
	m.head.StepUS = 1e6 / manyRate
	if m.second%10 == 0 {
		source := link.DefaultSource(link.Binary)
		for k := range source.Channels {
			source.Channels[k].Basis = series.Instantaneous
		}
		hello, err := link.AppendHello(nil, m.head, source)
		if err != nil {
			return err
		}
		m.said.Write(hello)
		m.head.Seq++
	}
	var v, i [manyFrame]int16
	for range manyRate / manyFrame {
		for k := range v {
			v[k], i[k] = m.sample(m.second % (manyArc + manyPause))
		}
		m.said.Write(link.AppendSamples(nil, m.head, v[:], i[:]))
		m.head.Seq++
		m.head.TickUS += manyFrame * uint64(m.head.StepUS)
	}
	return nil
}

// sample is one in a second of a pass.
func (m *manySaid) sample(second int) (v, i int16) {
	if second >= manyArc {
		return 0, 0
	}
	noise := m.random.Uint32()
	v, i = 1750+int16(noise&63)-32, 1400+int16(noise>>8&127)-64
	switch second {
	case 1, 2:
		v += 300
	case 4, 5:
		i -= 500
	}
	return v, i
}
