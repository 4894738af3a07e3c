package recording

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"arctally/acquire/record"
	"arctally/acquire/system"
	"arctally/cmd/internal/terminal"
)

const (
	lookEvery  = 2 * time.Second // at the disk
	paceOver   = 5 * time.Minute // the pace is that of so long
	paceAfter  = 20 * time.Second
	fullAgain  = 1 << 20 // bytes that must be free for a recording that stopped to go on
	firstLeft  = 15 * time.Minute
	secondLeft = 5 * time.Minute
)

// Disk is what there is of the disk of a record.
type Disk struct {
	Free int64 // bytes that may be written
	Used int64 // bytes that the record takes
}

// diskOf looks at the disk of a record.
func diskOf(file string) (d Disk, err error) {
	if d.Free, err = system.Free(filepath.Dir(file)); err != nil {
		return d, err
	}
	for _, name := range []string{file, file + "-wal"} {
		if info, err := os.Stat(name); err == nil {
			d.Used += info.Size()
		}
	}
	return d, nil
}

// pace is how fast a record grows. It grows in lumps, as its log is taken into it.
type pace struct{ seen []usedAt }

type usedAt struct {
	at   time.Time
	used int64
}

// left is how long the room lasts at the pace of the last minutes; false is not known yet.
func (p *pace) left(at time.Time, d Disk) (left time.Duration, known bool) {
	p.seen = append(p.seen, usedAt{at, d.Used})
	for len(p.seen) > 2 && at.Sub(p.seen[1].at) >= paceOver {
		p.seen = p.seen[1:]
	}
	over, grown := at.Sub(p.seen[0].at), d.Used-p.seen[0].used
	if over < paceAfter || grown <= 0 {
		return 0, false
	}
	//	left = free / (grown / over)
	// where free and grown are bytes; ours, no source.
	seconds := float64(d.Free) / (float64(grown) / over.Seconds())
	return time.Duration(min(seconds, 1e9) * float64(time.Second)), true
}

// room tells when the disk of a record has not much room left: once at each limit, and as an
// alarm for as long as it is so.
type room struct {
	pace  pace
	told  time.Duration // the limit that was told last; 0 is none
	tell  func(words string)
	alarm func(words string, low bool)
}

// look takes how the disk stands.
func (r *room) look(at time.Time, d Disk) {
	left, known := r.pace.left(at, d)
	switch {
	case !known:
	case left > firstLeft:
		if r.told = 0; left > firstLeft+secondLeft { // else it comes and goes with each lump
			r.alarm("", false)
		}
	default:
		limit := firstLeft
		if left <= secondLeft {
			limit = secondLeft
		}
		words := fmt.Sprintf("the disk has room for %.0f min more of this recording (%.0f MB): make room", max(0, left.Minutes()), float64(d.Free)/1e6)
		r.alarm(words, true)
		if r.told == 0 || limit < r.told {
			r.told = limit
			r.tell(words)
		}
	}
}

// roomAlarms is a follower that shows how the disk stands.
type roomAlarms interface{ Room(words string, low bool) }

// showRoom shows how the disk stands to who follows.
func (s *Session) showRoom(words string, low bool) {
	if f, ok := s.Follower.(roomAlarms); ok {
		f.Room(words, low)
	}
}

// disk looks at the disk.
func (s *Session) disk() (Disk, error) {
	if s.Disk != nil {
		return s.Disk()
	}
	return diskOf(s.Record)
}

// watchRoom looks at the disk until ctx ends. The disk fills on the clock of this machine,
// whatever that of the recording is.
func (s *Session) watchRoom(ctx context.Context, screen *terminal.Screen) {
	r := room{tell: func(words string) { screen.Tell("warning: %s", words) }, alarm: s.showRoom}
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	for {
		if d, err := s.disk(); err == nil { // what cannot be seen is not told
			r.look(time.Now(), d)
		}
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
	}
}

// full waits until a disk that was full has room again. It is false where that is not
// what is wrong, or where ctx ends first.
func (s *Session) full(ctx context.Context, screen *terminal.Screen, err error) bool {
	if !record.NoRoom(err) || ctx.Err() != nil {
		return false
	}
	since := s.Now()
	const words = "the disk is full: nothing is recorded until there is room; what was recorded before is stored"
	screen.Tell("warning: %s", words)
	s.showRoom(words, true)
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	for d, err := s.disk(); err != nil || d.Free < fullAgain; d, err = s.disk() {
		select {
		case <-ctx.Done():
			return false
		case <-ticker.C:
		}
	}
	_, gone := os.Stat(s.Record)
	s.More = gone == nil
	s.Why = fmt.Sprintf("The disk was full from %s to %s: what came between is missing.", clockOf(since), clockOf(s.Now()))
	screen.Tell("there is room on the disk again: the recording goes on")
	s.showRoom(s.Why, false)
	return true
}

func clockOf(t time.Time) string { return t.UTC().Format("2006-01-02 15:04:05 MST") }
