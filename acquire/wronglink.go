package acquire

import "time"

// wrongLink tells a wrong link from one that has not said anything yet.
type wrongLink struct {
	sending time.Duration // how long bytes have been coming
	last    time.Time     // when the last ones came
	damage  error         // the first one
}

func (w *wrongLink) keep(damage error) {
	if w.damage == nil {
		w.damage = damage
	}
}

// shown reports whether bytes have come for so long that there ought to have
// been a frame among them. A silence counts for little: a box may say a word
// every few seconds.
func (w *wrongLink) shown(now time.Time, bytes int64) bool {
	if !w.last.IsZero() {
		w.sending += min(now.Sub(w.last), longestPause)
	}
	w.last = now
	return bytes >= provingBytes || w.sending >= provingTime
}
