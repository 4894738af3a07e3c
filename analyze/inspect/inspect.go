// Package inspect knows what people put on record after welding: what they found
// where the program had flagged something, what they decided, and what the bore
// measured once it was machined.
//
// An entry is never changed: who was wrong puts another entry on record, which
// names the one that it takes the place of. Both stay. Fold lays the entries over
// the findings of a judgement and says how each finding stands. Only a person
// accepts; nothing here does.
//
// Errors: an entry that says too little, too much, or two things that contradict
// one another is an *Error that names the field and what to do.
package inspect

import (
	"strings"
	"time"
)

// Kind is what an entry is about; the words stand in records.
type Kind string

// The kinds.
const (
	OfFinding   Kind = "disposition" // what was found and decided about a finding
	OfMachining Kind = "machining"   // the final measurement
)

// Entry is what one person put on record at one time.
type Entry struct {
	Number   int       // in the record, from 1; 0 before it is there
	At       time.Time // when it was put on record
	By       string    // who
	Signed   string    // the fingerprint of his key, which vouches for it; empty where the name was typed
	Corrects int       // number of the entry that this one takes the place of; 0 is none
	// One of these two is set.
	Disposition *Disposition
	Machining   *Machining
	Photographs []Photograph
}

// Who returns who put it on record, and whether that is known: by a key of his, or by a
// name that somebody typed.
func (e *Entry) Who() string {
	switch {
	case e.By == "":
		return ""
	case e.Signed == "": // said of every typed name: some are typed so that they read as if they were signed
		return e.By + " (name typed)"
	default:
		return e.By + " (signed with " + e.Signed + ")"
	}
}

// Kind returns what the entry is about; empty where it is about nothing.
func (e *Entry) Kind() Kind {
	switch {
	case e.Disposition != nil:
		return OfFinding
	case e.Machining != nil:
		return OfMachining
	default:
		return ""
	}
}

// SaysNothing tells whether all of the entry is who made it. Such a one stands in no
// new record; whoever has put one on record before can read it.
func (e *Entry) SaysNothing() bool {
	m := e.Machining
	return m != nil && len(e.Photographs) == 0 && len(m.Stations) == 0 && m.Expanded == nil && m.Wanted.IsZero() &&
		(m.CleanedUp == NotSaid || m.CleanedUp == "") && strings.TrimSpace(m.Where+m.Remark+m.Instrument) == ""
}

// Photograph names a picture that the record holds.
type Photograph struct {
	SHA256  string `json:"sha256"` // of its bytes, 64 hexadecimal digits
	Type    string `json:"type"`   // media type: image/jpeg, image/png
	Size    int64  `json:"size"`   // bytes
	Caption string `json:"caption,omitempty"`
}
