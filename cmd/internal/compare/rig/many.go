//go:build linux

package main

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"math/rand/v2"
	"strings"
	"testing/fstest"

	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/series"
	"arctally/cmd/internal/jobfile"
	"arctally/testdata/job/demo"
)

// Of each of many passes: its arc, and the pause after it, in seconds; and how often a
// second it is sampled.
const (
	manyArc   = 6
	manyPause = 2
	manyRate  = 1000
	manyFrame = 100 // samples
)

// manyRings makes of the demo's job one of many short passes.
var manyRings = strings.NewReplacer("length: 60 mm", "length: 600 mm", "pattern: helix, pitch: 3.0 mm", "pattern: rings, pitch: 3.0 mm", "speed: 1.25 rpm", "speed: 10 rpm")

// writeMany records so many rings, in which the voltage is too high for a while, and the
// current too low for another.
func writeMany(file, passes string) (took said, err error) {
	n, err := number(passes)
	if err != nil {
		return took, err
	}
	job, err := ringJob()
	if err != nil {
		return took, err
	}
	w, err := job.CreateRecord(file, began)
	if err != nil {
		return took, err
	}
	begun := processorTime()
	from := &manySaid{passes: int(n), random: rand.New(rand.NewPCG(1, 7))}
	tally, err := acquiretest.Record(context.Background(), from, acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{w}})
	if err = errors.Join(err, w.Close()); err != nil {
		return took, err
	}
	took.Seconds, took.Values = processorTime()-begun, 2*tally.Samples
	return took, sizeOf(file, &took)
}

func ringJob() (*jobfile.File, error) {
	text, err := fs.ReadFile(demo.Files, jobfile.Document)
	if err != nil {
		return nil, err
	}
	const procedure = "procedures/gmaw-short-arc.yaml"
	limits, err := fs.ReadFile(demo.Files, procedure)
	if err != nil {
		return nil, err
	}
	return jobfile.ReadIn(fstest.MapFS{
		jobfile.Document: {Data: []byte(manyRings.Replace(string(text)))}, procedure: {Data: limits},
	}, jobfile.Document)
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
