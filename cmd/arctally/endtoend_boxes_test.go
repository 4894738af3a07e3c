package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/virtualbox"
)

// plug is a pseudo-terminal behind a lasting name, as an adapter has one.
type plug struct {
	t      *testing.T
	name   string
	master *os.File
}

func newPlug(t *testing.T, folder, name string) *plug {
	t.Helper()
	p := &plug{t: t, name: filepath.Join(folder, name)}
	t.Cleanup(func() {
		if p.master != nil {
			p.out()
		}
	})
	return p
}

// in plugs it in.
func (p *plug) in() {
	p.t.Helper()
	master, slave, err := pty.Open()
	require.NoError(p.t, err)
	require.NoError(p.t, os.Symlink(slave.Name(), p.name+".new"))
	require.NoError(p.t, os.Rename(p.name+".new", p.name))
	require.NoError(p.t, slave.Close())
	p.master = master
}

// out pulls it.
func (p *plug) out() {
	p.t.Helper()
	require.NoError(p.t, os.Remove(p.name))
	require.NoError(p.t, p.master.Close())
	p.master = nil
}

func (p *plug) says(stream []byte) {
	p.t.Helper()
	_, err := p.master.Write(stream)
	require.NoError(p.t, err)
}

// besideBox is what measures gas and temperature beside the arc.
type besideBox struct {
	head link.Header
	sent int // values
}

func (b *besideBox) hello(t *testing.T) []byte {
	t.Helper()
	stream, err := link.AppendHello(nil, b.head, series.Source{
		Name: "beside", Serial: "B-7", Channels: []series.Channel{{Name: "gas_flow", Unit: "L/min", Scale: 1}, {Name: "temperature", Unit: "degC", Scale: 1}},
	})
	require.NoError(t, err)
	b.head.Seq++
	return stream
}

func (b *besideBox) values(n int) (stream []byte) {
	for k := range n {
		stream = link.AppendSlow(stream, b.head, []uint8{0, 1}, []float64{14 + float64(k%3), 180})
		b.head.Seq++
		b.head.TickUS += 100_000
		b.sent += 2
	}
	return stream
}

func (b *besideBox) reboot() { b.head = link.Header{Boot: b.head.Boot + 1} }

// watched is what a command prints, to be looked into while it runs.
type watched struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (w *watched) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.text.Write(p)
}

func (w *watched) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.text.String()
}

// How fast the demo's torch turns, and how fast it turns here: a short job is enough.
const demoTurning, fastTurning = "speed: 1.25 rpm", "speed: 5 rpm"

// twoBoxes is the job of a short bore with two sensors in a folder.
func twoBoxes(t *testing.T, folder, first, second string) string {
	t.Helper()
	return jobtest.Folder(t, "length: 60 mm", jobtest.OneTurn, demoTurning, fastTurning, "{port: /dev/serial/by-id/..., link: binary, baud: 921600}",
		"{port: "+folder+"/"+first+", link: binary, baud: 921600}, {port: "+folder+"/"+second+", link: binary, baud: 921600}")
}

// saidOf lays the job with one box, and returns what that says in so many pieces.
func saidOf(t *testing.T, job string, pieces int) (said [][]byte) {
	t.Helper()
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	plan := virtualbox.Plan(p, 1, nil)
	plan.Part = sensorbox.ArcPart
	box, err := sensorbox.New(plan)
	require.NoError(t, err)
	var stream bytes.Buffer
	_, err = box.Write(t.Context(), &stream)
	require.NoError(t, err)
	for k := range pieces {
		said = append(said, stream.Bytes()[stream.Len()*k/pieces:stream.Len()*(k+1)/pieces])
	}
	return said
}

// Two boxes on ports of their own, recorded by the program. The one beside the arc does
// all that a box can do wrong; the arc is, to the last digit, what it is alone.
func TestEndToEnd_ABoxBesideTheArcDoesItNoHarm(t *testing.T) {
	if testing.Short() {
		t.Skip("it records a whole repair twice, and waits for a silence")
	}
	folder := t.TempDir()
	job := twoBoxes(t, folder, "arc", "beside")
	b := &besideBox{head: link.Header{Boot: 1}}
	acts := b.story(t)
	said := saidOf(t, job, len(acts))

	arc, beside := newPlug(t, folder, "arc"), newPlug(t, folder, "beside")
	arc.in()
	both := startRecord(t, job, filepath.Join(t.TempDir(), "both.arctally"))
	told := both.told
	for k, act := range acts {
		before := strings.Count(told.String(), act.told)
		act.does(beside)
		require.Eventually(t, func() bool {
			return act.told == "" || strings.Count(told.String(), act.told) > before
		}, 2*time.Minute, 10*time.Millisecond, "%q in:\n%s", act.told, told)
		arc.says(said[k])
	}
	both.ends(arc)
	require.Contains(t, told.String(), "/beside: missing", "it was not there at first")

	arc.in()
	alone := startRecord(t, jobtest.Folder(t, "length: 60 mm", jobtest.OneTurn, demoTurning, fastTurning), filepath.Join(t.TempDir(), "alone.arctally"), "--port", arc.name)
	for _, piece := range said {
		arc.says(piece)
	}
	alone.ends(arc)

	require.Equal(t, passesOf(t, alone.record), passesOf(t, both.record), "to the last digit")
	b.check(t, both.record)
	read := readBySecond(t, alone.record, both.record)
	assert.Positive(t, read[both.record].Energy)
	assert.Equal(t, read[alone.record], read[both.record])
	for _, format := range []string{"csv", "json", "lineprotocol"} {
		printed(t, "export", both.record, "--format", format, "-o", filepath.Join(t.TempDir(), "export"))
	}
}

// The box that does not tell the arc is named first: the other one does, from when that
// is known. The record is gone on with, and read as it was judged.
func TestEndToEnd_TheSecondSensorTellsTheArc(t *testing.T) {
	if testing.Short() {
		t.Skip("it records a whole repair twice")
	}
	folder := t.TempDir()
	job := twoBoxes(t, folder, "beside", "arc")
	said := saidOf(t, job, 40)
	beside, arc := newPlug(t, folder, "beside"), newPlug(t, folder, "arc")
	record := filepath.Join(t.TempDir(), "r.arctally")
	for n := range 2 {
		beside.in()
		arc.in()
		b := &besideBox{head: link.Header{Boot: uint16(n)}}
		r := startRecord(t, job, record, []string{"--append"}[:n]...)
		heard := heardIn(record)
		arc.says(said[0]) // before anything burns
		// It is told from when on only of a box that was heard before it is known to tell the arc.
		require.Eventually(t, func() bool { return heardIn(record) > heard }, 5*time.Minute, 20*time.Millisecond, r.told)
		beside.says(append(b.hello(t), b.values(3)...))
		words := "from here on the box on " + arc.name + " tells the arc"
		require.Eventually(t, func() bool { return strings.Contains(r.told.String(), words) }, 5*time.Minute, 5*time.Millisecond, r.told)
		for _, piece := range said[1:] {
			arc.says(piece)
		}
		r.ends(arc)
		beside.out()
		passes := passesOf(t, record)
		require.Len(t, passes, n+1)
		require.Contains(t, r.told.String(), "pass "+strconv.Itoa(n+1)+", layer")
		require.Equal(t, passes[0]["energy_j"], passes[n]["energy_j"], "the same bytes")
	}
	read := readBySecond(t, record)
	energy := 0.0
	for _, p := range passesOf(t, record) {
		energy += p["energy_j"].(float64)
	}
	assert.InEpsilon(t, energy, read[record].Energy, 1e-9)
}

// heardIn is how many descriptions of boxes a record has, which may be growing; none while it cannot be read.
func heardIn(file string) int {
	r, err := record.Open(file)
	if err != nil {
		return 0
	}
	all, err := r.Sources()
	if errors.Join(err, r.Close()) != nil {
		return 0
	}
	return len(all)
}

// passesOf is what the command says of passes, but for the time of day and the epoch.
func passesOf(t *testing.T, record string) []map[string]any {
	t.Helper()
	var list struct{ Passes []map[string]any }
	require.NoError(t, json.Unmarshal(printed(t, "passes", record, "--json"), &list))
	require.NotEmpty(t, list.Passes)
	for _, p := range list.Passes {
		require.Positive(t, p["energy_j"])
		// Epochs are counted over all boxes; and what another box measures is judged too.
		for _, other := range []string{"start", "end", "epoch", "findings"} {
			delete(p, other)
		}
	}
	return list.Passes
}

// running is a command that records.
type running struct {
	t      *testing.T
	record string
	status chan int
	told   *watched
}

func startRecord(t *testing.T, job, into string, more ...string) *running {
	t.Helper()
	r := &running{t: t, status: make(chan int, 1), told: &watched{}, record: into}
	args := append([]string{"record", job, "-o", r.record, "--patience", "100ms"}, more...)
	go func() { r.status <- run(t.Context(), args, r.told, r.told) }()
	require.Eventually(t, func() bool { return strings.Contains(r.told.String(), "recording ") }, 5*time.Minute, 5*time.Millisecond)
	return r
}

// ends pulls the plug of the arc once all of it was read, and waits for the end.
func (r *running) ends(arc *plug) {
	r.t.Helper()
	// What was written is in the terminal's buffer until it is read: unplugging delivers it.
	arc.out()
	status := <-r.status
	require.Contains(r.t, []int{explain.Done, explain.Open}, status, r.told.String())
	require.NoError(r.t, record.Verify(r.record))
}

// besideAct is something that the box beside does, and what is told of it.
type besideAct struct {
	does func(*plug)
	told string
}

// story has it do all that a box can do wrong.
func (b *besideBox) story(t *testing.T) []besideAct {
	t.Helper()
	nothing := func(*plug) {}
	speaks := func(p *plug) { p.says(append(b.hello(t), b.values(20)...)) }
	return []besideAct{
		{(*plug).in, "/beside came back"},
		{speaks, ""},
		{nothing, "nothing was heard of the box on "},
		{speaks, "/beside is heard now"},
		{func(p *plug) { b.reboot(); speaks(p) }, ""},
		{func(p *plug) { p.says(append(bytes.Repeat([]byte{0xf8, 0x1e, 0, 0xe0, 0x7f}, 400), 0)); speaks(p) }, ""},
		{(*plug).out, "/beside: unplugged"},
		{(*plug).in, "/beside came back"},
		{func(p *plug) { b.values(5); b.sent -= 10; speaks(p) }, ""},
		{speaks, ""},
		{nothing, ""},
	}
}

// check wants all that it said in the record, and what went wrong with it.
func (b *besideBox) check(t *testing.T, file string) {
	t.Helper()
	r, err := record.Open(file)
	require.NoError(t, err)
	defer func() { require.NoError(t, r.Close()) }()
	values, epochs := 0, map[int]bool{}
	var source series.Source
	for g, err := range r.Groups() {
		require.NoError(t, err)
		for _, s := range g.Sources {
			if s.Box == 1 {
				source = s
			}
		}
		for k := range g.Blocks {
			if g.Blocks[k].Box == 1 {
				values += g.Blocks[k].Len()
				epochs[g.Blocks[k].Epoch] = true
			}
		}
	}
	assert.Equal(t, b.sent, values)
	assert.Len(t, epochs, 2)
	assert.Equal(t, "B-7", source.Serial)
	assert.Equal(t, "beside", filepath.Base(source.Port))
	events, err := r.Events()
	require.NoError(t, err)
	kinds := map[series.EventKind]int{}
	for _, e := range events {
		if e.Box == 1 {
			kinds[e.Kind]++
		}
	}
	assert.Equal(t, map[series.EventKind]int{
		series.Unplugged: 2, series.Replugged: 2, series.Silent: 1, series.Heard: 1, series.Reboot: 1,
		series.Damaged: kinds[series.Damaged], series.Gap: 1,
	}, kinds)
	assert.Positive(t, kinds[series.Damaged])
}
