package calib

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"arctally/acquire/foreign"
)

// Subject is what a check is about; the words stand in records.
type Subject string

// The subjects of checks.
const (
	ZeroCheck     Subject = "zero"       // a sensor with the arc off
	MeterCheck    Subject = "meter"      // a channel against a reference meter
	WireCheck     Subject = "wire-speed" // a measured length in a measured time
	RotationCheck Subject = "rotation"   // a timed turn
	CentringCheck Subject = "centring"   // a distance by angle, on a slow dry turn
)

// Words are what a person reads in place of a subject.
func (s Subject) Words() string { return strings.ReplaceAll(string(s), "-", " ") }

// Subjects lists the subjects in the order in which a set-up goes.
func Subjects() []Subject {
	return []Subject{ZeroCheck, MeterCheck, WireCheck, RotationCheck, CentringCheck}
}

// Figure is one series of raw figures of a check, as they were read.
type Figure struct {
	Name   string    `json:"name"`
	Unit   string    `json:"unit"`
	Values []float64 `json:"values"`
}

// Outcome is one number that a check came to. U is its standard uncertainty,
// nil where that is not known.
type Outcome struct {
	Name  string   `json:"name"`
	Unit  string   `json:"unit"`
	Value float64  `json:"value"`
	U     *float64 `json:"standard_uncertainty"`
}

// Check is one set-up check as a record keeps it.
type Check struct {
	Subject     Subject   `json:"check"`
	Channel     string    `json:"channel,omitempty"`
	Done        time.Time `json:"done"`
	By          string    `json:"by"`
	Instrument  string    `json:"instrument"`
	Certificate string    `json:"certificate,omitempty"`
	Due         string    `json:"due,omitempty"` // a day, 2027-05-04
	// Box is the identity of the box that it was made with; empty is not said, and
	// Speakers finds it.
	Box string `json:"box,omitempty"`
	// TakenOver is where it was made, if not for this record; nil is for this one.
	TakenOver *TakenOver `json:"taken_over_from,omitempty"`
	Epoch     int        `json:"epoch"`
	Tick      int64      `json:"tick_ns"` // from here on it holds
	Figures   []Figure   `json:"figures"`
	Outcomes  []Outcome  `json:"outcomes"`
	Sentence  string     `json:"sentence"` // what came out, for a technician
	Notes     []string   `json:"notes,omitempty"`
	// Calibration is what holds from there on; nil where the check corrects nothing.
	Calibration *Calibration `json:"calibration,omitempty"`
}

// TakenOver says where a check was made that was taken over into another record.
type TakenOver struct {
	Record      string    `json:"record"`      // name of its file
	Fingerprint string    `json:"fingerprint"` // head of its chain when the check was taken over
	Number      int       `json:"number"`      // of the check there
	At          time.Time `json:"at"`          // when it was taken over
	By          string    `json:"by"`
}

// Title is the subject, with its channel where there may be several.
func (c *Check) Title() string {
	if c.Subject != ZeroCheck && c.Subject != MeterCheck {
		return c.Subject.Words()
	}
	return c.Subject.Words() + " of " + strings.ReplaceAll(c.Channel, "_", " ")
}

// Timed is the check as something that holds for its channel from a place on.
func (c *Check) Timed() Timed {
	return Timed{Calibration: Calibration{Channel: c.Channel, Due: c.Due, Box: c.Box}, Epoch: c.Epoch, Tick: c.Tick}
}

// Encode returns the check as it stands in a record.
func (c *Check) Encode() (string, error) {
	text, err := json.MarshalIndent(c, "", " ")
	return string(text), err
}

// DecodeCheck is the reverse of Encode.
func DecodeCheck(text string) (*Check, error) {
	c := &Check{}
	if err := errors.Join(foreign.OneOfEach([]byte(text)), json.Unmarshal([]byte(text), c)); err != nil {
		return nil, fmt.Errorf("check: %w", err)
	}
	for _, name := range []*string{&c.By, &c.Instrument, &c.Certificate} { // it may be from before there was a limit
		*name = foreign.Shortened(*name, foreign.LongestSigned)
	}
	return c, nil
}

func (c *Check) figure(name, unit string, values ...float64) {
	c.Figures = append(c.Figures, Figure{name, unit, values})
}

// outcome adds a number; an uncertainty of 0 or less is not known.
func (c *Check) outcome(name, unit string, value, u float64) {
	o := Outcome{Name: name, Unit: unit, Value: value}
	if u > 0 {
		o.U = &u
	}
	c.Outcomes = append(c.Outcomes, o)
}

func (c *Check) note(format string, arg ...any) {
	c.Notes = append(c.Notes, fmt.Sprintf(format, arg...))
}

// named are figures with the words that an error calls one of them by.
type named struct {
	name   string
	values []float64
}

// positive refuses figures that are not above zero.
func positive(check Subject, figures ...named) error {
	for _, f := range figures {
		for _, v := range f.values {
			if !(v > 0) || math.IsInf(v, 0) {
				return fail(Impossible, check, "%s of %g: it must be above zero", f.name, v)
			}
		}
	}
	return nil
}
