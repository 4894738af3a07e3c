package workshop

import (
	"sync"
	"time"

	"arctally/report/page"
)

// rowCache keeps what is known of files until they change.
type rowCache struct {
	mu    sync.Mutex
	files map[string]seenFile
}

// seenFile is what one file said when it was last looked at.
type seenFile struct {
	stamp     stamp
	text      string
	name      string // of the job or procedure in it
	procedure string // of a job: the path as the job has it, from where the job lies
	record    page.RecordRow
	job       string // text of the job file in a record
	err       error
}

// stamp tells that a file has changed, without reading it: also where somebody set back
// when it was written.
type stamp struct {
	size, logSize int64
	time          time.Time
	inode         uint64
	changed       int64 // ns
}

func newRowCache() rowCache { return rowCache{files: map[string]seenFile{}} }
