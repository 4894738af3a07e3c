package workshop

import (
	"strings"
	"sync"
	"time"

	"arctally/report/page"
	"arctally/report/sheet"
)

// known is what was found out of records besides their judgement, as each of them stood then.
type known struct {
	mu     sync.Mutex
	intact map[string]verification
	worst  map[string]string // what the banner said first, in short, when it was last shown
}

// verification is what was found when a record was read through.
type verification struct {
	stamp stamp
	found page.Integrity
	since time.Time // when, where that was before this program began; else zero
}

func newKnown() *known { return &known{intact: map[string]verification{}, worst: map[string]string{}} }

// verified is what came of reading a record through; false where nobody has, or it has changed since.
func (k *known) verified(record string, now stamp) (verification, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	v, ok := k.intact[record]
	return v, ok && v.stamp == now
}

// found keeps what came of reading a record through.
func (k *known) found(record string, v verification) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if len(k.intact) >= openRemember {
		clear(k.intact)
	}
	k.intact[record] = v
}

// carry keeps what is known of a record to which this program added something itself.
func (k *known) carry(record string, was, now stamp) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if v, ok := k.intact[record]; ok && v.stamp == was {
		v.stamp = now
		k.intact[record] = v
	}
}

// shortTruths is how many truths stand on the row of a record.
const shortTruths = 3

// tell keeps what stands first in the banner of a record. Whether it was verified is told by who shows the row, as that changes by itself.
func (k *known) tell(record string, banner sheet.Banner) {
	var short []string
	for _, truth := range banner {
		if truth.Kind != sheet.OfRecord && (!truth.Good() || len(short) == 0) {
			short = append(short, truth.Short)
		}
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if len(k.worst) >= openRemember {
		clear(k.worst)
	}
	k.worst[record] = strings.Join(short[:min(len(short), shortTruths)], ", ")
}

// first is what stands first on the row of a record; nil where nobody has looked at it yet.
func (k *known) first(record string, now stamp) *string {
	v, read := k.verified(record, now)
	k.mu.Lock()
	defer k.mu.Unlock()
	worst, ok := k.worst[record]
	switch {
	case read && !v.found.Whole:
		return new(strings.TrimSuffix("record damaged, "+worst, ", "))
	case ok:
		return &worst
	default:
		return nil
	}
}
