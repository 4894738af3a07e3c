package acquire

import (
	"fmt"

	"arctally/acquire/series"
)

// silentBeats is how many seconds without a frame are told: twice the time between two
// descriptions of a box (sensor-link.md, HELLO).
const silentBeats = 10

// quiet is what a box does not say.
type quiet struct {
	beats   int  // since its last frame
	told    bool // that it is silent, or cannot be understood
	misread bool // its bytes make no sense, and that was told
	failure string
	away    bool // its line is gone, and that was told
}

// listenForSilence is called once a second.
func (r *recorder) listenForSilence() {
	r.quiet.beats++
	never := r.tally.Frames == 0
	companion := r != r.all.recorders[r.all.roles.arc]
	if r.quiet.beats != silentBeats || r.out.err != nil || !never && (!companion || r.quiet.away) {
		return
	}
	text := fmt.Sprintf("nothing was heard of %s for %d s", r.place(), silentBeats)
	if never {
		text = fmt.Sprintf("nothing was heard of %s in the first %d s", r.place(), silentBeats)
	}
	r.tell(series.Silent, text)
	r.all.contest()
}

// failed tells that the line of a companion cannot be recorded, once for each cause.
func (r *recorder) failed(err error) {
	if r.quiet.failure != err.Error() {
		r.quiet.failure = err.Error()
		text := r.place() + ": " + err.Error()
		if hint, _ := hintOf(err); hint != "" {
			text += "; " + hint
		}
		r.tell(series.Failed, text)
	}
}

// heard is called with every frame.
func (r *recorder) heard() {
	if r.quiet.told {
		r.quiet.told, r.quiet.failure = false, ""
		r.event(series.Event{Kind: series.Heard, Tick: r.position.tick, Until: r.position.tick, Count: 1, Text: r.place() + " is heard now"})
	}
	r.quiet.beats, r.quiet.away = 0, false
}

func (r *recorder) tell(kind series.EventKind, text string) {
	r.quiet.told = true
	r.event(series.Event{Kind: kind, Tick: r.position.tick, Until: r.position.tick, Count: 1, Text: text})
}

// place names the box for a person.
func (r *recorder) place() string {
	if r.source.Port == "" {
		return fmt.Sprintf("box %d", r.source.Box)
	}
	return "the box on " + r.source.Port
}
