package apart

import (
	"encoding/json"
	"fmt"
	"os"
	"sync/atomic"
	"time"
)

// vigil tells whether a recorder says anything. Only how it stands counts: what it answers
// may be as old as what it told last.
type vigil struct {
	told   atomic.Int64 // how often it told how it stands
	taking atomic.Bool  // what it told is being taken: nothing else could be heard
}

// silence is what a recorder is told of itself, when it tells how it stands again.
type silence struct {
	Since time.Time `json:"since"`
	Until time.Time `json:"until"`
}

// keepVigil looks after a recorder until its line is cut, or all is told. It counts looks and
// reads no clock: where this program or the machine stood still, nobody could be heard.
func (r *Recorder) keepVigil(l *line, v *vigil) {
	ticker := time.NewTicker(patient.look)
	defer ticker.Stop()
	stored, told := touchOf(r.Order().File), int64(0)
	silent, idle := 0, 0 // looks at which it had told nothing, and stored nothing
	for {
		select {
		case <-l.gone:
			return
		case <-r.closed:
			return
		case <-ticker.C:
		}
		if n := v.told.Load(); n != told || v.taking.Load() {
			if n != told && r.isSilent() {
				r.answers(l)
			}
			told, silent, idle = n, 0, 0
			continue
		}
		silent, idle = silent+1, idle+1
		if now := touchOf(r.Order().File); now != stored {
			stored, idle = now, 0
		}
		switch {
		case idle == patient.looks(patient.end):
			r.endHung()
		case silent == patient.looks(patient.end):
			r.front.Tell("warning: the recorder still says nothing; it is left alone, since it goes on storing")
		case silent == patient.looks(patient.tell):
			r.fallsSilent()
		}
	}
}

// touchOf is what the system says of a record, which every commit changes.
func touchOf(file string) (touch [2]struct {
	size int64
	at   time.Time
},
) {
	for k, name := range []string{file, file + "-wal"} {
		if info, err := os.Stat(name); err == nil {
			touch[k].size, touch[k].at = info.Size(), info.ModTime()
		}
	}
	return touch
}

// isSilent reports whether the recorder was said to be silent.
func (r *Recorder) isSilent() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return isClosed(r.hushed)
}

// fallsSilent tells that nothing is known of the recorder any more: no old value stands there
// as a present one, and nobody waits for an answer.
func (r *Recorder) fallsSilent() {
	now := r.front.Now()
	r.mu.Lock()
	if !isClosed(r.hushed) {
		r.since = now.Add(-patient.tell)
		close(r.hushed)
	}
	r.mu.Unlock()
	words := fmt.Sprintf("the recorder has said nothing for %s: whether it goes on is not known", patient.tell)
	r.lost(now, words)
	r.front.Tell("warning: %s", words)
}

// breaksSilence says that the recorder is heard again, or is another one, and returns since
// when it was silent; zero is that it was not.
func (r *Recorder) breaksSilence() (since time.Time) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if isClosed(r.hushed) {
		since, r.since, r.hushed = r.since, time.Time{}, make(chan struct{})
	}
	return since
}

// answers has a recorder that is heard again put on record that it was silent.
func (r *Recorder) answers(l *line) {
	s := silence{Since: r.breaksSilence(), Until: r.front.Now()}
	l.send(frame{Kind: askSilence, body: encoded(s)})
	r.remind(l)
	r.front.Tell("the recorder goes on, after %s", s.length())
}

// endHung ends a recorder that is there and does nothing any more. What it had committed is
// in the record; what it had not, it would not store either.
func (r *Recorder) endHung() {
	r.mu.Lock()
	r.hung = fmt.Sprintf("it had said and stored nothing for %s, and was ended", patient.end)
	process, number := r.process, r.number
	r.mu.Unlock()
	switch other, err := os.FindProcess(number); {
	case process != nil:
		process.Kill()
	case err == nil && number != os.Getpid(): // that of another front, which is still on the line
		_ = other.Kill() // or it has just ended
	}
}

func (s silence) length() time.Duration { return s.Until.Sub(s.Since).Round(time.Second) }

// words are those that stand in the record.
func (s silence) words() string {
	return fmt.Sprintf("The program that records had stood still, or said nothing, from %s to %s (%s): what came then may be missing.",
		clockOf(s.Since), clockOf(s.Until), s.length())
}

func clockOf(t time.Time) string { return t.UTC().Format("2006-01-02 15:04:05 MST") }

// takeSilence puts on record that this recorder was silent, and shows it.
func (h *host) takeSilence(body []byte) error {
	var s silence
	if err := json.Unmarshal(body, &s); err != nil {
		return err
	}
	return h.monitor.Remark(s.words(), fmt.Sprintf("the recorder had said nothing for %s: what came then may be missing", s.length()), s.Until)
}
