package finding

// window keeps the last two windows of an arc interval, and the sums of the last
// window as it slides on. The sums are taken anew whenever old readings are
// thrown out, so that rounding cannot add up.
type window struct {
	length int64 // ns of a window
	since  int64 // tick at which the arc interval began

	items       []reading
	from        int // the oldest that is kept
	inner       int // the oldest in the last window
	sum, weight float64
}

// thrownOut is how many old readings wait to be thrown out together.
const thrownOut = 256

// push takes the next reading.
func (w *window) push(s reading) {
	if len(w.items) == 0 {
		w.since = s.start
	}
	w.items = append(w.items, s)
	w.sum += s.mean * s.weight
	w.weight += s.weight
	for w.items[w.inner].end <= s.end-w.length {
		w.sum -= w.items[w.inner].mean * w.items[w.inner].weight
		w.weight -= w.items[w.inner].weight
		w.inner++
	}
	for w.items[w.from].end <= s.end-2*w.length {
		w.from++
	}
	if w.from >= thrownOut {
		w.throwOut()
	}
}

func (w *window) throwOut() {
	w.items = w.items[:copy(w.items, w.items[w.from:])]
	w.inner, w.from = w.inner-w.from, 0
	w.sum, w.weight = 0, 0
	for _, s := range w.items[w.inner:] {
		w.sum += s.mean * s.weight
		w.weight += s.weight
	}
}

// kept returns the readings of the last two windows.
func (w *window) kept() []reading { return w.items[w.from:] }

// mean returns the mean over the window, and whether the arc interval has
// lasted for all of it, with arc for at least half of it.
func (w *window) mean() (mean float64, full bool) {
	end := w.items[len(w.items)-1].end
	if end-w.since < w.length || w.weight < float64(w.length)/2 {
		return 0, false
	}
	return w.sum / w.weight, true
}

// clear begins anew, with the next arc interval.
func (w *window) clear() {
	w.items, w.from, w.inner, w.sum, w.weight = w.items[:0], 0, 0, 0, 0
}
