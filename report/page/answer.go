package page

import "arctally/report/sheet"

// Judging says how far the judgement of a record is, from 0 to 1.
type Judging struct {
	Progress float64 `json:"progress"`
}

// Reviewed is a job that was judged.
type Reviewed struct {
	Review    sheet.Review `json:"review"`
	Epochs    []EpochRow   `json:"epochs"`
	Channels  []string     `json:"channels"`
	Recording bool         `json:"recording"` // the review is of what there was
}

// EpochRow is a stretch of ticks with one origin.
type EpochRow struct {
	Epoch     int     `json:"epoch"`
	Box       int     `json:"box"` // whose it is: 0 tells the arc
	FirstTick int64   `json:"first_tick_ns"`
	LastTick  int64   `json:"last_tick_ns"`
	Started   *string `json:"started"` // wall time of the first tick; nil is not known
}

// EventsRequest asks for events of a record.
type EventsRequest struct {
	Choice sheet.EventChoice
	From   int // how many come before
	Units  sheet.Units
}

// EventsAnswer is a part of the list of events.
type EventsAnswer struct {
	Recording bool            `json:"recording"` // it is of what there was
	List      sheet.EventPage `json:"list"`
}

// EntryRequest is what a person puts on record after welding: about a finding, about an
// event or several of them with all their findings, or about the machined bore.
type EntryRequest struct {
	By          string            `json:"by"`
	Seen        int               `json:"seen"` // number of the newest entry that the person saw; 0 is none
	Corrects    int               `json:"corrects"`
	Finding     int               `json:"finding"` // its number in the review; 0 is none
	Event       int               `json:"event"`   // its number in the review; 0 is none
	Events      []int             `json:"events"`  // numbers of several events of one cause
	Count       int               `json:"count"`   // how many findings the person said that these have
	Method      string            `json:"method"`
	Result      string            `json:"result"`
	Decision    string            `json:"decision"`
	Remark      string            `json:"remark"`
	Photographs []EntryPhotograph `json:"photographs"`
	Machining   *MachiningRequest `json:"machining"`
	Sure        []string          `json:"sure,omitempty"` // doubted values that are said again on purpose
}

// EntryPhotograph names a photograph that is on record already.
type EntryPhotograph struct {
	SHA256  string `json:"sha256"`
	Caption string `json:"caption"`
}

// MachiningRequest is a final measurement as it was typed in.
type MachiningRequest struct {
	Stations    []StationText `json:"stations"`
	Instrument  string        `json:"instrument"`
	Uncertainty string        `json:"uncertainty"`
	Wanted      string        `json:"wanted"` // 90.00..90.05 mm
	CleanedUp   string        `json:"cleaned_up"`
	Where       string        `json:"where"`
}

// StationText is one diameter as it was typed in.
type StationText struct {
	Depth    string `json:"depth"`
	Angle    string `json:"angle"`
	Diameter string `json:"diameter"`
}

// EntryKept is an entry that is on record.
type EntryKept struct {
	Number     int `json:"number"`      // of the first entry of the act
	Entries    int `json:"entries"`     // of the act: one, or one about each finding of an event
	Open       int `json:"open"`        // findings that are open now
	OpenEvents int `json:"open_events"` // events that are open now
}

// PhotographKept is a photograph that is on record.
type PhotographKept struct {
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// FileForm is a form that a record can be had in.
type FileForm string

// The forms.
const (
	PDF         FileForm = "pdf"
	HTML        FileForm = "html"
	JSON        FileForm = "json"
	CSV         FileForm = "csv" // of the samples
	PassesCSV   FileForm = "passes.csv"
	FindingsCSV FileForm = "findings.csv"
	Parquet     FileForm = "parquet"
)

// FileRequest asks for a record in another form.
type FileRequest struct {
	Form  FileForm
	Paper string // a4 or letter
	Units sheet.Units
}

// Integrity is what came of reading a whole record.
type Integrity struct {
	Whole bool   `json:"whole"`
	Text  string `json:"text"`
	Hint  string `json:"hint,omitempty"`
}
