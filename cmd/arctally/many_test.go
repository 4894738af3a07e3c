package main

import (
	"bytes"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/series"
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
