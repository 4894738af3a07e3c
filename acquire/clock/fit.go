package clock

import "time"

// Fit is what was known, at one moment, of the relation between the clock of
// a source and that of the host:
//
//	wall(tick) = Wall + (tick-Tick)*Slope
type Fit struct {
	Box     int // whose clock it is, as in series.Source
	Epoch   int
	Tick    int64     // ns, on the source's clock
	Wall    time.Time // the host time of Tick, free of the delay of the link as far as known
	Slope   float64   // host seconds per second of the source; 1 is no drift
	Arrival time.Time // when the newest bytes arrived, as the host saw it
}

// At returns the host time of a tick of the fit's epoch.
func (f Fit) At(tick int64) time.Time {
	return f.Wall.Add(time.Duration(float64(tick-f.Tick) * f.Slope))
}
