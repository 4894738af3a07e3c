package sensorbox

import (
	"sort"

	"arctally/acquire/quantity"
)

// Moment is a time on the box's clock.
type Moment struct {
	Epoch int   // boots before this one
	Tick  int64 // ns since that boot: what the link says
	Since int64 // ns since the first boot, whatever the reboots
}

// Interval is a stretch of time of the arc.
type Interval struct{ Start, End Moment }

// PassTruth is what really happened in one pass.
type PassTruth struct {
	Number int // from 1
	Layer  int // from 1
	Ring   int // from 1 within the layer, a stroke's within its segment; 0 in a helix
	// Resumes is the number of the pass that this one goes on with after an
	// interruption; 0 is none.
	Resumes int
	// Start is the first burning of the arc, End the last current.
	Start, End Moment
	StartAngle quantity.Degrees // of the torch at Start, from the mark, 0 <= angle < 360
	EndAngle   quantity.Degrees // of the torch at End
	Energy     quantity.Joules  // integral of v*i over arc time
	ArcTime    quantity.Seconds // the time current flows, from the first burning on
	Arcs       []Interval       // arc intervals: planned gaps and long arc-outs divide them
	Turns      float64          // turned by the torch from Start to End, always positive
	WireFed    quantity.Metres  // through the contact tip from Start to End
	Diameter   quantity.Metres  // of the bore, before the pass
	Depth      quantity.Metres  // of its start
	Path       quantity.Metres  // the torch's way with the arc on
	Shorts     int              // short circuits in arc time
}

// FaultTruth is where and when a fault of the plan really was. A fault of every
// pass has one for each pass.
type FaultTruth struct {
	Fault      Fault
	Pass       int
	Start, End Moment
	Angle      quantity.Degrees // of the torch at Start, 0 <= Angle < 360
	Depth      quantity.Metres  // of the torch at Start
	Duration   quantity.Seconds
}

// Truth is all that the box knows of what it laid.
type Truth struct {
	Passes []PassTruth
	Faults []FaultTruth
	End    Moment // of the whole run
	Frames int    // written to the link, lost ones not counted

	booted     []int64
	startAngle quantity.Degrees
	turned     []stood
}

// stood is how far the torch had turned since the first strike, clockwise above 0.
type stood struct {
	since   int64
	degrees float64
}

func (t *Truth) keep(since int64, degrees float64) {
	t.turned = append(t.turned, stood{since, degrees})
}

// kept is when the torch was last seen.
func (t *Truth) kept() int64 {
	if len(t.turned) == 0 {
		return 0
	}
	return t.turned[len(t.turned)-1].since
}

// Booted returns when an epoch began, in ns since the first boot.
func (t *Truth) Booted(epoch int) int64 { return t.booted[epoch] }

// Turned returns how far the torch had turned from where it stood at the first
// strike, in turns, clockwise above 0, at a time since the first boot.
func (t *Truth) Turned(since int64) float64 {
	after := sort.Search(len(t.turned), func(k int) bool { return t.turned[k].since > since })
	switch {
	case after == 0:
		return t.turned[0].degrees / 360
	case after == len(t.turned):
		return t.turned[after-1].degrees / 360
	}
	a, b := t.turned[after-1], t.turned[after]
	return (a.degrees + (b.degrees-a.degrees)*float64(since-a.since)/float64(b.since-a.since)) / 360
}

// Angle returns where the torch stood at a time since the first boot, from the mark:
// 0 <= angle < 360.
func (t *Truth) Angle(since int64) quantity.Degrees {
	return quantity.Degrees(wrap(float64(t.startAngle) + 360*t.Turned(since)))
}
