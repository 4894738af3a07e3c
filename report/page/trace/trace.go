// Package trace knows how a window of samples, however long, becomes what a page
// of a given width can draw.
//
// Terms. A column is one of the equal parts that a Window is divided into, one
// for each pixel of the page's width. A run is what one column has of a channel
// between two breaks. A line breaks where the samples on either side do not
// follow one another: nothing may be drawn between them.
//
// What is kept. Of a run, the sample with the lowest and the one with the
// highest value, each at its own tick, in the order of time; beside a break, and
// at the ends of the window, also the sample next to it. So no extreme is ever
// lost, and every point is a real sample. A window that has no more than two
// samples a column keeps all of them, and its Line says EverySample.
//
// Levels. A window of too many samples is made of the record's summaries of cells of
// time, the longest that are no longer than a column: the extremes are true, but when
// in the cell they were is not known. They stand in the middle of the cell, and the Line
// says so by its Resolution. A cell with a gap in it is not joined to the one before it,
// and a calibration holds from the first whole cell on. A window of sums of a sensor box
// is shown in the same way.
//
// Lines of means are not made of samples: they are what the analysis held against
// the limits, handed in.
//
// A value is the code on the line of its channel, corrected by the calibration
// in force, and is written with as many decimals as one code is worth.
//
// Errors: an *Error says what is allowed.
package trace

import (
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// TurnsChannel is the name of the line of the torch rotation.
const TurnsChannel = "turns"

// Trace is a window as a page draws it.
type Trace struct {
	Window
	Lines  []Line
	Events []series.Event // of the window, in the order of time
}

// Line is one channel. Tick and Value have the same length.
type Line struct {
	Channel, Unit string
	Tick          []int64 // ns, never falling
	Value         []float64
	Breaks        []int // indexes of points that do not follow the point before them
	EverySample   bool  // nothing was left out
	Resolution    int64 // ns within which a point's time is not known; 0 is exact
	decimals      int   // floating is as many as the value needs
}

// Reducer makes a Trace of what a record hands out in its order.
type Reducer struct {
	window   Window
	register calib.Register
	lanes    []lane
	events   []series.Event
	gaps     []series.Event
	summed   bool // of summaries
}

// New returns a reducer for channels by name; none are voltage and current.
func New(w Window, channels []string, register calib.Register) (*Reducer, error) {
	if err := w.check(); err != nil {
		return nil, err
	}
	if len(channels) == 0 {
		channels = []string{"voltage", "current"}
	}
	r := &Reducer{window: w, register: register}
	for k, name := range channels {
		if slices.Contains(channels[:k], name) {
			continue
		}
		r.lanes = append(r.lanes, lane{window: w, keepAll: true, line: Line{Channel: name}})
	}
	return r, nil
}

// Check refuses a channel that the source does not have.
func (r *Reducer) Check(source *series.Source) error {
	there := Channels(source)
	for k := range r.lanes {
		if name := r.lanes[k].line.Channel; !slices.Contains(there, name) {
			return &Error{Kind: Unknown, Field: "channels", Detail: fmt.Sprintf("there is no channel %q", name), Allowed: strings.Join(there, ", ")}
		}
	}
	return nil
}

// Channels lists what can be shown of a source.
func Channels(source *series.Source) []string {
	var names []string
	for _, c := range source.Channels {
		names = append(names, c.Name)
	}
	if source.CountsPerTurn > 0 {
		names = append(names, TurnsChannel)
	}
	if multiplies(source) {
		names = append(names, PowerChannel)
	}
	return names
}

func indexOf(source *series.Source, name string) int {
	return slices.IndexFunc(source.Channels, func(c series.Channel) bool { return c.Name == name })
}

// Trace returns what was made of everything that was added. There are no summaries of
// power: it has no line where the others are made of them, and the rotation one only if its
// counts were added.
func (r *Reducer) Trace() Trace {
	t := Trace{Window: r.window, Events: r.events, Lines: make([]Line, 0, len(r.lanes))}
	for k := range r.lanes {
		line := r.lanes[k].finish()
		line.EverySample = line.EverySample && !r.summed
		if !r.summed || line.Channel != PowerChannel && (line.Channel != TurnsChannel || len(line.Tick) > 0) {
			t.Lines = append(t.Lines, line)
		}
	}
	return t
}

// Wants tells whether a channel is asked for.
func (r *Reducer) Wants(channel string) bool {
	return slices.ContainsFunc(r.lanes, func(l lane) bool { return l.line.Channel == channel })
}
