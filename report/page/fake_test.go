package page

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/compare"
	"arctally/analyze/inspect"
	"arctally/analyze/note"
	"arctally/analyze/plan"
	"arctally/analyze/procedure"
	"arctally/report/page/form"
	"arctally/report/page/live"
	"arctally/report/page/trace"
	"arctally/report/paper"
	"arctally/report/sheet"
)

// bench is a workshop of one folder in memory. What it answers is computed from an
// invented recording.
type bench struct {
	mutex       sync.Mutex
	files       map[string][]byte
	recording   string
	entries     []inspect.Entry
	photographs map[string][]byte
	notes       []NoteRequest
	job         *procedure.Job
	result      analyze.Result
	source      series.Source
	block       series.Block
	judging     bool // it is not ready yet
	fails       error
	panics      bool
	rows        func(context.Context, io.Writer) error // of the samples
	askedOfAll  FleetRequest
}

const theRecord = "boom pin"

// welded is what was recorded; no test changes it.
var welded = sync.OnceValue(func() *bench {
	b := &bench{files: map[string][]byte{
		"job/boom":           text("job.yaml"),
		"job/broken":         []byte("job: A\nbore: {worn_diameter: 92, lenght: 60 mm}\n"),
		"procedure/gmaw":     text("procedures/gmaw-short-arc.yaml"),
		"procedure/no-limit": []byte("procedure: P\nprocess: MAG\n"),
	}}
	b.job = must(procedure.ParseJob("boom.yaml", b.files["job/boom"]))
	b.job.Procedure = *must(procedure.ParseProcedure("gmaw.yaml", b.files["procedure/gmaw"]))
	b.weld()
	return b
})

func newBench() *bench {
	w := welded()
	return &bench{files: maps.Clone(w.files), photographs: map[string][]byte{}, job: w.job, result: w.result, source: w.source, block: w.block}
}

func text(name string) []byte {
	return must(os.ReadFile(filepath.Join("..", "..", "testdata", "job", "demo", name)))
}

func must[V any](v V, err error) V {
	if err != nil {
		panic(err)
	}
	return v
}

// weld invents 100 s of an arc at 1 kHz with a planned gap; from 2 s to 6 s the
// voltage is too high, and from 55 s to 60 s the torch is set down anew.
func (b *bench) weld() {
	b.source = series.Source{Name: "box", Link: "binary", Channels: []series.Channel{
		{Name: "voltage", Unit: "V", Scale: 0.01, Basis: series.Instantaneous},
		{Name: "current", Unit: "A", Scale: 0.1, Basis: series.Instantaneous},
	}}
	b.block = series.Block{Kind: series.Arc, Step: int64(time.Millisecond)}
	for k := range 100_000 {
		v, i := 1750+k%7, 1400-k%11
		angle := float64(k) / 1000 * 1.25 / 60 * 360
		switch {
		case angle > 80 && angle < 116, k > 55_000 && k < 60_000:
			v, i = 0, 0
		case k > 2_000 && k < 6_000:
			v = 2600
		}
		b.block.V, b.block.I = append(b.block.V, int32(v)), append(b.block.I, int32(i))
	}
	run := analyze.New(b.job, nil)
	before, after := b.block, b.block
	const over = 57_000
	before.V, before.I = b.block.V[:over], b.block.I[:over]
	after.V, after.I, after.Tick = b.block.V[over:], b.block.I[over:], b.block.At(over)
	err := errors.Join(
		run.Source(b.source), run.Block(&before),
		run.Event(note.Note{By: "Operator 1", Tick: b.block.At(over), EndOfPass: true}.Event()),
		run.Block(&after),
		run.Event(series.Event{Kind: series.Damaged, Tick: 5e9, Until: 5e9, Count: 2, Text: "2 frames were damaged"}),
	)
	b.result = run.Finish()
	if err != nil || len(b.result.Findings) == 0 || len(b.result.Passes) != 2 {
		panic(fmt.Sprintf("an invented recording of %d findings and %d passes: %v", len(b.result.Findings), len(b.result.Passes), err))
	}
}

func (b *bench) sheet() *sheet.Sheet {
	return sheet.New(sheet.Input{
		RecordName: theRecord + ".arctally", Job: b.job, Source: b.source, Result: b.result, Entries: b.entries, Fingerprint: "0123abcd",
		WallTime: func(_ int, tick int64) (time.Time, bool) { return morning.Add(time.Duration(tick)), true },
	})
}

var morning = time.Date(2026, 5, 4, 7, 30, 0, 0, time.UTC)

// begin is at the head of every operation that may fail.
func (b *bench) begin() error {
	if b.panics {
		panic("the bench fell over")
	}
	return b.fails
}

func (b *bench) has(record string) error {
	if err := b.begin(); err != nil {
		return err
	}
	if record != theRecord {
		return fmt.Errorf("%s.arctally: %w", record, fs.ErrNotExist)
	}
	return nil
}

func (b *bench) House(context.Context) (House, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	h := House{
		Folder: "/srv/bores", Program: "arctally (unknown)", Ports: []string{"/dev/serial/by-id/usb-box"}, Recording: nil,
		Jobs:       []FileRow{{File: "boom", Name: &b.job.Name, Procedure: new("gmaw")}, {File: "broken", Error: new("broken.yaml:2:7: bore.length is missing"), Hint: new("mend the file")}},
		Procedures: []FileRow{{File: "gmaw", Path: "procedures/gmaw.yaml", Name: &b.job.Procedure.Name}},
		Operator:   new("Operator 1"), GoOn: &GoOn{Record: theRecord, Job: &b.job.Name, JobFile: new("boom"), Since: new(sheet.Timestamp(morning)), Words: "it was being recorded"},
		Elsewhere: &Elsewhere{Record: theRecord, Words: "another build records it", Next: "wait"},
		Records:   []RecordRow{{Record: theRecord, Job: &b.job.Name, Created: new(sheet.Timestamp(morning)), Bytes: 123456, State: Recorded, Judged: Judged{State: BeingJudged, Progress: new(0.5), Why: new("it is new")}, OpenFindings: new(1), Handed: &Handed{State: "waits", At: sheet.Timestamp(morning), Again: new(sheet.Timestamp(morning)), Bundle: new("0a"), Says: new("nobody answers"), Hint: new("look at the network")}}},
		Removed:   []RemovedRow{{Record: "older", Job: b.job.Name, At: sheet.Timestamp(morning), Bundle: "0a"}}, RemovedMore: 3,
	}
	return h, b.begin()
}

func (b *bench) ReadFile(_ context.Context, kind form.Kind, file string) ([]byte, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	text, ok := b.files[string(kind)+"/"+file]
	if !ok {
		return nil, fmt.Errorf("%s.yaml: %w", file, fs.ErrNotExist)
	}
	return text, b.begin()
}

func (b *bench) WriteFile(_ context.Context, kind form.Kind, file string, text []byte, was Version) error {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if !was.Holds(b.files[string(kind)+"/"+file]) {
		return ErrChanged
	}
	b.files[string(kind)+"/"+file] = text
	return nil
}

func (b *bench) Plan(_ context.Context, file string, text []byte) (sheet.PlanList, error) {
	job, err := procedure.ParseJob(file+".yaml", text)
	if err != nil {
		return sheet.PlanList{}, err
	}
	job.Procedure = b.job.Procedure
	p, err := plan.Make(job, plan.Options{})
	if err != nil {
		return sheet.PlanList{}, err
	}
	return sheet.NewPlan(job, p).List(), nil
}

func (b *bench) CheckKinds() []CheckKind {
	return []CheckKind{{Kind: "zero", What: "a sensor with the arc off", Caution: "Switch the power source off.", CanBeLive: true, Rows: []string{"reading"}, Fields: []form.Field{
		{Key: "channel", Label: "Channel", Kind: form.Choice, Choices: []string{"voltage", "current"}, Required: true},
		{Key: "reading", Label: "Readings", Kind: form.List, Units: []string{"V", "A"}, US: "V", Help: "parted by commas"},
	}}}
}

func (b *bench) zero(t ...float64) *calib.Check {
	c, err := calib.Zero{Channel: "voltage", Unit: "V", Readings: t}.Check()
	if err != nil {
		panic(err)
	}
	c.Done, c.By = morning, "Operator 1"
	return c
}

func (b *bench) Checks(_ context.Context, record string) (sheet.CheckList, error) {
	if record != theRecord {
		return sheet.CheckList{Record: record, Missing: calib.Subjects()}, nil
	}
	return sheet.CheckList{Record: record, Job: b.job.Name, Checks: []*calib.Check{b.zero(0.01, 0.02, 0.03)}, Missing: calib.Subjects()[1:]}, nil
}

func (b *bench) Check(_ context.Context, _ string, r CheckRequest) (CheckDone, error) {
	if r.Kind != "zero" {
		return CheckDone{}, &Problem{Status: 422, Message: "there is no check " + r.Kind, Hint: "there is zero"}
	}
	c := b.zero(0.01, 0.02, 0.03)
	return CheckDone{Number: 1, Check: c, Text: c.Sentence}, nil
}

func (b *bench) Listen(context.Context) ([]PortRow, error) {
	if err := b.begin(); err != nil {
		return nil, err
	}
	return []PortRow{
		{Port: "/dev/serial/by-id/usb-box-if00", State: "speaks", Says: "speaks binary at 921600 baud", Values: map[string]string{"port": "/dev/serial/by-id/usb-box-if00", "link": "binary", "baud": "921600"}},
		{Port: "/dev/ttyUSB3", State: "silent", Problem: "nothing comes", Hint: "check the supply", Values: map[string]string{}},
	}, nil
}

func (b *bench) Offers(_ context.Context, record string) (sheet.OfferList, error) {
	if record != theRecord {
		return sheet.OfferList{Record: record}, nil
	}
	return sheet.OfferList{
		Record: record, Offers: []sheet.Offer{{From: "first.arctally", Number: 1, Age: 60, Check: b.zero(0.01, 0.02, 0.03)}},
		Refused: []sheet.Refusal{{From: "old.arctally", Number: 2, Title: "zero of voltage", Why: "it names no box"}},
	}, nil
}

func (b *bench) TakeOver(_ context.Context, _ string, r TakeOverRequest) (CheckDone, error) {
	if r.Number != 1 {
		return CheckDone{}, &Problem{Status: 409, Message: "there is no such check", Hint: "there is check 1"}
	}
	c := b.zero(0.01, 0.02, 0.03)
	return CheckDone{Number: 1, Check: c, Text: c.Sentence}, nil
}

func (b *bench) Before(_ context.Context, _, _, _ string) (Begin, error) {
	return Begin{Operator: "Operator 1", Points: []Point{
		{About: AboutCheck, Kind: "zero", State: Lacks, Says: "zero of voltage: not checked", Hint: "without it, what the sensor shows at rest stays in every value"},
		{About: AboutDisk, State: Doubts, Says: "free disk: 20 MB"},
	}}, nil
}

func (b *bench) Start(_ context.Context, r StartRequest) (Started, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if b.recording != "" {
		return Started{}, &Problem{Status: 409, Message: "boom pin is being recorded", Hint: "end that recording first"}
	}
	b.recording = theRecord
	return Started{theRecord}, b.begin()
}

var errNotRecording = &Problem{Status: 409, Message: "nothing is being recorded", Hint: "start a recording"}

func (b *bench) Stop(context.Context) (Started, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if b.recording == "" {
		return Started{}, errNotRecording
	}
	b.recording = ""
	return Started{theRecord}, nil
}

func (b *bench) Live() *live.State {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if b.recording == "" {
		return nil
	}
	return someLive()
}

func (b *bench) Strip() (live.Strip, error) {
	if b.Live() == nil {
		return live.Strip{}, errNotRecording
	}
	return someStrip(), nil
}

func (b *bench) Bead() (live.Bead, error) {
	if b.Live() == nil {
		return live.Bead{}, errNotRecording
	}
	return live.Bead{Record: theRecord, Pieces: []live.Piece{{Pass: 1, Layer: new(1), Turn: 2, From: 5, To: 10, Depth: new(1.5), State: live.Near}}}, nil
}

func (b *bench) Seen(_ context.Context, r SeenRequest) (live.State, error) {
	state := b.Live()
	if state == nil || state.Record != r.Record {
		return live.State{}, errNotRecording
	}
	return *state, nil
}

func (b *bench) LiveNote(_ context.Context, r NoteRequest) (NoteKept, error) {
	if b.Live() == nil {
		return NoteKept{}, errNotRecording
	}
	return NoteKept{Said: string(r.Kind) + " " + r.Value}, nil
}

func (b *bench) Review(_ context.Context, record string) (*Reviewed, *Judging, error) {
	switch err := b.has(record); {
	case err != nil:
		return nil, nil, err
	case b.judging:
		return nil, &Judging{0.25}, nil
	}
	return &Reviewed{
		Review: b.sheet().Review(), Channels: []string{"voltage", "current"},
		Epochs: []EpochRow{{0, 0, 0, b.block.At(b.block.Len() - 1), new(sheet.Timestamp(morning))}},
	}, nil, nil
}

func (b *bench) PassPage(_ context.Context, record string, from int) (*sheet.PassPage, *Judging, error) {
	switch err := b.has(record); {
	case err != nil:
		return nil, nil, err
	case b.judging:
		return nil, &Judging{0.25}, nil
	}
	return new(b.sheet().PassPage(from)), nil, nil
}

func (b *bench) Pass(_ context.Context, record string, number int) (*sheet.PassAlone, *Judging, error) {
	if err := b.has(record); err != nil {
		return nil, nil, err
	}
	one, ok := b.sheet().PassAlone(number)
	if !ok {
		return nil, nil, fmt.Errorf("pass %d: %w", number, fs.ErrNotExist)
	}
	return &one, nil, nil
}

func (b *bench) Cell(_ context.Context, record string, row, column int) (*sheet.CellAlone, *Judging, error) {
	if err := b.has(record); err != nil {
		return nil, nil, err
	}
	one, ok := b.sheet().CellAlone(row, column)
	if !ok {
		return nil, nil, fmt.Errorf("cell %d, %d: %w", row, column, fs.ErrNotExist)
	}
	return &one, nil, nil
}

func (b *bench) Events(_ context.Context, record string, r EventsRequest) (*EventsAnswer, *Judging, error) {
	switch err := b.has(record); {
	case err != nil:
		return nil, nil, err
	case b.judging:
		return nil, &Judging{0.25}, nil
	}
	return &EventsAnswer{List: b.sheet().EventPage(r.Choice, r.From, r.Units)}, nil, nil
}

func (b *bench) Event(_ context.Context, record string, number int, r EventsRequest) (*sheet.EventAlone, *Judging, error) {
	if err := b.has(record); err != nil {
		return nil, nil, err
	}
	one, ok := b.sheet().EventAlone(number, r.Choice, r.From, r.Units)
	if !ok {
		return nil, nil, fmt.Errorf("event %d: %w", number, fs.ErrNotExist)
	}
	return &one, nil, nil
}

func (b *bench) Trace(_ context.Context, record string, w trace.Window, channels []string) (trace.Trace, error) {
	if err := b.has(record); err != nil {
		return trace.Trace{}, err
	}
	reducer, err := trace.New(w, channels, calib.Register{})
	if err != nil {
		return trace.Trace{}, err
	}
	reducer.Happened([]series.Event{{Kind: series.Remark, Tick: w.From, Until: w.From, Text: "a word"}})
	if err := reducer.Check(&b.source); err != nil {
		return trace.Trace{}, err
	}
	err = reducer.Add(&b.source, &b.block)
	return reducer.Trace(), err
}

func (b *bench) Compare(_ context.Context, record string, pass, with int) (*sheet.ComparisonObject, *Judging, error) {
	if err := b.has(record); err != nil {
		return nil, nil, err
	}
	if b.judging {
		return nil, &Judging{0.5}, nil
	}
	c, err := compare.With(b.result.Profiles, b.result.Passes, pass, with, compare.Options{Deviations: compare.DefaultDeviations, Share: compare.DefaultShare, Dwell: 1})
	if err != nil {
		return nil, nil, err
	}
	o := b.sheet().Comparison(c)
	return &o, nil, nil
}

func (b *bench) Entries(_ context.Context, record string) ([]inspect.Entry, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	return slices.Clone(b.entries), b.has(record)
}

func (b *bench) Enter(_ context.Context, record string, r EntryRequest) (EntryKept, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if err := b.has(record); err != nil {
		return EntryKept{}, err
	}
	if r.Seen < len(b.entries) {
		return EntryKept{}, &Problem{Status: 409, Message: "Inspector 1 has put something on record about this meanwhile", Hint: "look at it first"}
	}
	e := inspect.Entry{Number: len(b.entries) + 1, At: morning, By: r.By, Corrects: r.Corrects}
	if r.Machining != nil {
		e.Machining = &inspect.Machining{Stations: []inspect.Station{{Depth: 0.01, Diameter: 0.09}}, Instrument: r.Machining.Instrument, CleanedUp: inspect.CleanedUp(r.Machining.CleanedUp)}
	} else {
		e.Disposition = &inspect.Disposition{
			Method: inspect.Method(r.Method), Result: inspect.Result(r.Result), Decision: inspect.Decision(r.Decision), Remark: r.Remark,
		}
	}
	act := []inspect.Entry{e}
	if r.Finding > 0 {
		e.Disposition.Of = inspect.Refer(&b.result.Findings[r.Finding-1])
	}
	book := inspect.Fold(b.entries, b.result.Findings)
	if r.Event > 0 {
		act, _ = book.Decide(book.Event(r.Event), e) // corrects nothing, so that nothing is wrong with it
	}
	for k := range act {
		act[k].Number = len(b.entries) + 1
		if err := act[k].Check(); err != nil {
			return EntryKept{}, err
		}
		b.entries = append(b.entries, act[k])
	}
	book = inspect.Fold(b.entries, b.result.Findings)
	return EntryKept{Number: act[0].Number, Entries: len(act), Open: book.Open(), OpenEvents: book.OpenEvents()}, nil
}

func (b *bench) AddPhotograph(_ context.Context, record, _ string, content []byte) (PhotographKept, error) {
	sum := sha256.Sum256(content)
	b.photographs[hex.EncodeToString(sum[:])] = content
	return PhotographKept{hex.EncodeToString(sum[:]), int64(len(content))}, b.has(record)
}

func (b *bench) Photograph(_ context.Context, _, digest string) (string, []byte, error) {
	if content, ok := b.photographs[digest]; ok {
		return "image/png", content, nil
	}
	return "", nil, fmt.Errorf("photograph: %w", fs.ErrNotExist)
}

func (b *bench) Note(_ context.Context, record string, r NoteRequest) (NoteKept, error) {
	b.notes = append(b.notes, r)
	return NoteKept{Said: r.Value, When: sheet.Timestamp(morning)}, b.has(record)
}

func (b *bench) File(ctx context.Context, w io.Writer, record string, r FileRequest) error {
	if err := b.has(record); err != nil {
		return err
	}
	if r.Form == CSV {
		return b.rows(ctx, w)
	}
	if r.Form == HTML {
		return paper.With{}.HTML(w, b.sheet(), r.Units)
	}
	if _, err := fmt.Fprintf(w, "%s %s %d", r.Form, r.Paper, r.Units); err != nil {
		return err
	}
	if r.Form == Parquet {
		return io.ErrUnexpectedEOF // in the middle
	}
	return nil
}

func (b *bench) Integrity(_ context.Context, record string) (Integrity, error) {
	return Integrity{Whole: true, Text: "all of it is as it was written"}, b.has(record)
}
