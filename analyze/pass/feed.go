package pass

// feed follows the wire that is fed in the arc time of a pass: by readings of its
// speed, each of which stands for the time halfway to its neighbours, or by its
// length. While windows count the wire, they alone tell it, and their sums have it
// (package arc).
type feed struct {
	windows     bool // count it now
	everCounted bool
	speedKnown  bool
	speed       float64 // m/s, as last read
	lengthKnown bool
	length      float64 // m, as last read

	wire float64 // m, of the pass
	arc  int64   // ns of its arc time up to which wire is booked
}

// known reports whether wire is measured at all.
func (f *feed) known() bool { return f.everCounted || f.speedKnown || f.lengthKnown }

// source says that another source may speak from so much arc time on: whether its
// windows count wire, they show.
func (f *feed) source(arc int64) {
	if f.windows {
		f.windows, f.arc = false, arc
	}
}

// counted says that a window, which begins at so much arc time, counted wire.
func (f *feed) counted(wire float64, arc int64) {
	if wire > 0 && !f.windows {
		f.book(arc)
		f.windows, f.everCounted = true, true
	}
}

func (f *feed) readSpeed(speed float64, arc int64) {
	mean := speed
	if f.speedKnown {
		mean = (f.speed + speed) / 2
	}
	f.restart(f.at(mean, arc), arc)
	f.speedKnown, f.speed = true, speed
}

func (f *feed) readLength(length float64, burning bool) {
	if f.lengthKnown && burning && !f.windows {
		f.wire += max(0, length-f.length) // one that falls was put back
	}
	f.lengthKnown, f.length = true, length
}

// at returns the wire up to so much arc time, at a speed since it was last booked.
func (f *feed) at(speed float64, arc int64) float64 {
	if f.windows {
		return f.wire
	}
	return f.wire + speed*float64(arc-f.arc)*1e-9
}

// upTo returns the wire up to so much arc time.
func (f *feed) upTo(arc int64) float64 { return f.at(f.speed, arc) }

// book books the wire up to so much arc time. Before the first reading there is
// nothing to book: it stands for all the time before it.
func (f *feed) book(arc int64) {
	if f.speedKnown {
		f.restart(f.upTo(arc), arc)
	}
}

// restart goes on with so much wire at so much arc time.
func (f *feed) restart(wire float64, arc int64) { f.wire, f.arc = wire, arc }
