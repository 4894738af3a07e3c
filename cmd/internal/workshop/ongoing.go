package workshop

import (
	"context"
	"sync/atomic"

	"arctally/cmd/internal/recording"
)

// ongoing is one job being recorded for the pages. No page has to be open.
type ongoing struct {
	record  string      // its name
	laid    bool        // by a virtual box, which says when it is done
	byHand  atomic.Bool // a person ended it
	joins   bool        // samples were in the record before
	session recording.Session
	monitor *recording.Monitor
	end     context.CancelFunc
	done    chan struct{} // closed when all of it is stored and judged
}

func (r *ongoing) runs() bool {
	select {
	case <-r.done:
		return false
	default:
		return true
	}
}
