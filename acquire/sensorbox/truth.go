package sensorbox

import "arctally/acquire/quantity"

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
}
