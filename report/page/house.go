// Package page knows how a person at a browser sees one folder of jobs,
// procedures and records: it serves the pages, answers what they ask, and sends
// them what changes. openapi.yaml beside the code is the contract of both sides.
//
// The work is done by a Workshop, which the program hands in: this room reads no
// record and opens no port.
//
// Terms. The house is what is in the folder. A version of a file is a hash of its
// text; who writes a file names the version that was read, and is refused where
// another came meanwhile.
//
// Errors: a *Problem becomes an answer as it is; any other error gets its status
// and its hint from the program, so that a page says what the terminal says.
package page

import (
	"context"
	"io"

	"arctally/analyze/inspect"
	"arctally/report/page/form"
	"arctally/report/page/live"
	"arctally/report/page/trace"
	"arctally/report/sheet"
)

// Workshop does what the pages ask for. All of it may be called by several
// browsers at once.
type Workshop interface {
	Folder
	Checker
	Listener
	Recording
	Records
	Fleet
}

// Folder is the job files, procedures and records of one folder. A file is named
// without folder and without .yaml.
type Folder interface {
	House(ctx context.Context) (House, error)
	// ReadFile returns the text of a file. The error is fs.ErrNotExist where there is none.
	ReadFile(ctx context.Context, kind form.Kind, file string) (text []byte, err error)
	// WriteFile puts a text in place in one step, if what is there is what the
	// writer read; the error is ErrChanged where it is not.
	WriteFile(ctx context.Context, kind form.Kind, file string, text []byte, was Version) error
	// Plan plans a job by its text; file is its name in errors.
	Plan(ctx context.Context, file string, job []byte) (sheet.PlanList, error)
}

// Checker carries out set-up checks.
type Checker interface {
	CheckKinds() []CheckKind
	// Checks are those on record; a record that is not there yet has none.
	Checks(ctx context.Context, record string) (sheet.CheckList, error)
	Check(ctx context.Context, record string, r CheckRequest) (CheckDone, error)
	// Offers are the checks of other records that may be taken over into one.
	Offers(ctx context.Context, record string) (sheet.OfferList, error)
	TakeOver(ctx context.Context, record string, r TakeOverRequest) (CheckDone, error)
}

// Listener finds out who speaks on the serial ports.
type Listener interface {
	// Listen listens to all ports that are plugged in, for as long as a minute. It is
	// refused while a recording, or a check, has them.
	Listen(ctx context.Context) ([]PortRow, error)
}

// Recording is the one recording that runs at a time.
type Recording interface {
	// Before tells what is missing or doubtful before a job is recorded into a record from
	// a port, which are as in a StartRequest.
	Before(ctx context.Context, record, job, port string) (Begin, error)
	Start(ctx context.Context, r StartRequest) (Started, error)
	// Stop returns when all of it is stored.
	Stop(ctx context.Context) (Started, error)
	// Live is the newest state; nil where nothing was recorded since the program began.
	Live() *live.State
	Strip() (live.Strip, error)
	// Bead is all that has been laid since the recording began.
	Bead() (live.Bead, error)
	// Seen says that a person has seen alarms; what is over goes away.
	Seen(ctx context.Context, r SeenRequest) (live.State, error)
	LiveNote(ctx context.Context, r NoteRequest) (NoteKept, error)
}

// Records is what is asked of one record; it is named without .arctally.
type Records interface {
	// Review judges the job. While that lasts it returns how far it is, and no review.
	Review(ctx context.Context, record string) (*Reviewed, *Judging, error)
	// PassPage is a part of the table of passes, from so many on.
	PassPage(ctx context.Context, record string, from int) (*sheet.PassPage, *Judging, error)
	// Pass is one pass with what was found in it.
	Pass(ctx context.Context, record string, number int) (*sheet.PassAlone, *Judging, error)
	// Cell is one cell of the wall, by its row and column.
	Cell(ctx context.Context, record string, row, column int) (*sheet.CellAlone, *Judging, error)
	// Events is a part of the list of events, or how far the judging is.
	Events(ctx context.Context, record string, r EventsRequest) (*EventsAnswer, *Judging, error)
	// Event is one event; the error is fs.ErrNotExist where there is none of that number.
	Event(ctx context.Context, record string, number int, r EventsRequest) (*sheet.EventAlone, *Judging, error)
	// Trace reads a window of the samples; no channels are voltage and current.
	Trace(ctx context.Context, record string, w trace.Window, channels []string) (trace.Trace, error)
	// Compare lays a pass over another one, or over the median of the good ones where with is 0.
	Compare(ctx context.Context, record string, pass, with int) (*sheet.ComparisonObject, *Judging, error)
	Entries(ctx context.Context, record string) ([]inspect.Entry, error)
	Enter(ctx context.Context, record string, r EntryRequest) (EntryKept, error)
	AddPhotograph(ctx context.Context, record, mime string, content []byte) (PhotographKept, error)
	Photograph(ctx context.Context, record, sha256 string) (mime string, content []byte, err error)
	Note(ctx context.Context, record string, r NoteRequest) (NoteKept, error)
	// File writes the record in another form. Nothing is written where it fails at once.
	File(ctx context.Context, w io.Writer, record string, r FileRequest) error
	Integrity(ctx context.Context, record string) (Integrity, error)
}

// House is what is in the folder, and what is being recorded.
type House struct {
	Folder     string      `json:"folder"`
	Program    string      `json:"program"` // name and version
	Jobs       []FileRow   `json:"jobs"`
	Procedures []FileRow   `json:"procedures"`
	Records    []RecordRow `json:"records"`
	Ports      []string    `json:"ports"`
	VirtualBox bool        `json:"virtual_box"` // it stands in for a real sensor box
	Recording  *string     `json:"recording"`
	Operator   *string     `json:"operator"` // who was last named at this folder
	GoOn       *GoOn       `json:"go_on"`    // the record that nobody has ended, and nothing writes
	// Removed are records that are not here any more, because a store has them: those that went last.
	Removed     []RemovedRow `json:"removed"`
	RemovedMore int          `json:"removed_more"` // that went before them
	Elsewhere   *Elsewhere   `json:"elsewhere"`
}

// RemovedRow is a record that was removed here, once a store had given all of its bundle back.
type RemovedRow struct {
	Record string `json:"record"`
	Job    string `json:"job"`
	At     string `json:"at"`     // when, as sheet.Timestamp writes it
	Bundle string `json:"bundle"` // the digest by which the store has it
}

// Elsewhere is what another build of the program records in this folder, as after an upgrade.
type Elsewhere struct {
	Record string `json:"record"`
	Words  string `json:"words"`
	Next   string `json:"next"` // what to do
}

// GoOn is a record that was being written as the program ended: to go on with it is the
// first thing to offer.
type GoOn struct {
	Record  string  `json:"record"`
	Job     *string `json:"job"`      // its title
	JobFile *string `json:"job_file"` // in the folder; nil is not there
	Since   *string `json:"since"`    // when it was last written
	Words   string  `json:"words"`
}

// whole is the house with no list left out.
func (h House) whole() House {
	h.Jobs, h.Procedures, h.Records, h.Ports, h.Removed = notNil(h.Jobs), notNil(h.Procedures), notNil(h.Records), notNil(h.Ports), notNil(h.Removed)
	return h
}

// wholeState is the state of a recording with no list left out.
func wholeState(l *live.State) *live.State {
	if l == nil {
		return nil
	}
	w := *l
	w.Channels, w.Deviations, w.Ring, w.Gaps = notNil(w.Channels), notNil(w.Deviations), notNil(w.Ring), notNil(w.Gaps)
	w.LastFindings, w.LastEvents, w.Alarms = notNil(w.LastFindings), notNil(w.LastEvents), notNil(w.Alarms)
	return &w
}

// notNil is a list that is sent as one, empty or not.
func notNil[E any](list []E) []E {
	if list == nil {
		return []E{}
	}
	return list
}

// FileRow is one job or procedure file; nil is not known.
type FileRow struct {
	File      string  `json:"file"`
	Path      string  `json:"path,omitempty"` // in the folder, as a job file names it: procedures/gmaw.yaml
	Name      *string `json:"name"`
	Procedure *string `json:"procedure"` // file of a job's procedure
	Error     *string `json:"error"`     // with line and column
	Hint      *string `json:"hint"`
}

// PortRow is a serial port, and who speaks on it.
type PortRow struct {
	Port    string `json:"port"`
	State   string `json:"state"`
	Says    string `json:"says"`    // who speaks, by which link, and how fast; empty where nobody is understood
	Problem string `json:"problem"` // empty where all is well
	Hint    string `json:"hint"`
	// Values are those of a sensor in the form of a job, by the end of their keys; none
	// where nobody is understood.
	Values map[string]string `json:"values"`
}

// RecordState is what a record holds.
type RecordState string

// The states of a record.
const (
	InProgress RecordState = "recording"
	ChecksOnly RecordState = "checks only"
	Recorded   RecordState = "recorded"
	Unreadable RecordState = "unreadable"
)

// RecordRow is one record of the folder; nil is not known.
type RecordRow struct {
	Record       string      `json:"record"`
	Job          *string     `json:"job"`
	Procedure    *string     `json:"procedure"`
	JobFile      *string     `json:"job_file"` // in the folder, with the same job
	Created      *string     `json:"created"`  // as sheet.Timestamp writes it
	Bytes        int64       `json:"bytes"`
	State        RecordState `json:"state"`
	Judged       Judged      `json:"judged"`
	OpenFindings *int        `json:"open_findings"` // nil until the record was judged
	Worst        *string     `json:"worst"`         // what its banner says first, in short; nil until then
	Handed       *Handed     `json:"handed"`        // nil where nobody said into which store closed records are handed over
	Error        *string     `json:"error"`
	Hint         *string     `json:"hint"`
}

// Handed is how a record stands to the store into which closed ones are handed over.
type Handed struct {
	State  string  `json:"state"`
	At     string  `json:"at"`     // since when
	Again  *string `json:"again"`  // when it is tried again; nil where it is not, or is at the next chance
	Bundle *string `json:"bundle"` // the digest by which the store has it
	Says   *string `json:"says"`   // what went wrong
	Hint   *string `json:"hint"`
}

// JudgedState is how far a record is judged.
type JudgedState string

// The states of judging.
const (
	IsJudged     JudgedState = "judged"
	BeingJudged  JudgedState = "being judged"
	NotJudgedYet JudgedState = "not judged yet"
)

// Judged says how far a record is judged, as it is now.
type Judged struct {
	State    JudgedState `json:"state"`
	Progress *float64    `json:"progress"` // from 0 to 1, while it is judged
	Why      *string     `json:"why"`      // it is not judged yet
}

// CheckKind is one set-up check, with its form.
type CheckKind struct {
	Kind      string       `json:"kind"`
	What      string       `json:"what"`
	Caution   string       `json:"caution,omitempty"` // what could hurt while it is done
	CanBeLive bool         `json:"can_be_live"`
	Fields    []form.Field `json:"fields"`
	Rows      []string     `json:"rows"` // keys of those fields whose figures belong together, row by row
}

// CheckRequest asks for a check.
type CheckRequest struct {
	Job    string            `json:"job"` // job file
	Kind   string            `json:"kind"`
	Values map[string]string `json:"values"`
	Live   bool              `json:"live"`
	For    string            `json:"for"`            // 5 s
	Sure   []string          `json:"sure,omitempty"` // doubted values that are said again on purpose
}

// TakeOverRequest asks for a check of another record.
type TakeOverRequest struct {
	Job    string `json:"job"`    // the job file
	From   string `json:"from"`   // file of the record in which it was made
	Number int    `json:"number"` // of the check there
	By     string `json:"by"`     // left empty, the operator of the job
}

// CheckDone is a check that is on record.
type CheckDone struct {
	Number int    `json:"number"`
	Check  any    `json:"check"` // a *calib.Check
	Text   string `json:"text"`
}

// StartRequest asks for a recording.
type StartRequest struct {
	Job    string `json:"job"`    // job file
	Record string `json:"record"` // empty: a name made of the job's
	Port   string `json:"port"`   // empty: the one that the job names, or the virtual box
	More   bool   `json:"more"`   // go on in a record that has samples already
	// Without is what By begins without, knowingly, in the words of the points that were shown.
	Without []string `json:"without,omitempty"`
	By      string   `json:"by,omitempty"`
}

// Started names the record of a recording.
type Started struct {
	Record string `json:"record"`
}

// SeenRequest says which alarms a person has seen.
type SeenRequest struct {
	Record string  `json:"record"`
	IDs    []int64 `json:"ids"`
	More   bool    `json:"more"` // and all that are not listed
}

// NoteRequest is what a person typed in.
type NoteRequest struct {
	By    string   `json:"by"`
	Kind  NoteKind `json:"kind"`
	Value string   `json:"value"`
	At    string   `json:"at"`             // empty: now
	Sure  []string `json:"sure,omitempty"` // doubted values that are said again on purpose
}

// NoteKind is what a note is about.
type NoteKind string

// The kinds of note.
const (
	NoteTemperature NoteKind = "temperature"
	NoteGasFlow     NoteKind = "gas_flow"
	NoteText        NoteKind = "text"
	NoteTorchAt     NoteKind = "torch_at"
	NoteEndOfPass   NoteKind = "end_of_pass"
)

// NoteKept is a note that is on record.
type NoteKept struct {
	Said string `json:"said"`
	When string `json:"when,omitempty"`
}
