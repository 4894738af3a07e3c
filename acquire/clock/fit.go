package clock

import (
	"math"
	"time"
)

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
	// Uncertainty is the half-width (k = 2) of Wall as round trips bound it; 0 where there
	// were none: then Wall is late by the least delay of the link, which nobody knows.
	Uncertainty time.Duration
	// Seen is the slope of the arrivals where it is surely beyond what a clock drifts, and
	// Slope stops short of it; 0 is not so.
	Seen float64
}

// At returns the host time of a tick of the fit's epoch.
func (f Fit) At(tick int64) time.Time {
	return f.Wall.Add(time.Duration(float64(tick-f.Tick) * f.Slope))
}

// Fast returns how fast the clock of the source runs by that of the host, in parts per
// million, where Slope stops short of what was seen; 0 is not so.
//
//	fast = (1/slope - 1) * 10^6
func (f Fit) Fast() float64 {
	if f.Seen == 0 {
		return 0
	}
	return math.Round((1/f.Seen - 1) * 1e6)
}

// What is not known of a link that never answered. The least delay of one adapter was
// measured as 1 ms, that of another as 16 ms (sensor-link, "Clock"); that none is worse
// is a stand-in of ours.
const (
	worstAdapter = 16 * time.Millisecond
	longestFrame = 516 // bytes: a payload of 512, what COBS adds, and its end
	bitsOfByte   = 10  // 8N1: a start bit and a stop bit with the eight
)

// Lateness is between what the host may see a clock late, k = 2; early is below 0.
type Lateness struct{ From, To time.Duration }

// Unbounded is the lateness of a clock that never answered, on a line of so many baud:
// what an adapter keeps back, and the time in which the longest frame goes over the line.
//
//	0 <= late <= 16 ms + 516*10 bits / baud
func Unbounded(baud int) Lateness {
	return Lateness{0, worstAdapter + time.Duration(longestFrame*bitsOfByte*int64(time.Second)/int64(baud))}
}

// Bounded is the lateness of a clock that round trips bound to +-half.
func Bounded(half time.Duration) Lateness { return Lateness{-half, half} }

// Apart is the half-width (k = 2) of what is not known of the time between what two
// clocks tell.
func (l Lateness) Apart(other Lateness) time.Duration {
	return max(l.To-other.From, other.To-l.From)
}
