package links

import (
	"math"
	"time"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// ear listens for one link.
type ear struct {
	link    string
	decoder link.Decoder
	source  *series.Source // what the box says of itself; nil is nothing so far
	began   time.Time      // of the first frame
	last    time.Time
	frames  int64
	samples int64
	lost    int64
	damaged int64 // since the first frame: before it, nobody had seen where one begins

	boot uint16
	next uint32
}

// newEars are the ears that need no asking.
func newEars() (ears []*ear) {
	for _, name := range []string{link.Binary, link.Delimited, link.LineProtocol} {
		d, err := link.New(name)
		if err != nil {
			panic("links: " + err.Error())
		}
		ears = append(ears, &ear{link: name, decoder: d})
	}
	return ears
}

// hear takes what came.
func (e *ear) hear(at time.Time, bytes []byte) {
	e.decoder.Decode(bytes, func(r *link.Reading, err error) {
		switch {
		case err == nil:
			e.take(at, r)
		case e.frames > 0:
			e.damaged++
		}
	})
}

func (e *ear) take(at time.Time, r *link.Reading) {
	if e.frames == 0 {
		e.began = at
	} else if ahead := r.Seq - e.next; r.Boot == e.boot && ahead <= math.MaxInt32 {
		e.lost += int64(ahead)
	}
	e.frames++
	e.boot, e.next, e.last = r.Boot, r.Seq+1, at
	if r.Source != nil {
		source := *r.Source
		e.source = &source
	}
	for k := range r.Blocks {
		switch b := &r.Blocks[k]; b.Kind {
		case series.Arc:
			e.samples += int64(b.Len())
		case series.Sums:
			e.samples += int64(b.Sum.Count)
		}
	}
}

// described reports whether no more can be learnt of who speaks.
func (e *ear) described() bool { return e.link != link.Binary || e.source != nil }

// speech is what was heard until a time.
func (e *ear) speech(baud int, until time.Time) *Speech {
	s := &Speech{
		Link: e.link, Baud: baud, Seconds: until.Sub(e.began).Seconds(),
		Frames: e.frames, Samples: e.samples, Lost: e.lost, Damaged: e.damaged, Arc: e.samples > 0,
	}
	if e.source != nil {
		s.Name, s.Serial, s.Firmware = e.source.Name, e.source.Serial, e.source.Firmware
		s.Arc = s.Arc || e.source.SamplesArc()
	}
	return s
}
