package apart

import (
	"bufio"
	"encoding/json"
	"errors"
	"io"
	"net"
	"sync"
	"time"
)

// frame is what goes over a line: a head of one line of JSON, and the bytes that it tells of.
type frame struct {
	Kind string `json:"kind"` // of an event, or what is asked for
	ID   int64  `json:"id"`   // of a question, and of its answer; 0 is an event
	Err  *Far   `json:"err"`
	Size int    `json:"size"`
	body []byte
}

// The kinds of frame, beside those of the events of a page.
const (
	kindHello   = "hello"  // the first: whose recorder it is, or why it is none
	kindDone    = "done"   // all of it is stored and judged
	kindClosed  = "closed" // and has been told
	kindAnswer  = "answer"
	kindRestart = "restart"

	askState      = "state"
	askStrip      = "strip of"
	askBead       = "bead of"
	askSeen       = "seen"
	askNote       = "note"
	askEntries    = "entries"
	askPhotograph = "photograph"
	askStop       = "stop"
	askSilence    = "silence" // it had told nothing for a while
)

// mostWaiting is how many frames may wait for an end that does not read: minutes of them.
// Who does not read for that long is cut off, and joins again.
const mostWaiting = 2000

// mostBytes is the largest frame that is taken: far more than twelve hours of welding come to.
const mostBytes = 1 << 30

// mostHead is the longest head that is taken, in bytes: an error is cut to fit into it.
const mostHead = 64 << 10

var errLine = errors.New("apart: what came over the line is no frame")

// line is one end of what front and recorder speak over. Sending never waits for the other end.
type line struct {
	conn net.Conn
	in   *bufio.Reader
	out  chan frame
	cut  sync.Once
	gone chan struct{} // closed when it was cut
	end  chan struct{} // has one element where nothing more is to be sent
}

func newLine(conn net.Conn) *line {
	l := &line{conn: conn, in: bufio.NewReaderSize(conn, mostHead), out: make(chan frame, mostWaiting), gone: make(chan struct{}), end: make(chan struct{}, 1)}
	go l.write()
	return l
}

// close cuts the line.
func (l *line) close() {
	l.cut.Do(func() {
		close(l.gone)
		_ = l.conn.Close() // who is at the other end sees that it ended
	})
}

// send puts a frame on its way.
func (l *line) send(f frame) {
	select {
	case l.out <- f:
	case <-l.gone:
	default:
		l.close()
	}
}

// finish cuts the line once all that waits is sent.
func (l *line) finish() {
	_ = l.conn.SetWriteDeadline(time.Now().Add(lastWords)) // a socket has deadlines
	select {
	case l.end <- struct{}{}:
	default:
	}
}

// lastWords is how long the other end may take for what was sent last.
const lastWords = 5 * time.Second

// write sends what waits until the line is cut.
func (l *line) write() {
	defer l.close()
	w := bufio.NewWriter(l.conn)
	ends := false
	for {
		if ends && len(l.out) == 0 {
			return
		}
		select {
		case <-l.gone:
			return
		case <-l.end:
			ends = true
		case f := <-l.out:
			if writeFrame(w, f) != nil || len(l.out) == 0 && w.Flush() != nil {
				return
			}
		}
	}
}

func writeFrame(w io.Writer, f frame) error {
	f.Size = len(f.body)
	head, err := json.Marshal(&f)
	if err == nil {
		_, err = w.Write(append(head, '\n'))
	}
	if err == nil {
		_, err = w.Write(f.body)
	}
	return err
}

// read reads the next frame.
func (l *line) read() (f frame, err error) {
	head, err := l.in.ReadSlice('\n') // a head is shorter than what a reader holds
	if err != nil {
		return f, err
	}
	if err := json.Unmarshal(head, &f); err != nil || f.Size < 0 || f.Size > mostBytes {
		return f, errLine
	}
	f.body = make([]byte, f.Size)
	_, err = io.ReadFull(l.in, f.body)
	return f, err
}
