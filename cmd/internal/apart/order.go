package apart

import (
	"time"

	"arctally/cmd/internal/virtualbox"
)

// Role is the word by which the program is asked to be a recorder. It is no command: only
// a front says it.
const Role = "serve-recorder"

// Order is what a recorder is asked to record.
type Order struct {
	Folder    string            `json:"folder"` // that is served
	Record    string            `json:"record"` // its name
	File      string            `json:"file"`   // where it lies
	JobFile   string            `json:"job_file"`
	Documents map[string]string `json:"documents"` // the texts of job and procedure, as the record keeps them
	Port      string            `json:"port"`      // of the first sensor; empty is the one that the job names
	More      bool              `json:"more"`      // the record is there already
	Joins     bool              `json:"joins"`     // and samples are in it
	// Begun are the words with which By begins it, a note with the first samples; empty is none.
	Begun string              `json:"begun"`
	By    string              `json:"by"`
	Box   *virtualbox.Options `json:"box"`   // lays the job; nil is a real one
	Again *Again              `json:"again"` // the recorder before this one died; nil is none
}

// Again says why a recorder was started again.
type Again struct {
	Times int       `json:"times"` // one after another
	Died  time.Time `json:"died"`
	Why   string    `json:"why"`
}

// Laid reports whether a virtual box lays the job, which says itself when it is done.
func (o *Order) Laid() bool { return o.Box != nil && o.Port == "" }
