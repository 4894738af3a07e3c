package export

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/report/sheet"
)

// Job is the whole job, for JSON.
type Job struct {
	Sheet   *sheet.Sheet
	Sources []series.Source
	Events  []series.Event
	// WallTime places the events; nil stands for a clock without date.
	WallTime func(epoch int, tick int64) (time.Time, bool)
	Chain    Chain
}

// Chain is which record it is, and how far it had come: two states of one record begin
// with the same group. Zero is not known.
type Chain struct {
	Begins  string // hash of its first group, in hexadecimal digits
	Groups  int64
	Created time.Time
}

// JSON writes one object: the passes, findings and warnings of the sheet, what
// the sources said of themselves, and the events of the measurement.
func JSON(w io.Writer, j Job) error {
	sheetOf(j)
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(jobObject(j)); err != nil {
		return fmt.Errorf("export json: %w", err)
	}
	return nil
}

type jobJSON struct {
	sheet.PassList
	State     stateJSON            `json:"state"`
	People    peopleJSON           `json:"people"`
	ArcBox    *string              `json:"arc_box"`
	Simulated bool                 `json:"simulated"`
	Window    windowJSON           `json:"window"`
	Proof     []proofJSON          `json:"proof"`
	InForce   []calib.Calibration  `json:"instruments"`
	Findings  []sheet.FindingRow   `json:"findings"`
	Causes    []sheet.EventRow     `json:"causes"`
	Orphans   []sheet.FindingRow   `json:"orphans,omitempty"`
	Machining []sheet.MachiningRow `json:"machining,omitempty"`
	Sources   []sourceJSON         `json:"sources"`
	Events    []eventJSON          `json:"events"`
}

type sourceJSON struct {
	Name          string        `json:"name"`
	Serial        string        `json:"serial"`
	Firmware      string        `json:"firmware"`
	Calibration   string        `json:"calibration"`
	Link          string        `json:"link"`
	Unprotected   bool          `json:"unprotected"`
	Assumed       bool          `json:"assumed"`
	CountsPerTurn *float64      `json:"counts_per_turn"`
	WirePerCount  *float64      `json:"wire_per_count_m"`
	Channels      []channelJSON `json:"channels"`
}

type channelJSON struct {
	Name   string  `json:"name"`
	Unit   string  `json:"unit"`
	Scale  float64 `json:"scale"`
	Offset float64 `json:"offset"`
	Bits   *int    `json:"bits"`
	Basis  string  `json:"basis"`
}

type eventJSON struct {
	Kind   series.EventKind `json:"kind"`
	Epoch  int              `json:"epoch"`
	TickNS int64            `json:"tick_ns"`
	Until  int64            `json:"until_tick_ns"`
	Start  *string          `json:"start"` // RFC 3339, six decimals, UTC
	End    *string          `json:"end"`
	Count  int64            `json:"count"`
	Text   string           `json:"text"`
}

func jobObject(j Job) jobJSON {
	found := j.Sheet.FindingList()
	object := jobJSON{
		State: j.state(), People: peopleOf(j.Sheet), ArcBox: arcBox(j.Sources), Simulated: j.Sheet.Simulated, Window: windowOf(j.Sheet),
		Proof: proofOf(j.Sheet), InForce: append([]calib.Calibration{}, j.Sheet.Instruments...),
		PassList: j.Sheet.PassList(), Findings: found.Findings, Causes: found.Events, Orphans: found.Orphans, Machining: found.Machining,
		Sources: sourceObjects(j.Sources), Events: []eventJSON{},
	}
	for _, e := range j.Events {
		object.Events = append(object.Events, eventJSON{
			Kind: e.Kind, Epoch: e.Epoch, TickNS: e.Tick, Until: e.Until,
			Start: j.wall(e.Epoch, e.Tick), End: j.wall(e.Epoch, e.Until), Count: e.Count, Text: e.Text,
		})
	}
	return object
}

func sourceObjects(sources []series.Source) []sourceJSON {
	objects := make([]sourceJSON, 0, len(sources))
	for _, s := range sources {
		objects = append(objects, sourceObject(s))
	}
	return objects
}

func sourceObject(s series.Source) sourceJSON {
	object := sourceJSON{
		Name: s.Name, Serial: s.Serial, Firmware: s.Firmware, Calibration: s.Calibration, Link: s.Link,
		Unprotected: s.Unprotected, Assumed: s.Assumed,
		CountsPerTurn: nonZero(s.CountsPerTurn), WirePerCount: nonZero(s.WirePerCount), Channels: []channelJSON{},
	}
	for _, c := range s.Channels {
		object.Channels = append(object.Channels, channelJSON{
			Name: c.Name, Unit: c.Unit, Scale: c.Scale, Offset: c.Offset, Bits: nonZero(c.Bits), Basis: c.Basis.String(),
		})
	}
	return object
}

func (j Job) wall(epoch int, tick int64) *string {
	if j.WallTime == nil {
		return nil
	}
	t, ok := j.WallTime(epoch, tick)
	if !ok {
		return nil
	}
	text := sheet.Timestamp(t)
	return &text
}

func nonZero[N int | float64](n N) *N {
	if n == 0 {
		return nil
	}
	return &n
}
