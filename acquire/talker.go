package acquire

import (
	"context"
	"time"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// Talker brings what one box says: a line that is read, or a slave that is polled.
type Talker interface {
	// Talk hands over what comes until ctx ends or nothing more can come, which are
	// the normal ends and no error. It calls the listener from one goroutine only.
	Talk(ctx context.Context, to Listener) error
}

// Listener takes what one box says, in the order in which it came.
type Listener interface {
	// Heard takes a reading, or a damage of the kind that a link's decoder tells.
	// The reading may be reused as soon as it returns.
	Heard(arrival time.Time, reading *link.Reading, damage error)
	// Through says that all is handed over of what one read, or one poll, brought.
	Through(arrival time.Time, bytes int)
	// Line says that the line went away or came back.
	Line(e series.Event)
}
