package pass

// feed follows the wire that is fed in the arc time of a pass: by readings of its
// speed, each of which stands for the time halfway to its neighbours, or by its
// length. What windows count is summed up with them (package arc).
type feed struct {
	speedKnown  bool
	speed       float64 // m/s, as last read
	lengthKnown bool
	length      float64 // m, as last read

	wire float64 // m, of the pass
	arc  int64   // ns of its arc time up to which wire is booked
}

// known reports whether wire is measured at all.
func (f *feed) known() bool { return f.speedKnown || f.lengthKnown }

// counted says that a window counted wire.
func (f *feed) counted(wire float64) { f.speedKnown = f.speedKnown || wire > 0 }

func (f *feed) readSpeed(speed float64, arc int64) {
	mean := speed
	if f.speedKnown {
		mean = (f.speed + speed) / 2
	}
	f.wire, f.arc = f.wire+mean*float64(arc-f.arc)*1e-9, arc
	f.speedKnown, f.speed = true, speed
}

func (f *feed) readLength(length float64, burning bool) {
	if f.lengthKnown && burning && length > f.length {
		f.wire += length - f.length
	}
	f.lengthKnown, f.length = true, length
}

// upTo returns the wire up to so much arc time.
func (f *feed) upTo(arc int64) float64 { return f.wire + f.speed*float64(arc-f.arc)*1e-9 }

// book books the wire up to so much arc time. Before the first reading there is
// nothing to book: it stands for all the time before it.
func (f *feed) book(arc int64) {
	if f.speedKnown {
		f.restart(f.upTo(arc), arc)
	}
}

// restart goes on with so much wire at so much arc time.
func (f *feed) restart(wire float64, arc int64) { f.wire, f.arc = wire, arc }
