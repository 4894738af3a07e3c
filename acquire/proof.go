package acquire

import "time"

// proof tells a wrong link from one that has not said anything yet.
type proof struct {
	sending time.Duration // how long bytes have been coming
	last    time.Time     // when the last ones came
	damage  error         // the first one
}

func (p *proof) keep(damage error) {
	if p.damage == nil {
		p.damage = damage
	}
}

// failed reports whether bytes have come for so long that there ought to have
// been a frame among them. A silence counts for little: a box may say a word
// every few seconds.
func (p *proof) failed(now time.Time, bytes int64) bool {
	if !p.last.IsZero() {
		p.sending += min(now.Sub(p.last), longestPause)
	}
	p.last = now
	return bytes >= provingBytes || p.sending >= provingTime
}
