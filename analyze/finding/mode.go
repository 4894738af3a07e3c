package finding

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/waveform"
)

// modeNames has the modes of transfer by the numbers that findings hold them by.
var modeNames = []waveform.Mode{"unknown", waveform.Dip, waveform.Spray, waveform.Globular, waveform.Pulsed}

// modeNumber returns the number of a mode, 0 where it is not known.
func modeNumber(m waveform.Mode) float64 {
	for k, name := range modeNames {
		if name == m {
			return float64(k)
		}
	}
	return 0
}

// modes count the looks in each mode.
type modes map[waveform.Mode]int

// most returns the mode of most looks; of two that are alike, the first by name.
func (m modes) most() waveform.Mode {
	best := waveform.Mode("")
	for mode, n := range m {
		if n > m[best] || n == m[best] && mode < best {
			best = mode
		}
	}
	return best
}

// usualMode returns how the arc of this job burns: as the good passes did, else as most
// of the looks up to this one.
func (w *wave) usualMode(g glance) waveform.Mode {
	if !w.good.empty() {
		return w.good.mode
	}
	w.usual[g.waveform.Mode]++
	return w.usual.most()
}

// otherModeLasts is how long, in s, the arc must burn in another mode to be told: a look or
// two may be mistaken. Ours, no source.
const otherModeLasts quantity.Seconds = 2

// wantedMode returns the mode that the procedure has, else that of the good passes;
// empty where there is none.
func (w *wave) wantedMode() (mode waveform.Mode, declared bool) {
	if m := waveform.Mode(w.job.Procedure.Transfer); m != "" {
		return m, true
	}
	return w.good.mode, false
}

// isOther returns the number of a look's mode where it is not the wanted one, else 0. Without
// a procedure that says so, only pulses in place of a steady source, or the other way round, are
// another mode: an arc that has become long is told by the rate of its shorts.
func (w *wave) isOther(g glance) float64 {
	wanted, declared := w.wantedMode()
	is := g.waveform.Mode
	if wanted == "" || is == "" || is == wanted {
		return 0
	}
	if !declared && is != waveform.Pulsed && wanted != waveform.Pulsed {
		return 0
	}
	return modeNumber(is)
}

// otherMode says which mode an arc burns in, and which it should.
func otherMode(f *Finding) string {
	return fmt.Sprintf("%s transfer where %s is meant", modeNames[int(f.Worst)], modeNames[int(f.Limit)])
}
