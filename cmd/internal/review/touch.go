package review

import (
	"time"

	"arctally/acquire/record"
	"arctally/acquire/system"
	"arctally/cmd/internal/shelf"
)

// touch is what the system says of a file.
type touch struct{ system.Touch }

// touchOf is that of a record; false where commits wait beside it for who opens it next,
// or where it cannot be told.
func touchOf(file string) (t touch, known bool) {
	if record.HasLog(file) {
		return t, false
	}
	is, err := system.TouchOf(file)
	return touch{is}, err == nil
}

// settling is how long before a file was read it must have been changed last, so that a
// change while it is read, or later, shows: file systems keep that time in steps of up to
// 2 s, and two changes within one step look alike. Common practice, no source.
const settling = 10 * time.Second

// settled tells whether every change after a moment shows. A clock that was set back since
// the file was changed might come to the same moment again.
func (t touch) settled(at time.Time) bool { return at.UnixNano()-t.Changed > settling.Nanoseconds() }

// samplesSince is the key of the touch from which on the samples of a file are those that
// they were: what was added meanwhile was added by this program.
func (t touch) samplesSince(s *shelf.Shelf) shelf.Key {
	return s.Key(&struct {
		what string
		touch
	}{"samples since", t})
}
