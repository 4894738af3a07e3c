package port

import "errors"

// writePiece is the most that one call of the library is given to send, in
// bytes: a write can be ended between two pieces.
const writePiece = 256

// Write sends p. It returns an *Error of kind Unplugged while the node is
// away, of kind Closed after Close, and then touches nothing.
func (p *Port) Write(data []byte) (int, error) {
	p.mu.Lock()
	h, ended := p.handle, p.ended
	p.mu.Unlock()
	if ended {
		return 0, &Error{Op: "write", Port: p.config.Name, Kind: Closed}
	}
	if h == nil {
		return 0, &Error{Op: "write", Port: p.config.Name, Kind: Unplugged}
	}
	sent := 0
	for sent < len(data) {
		n, err := h.write(data[sent:min(len(data), sent+writePiece)])
		sent += n
		if err != nil {
			return sent, p.writeError(err)
		}
	}
	return sent, nil
}

func (p *Port) writeError(cause error) *Error {
	e := wrap("write", p.config.Name, cause)
	p.mu.Lock()
	defer p.mu.Unlock()
	switch {
	case p.ended:
		e.Kind, e.Err = Closed, nil
	case errors.Is(cause, errShut):
		e.Kind, e.Err = Unplugged, nil
	}
	return e
}

// Close ends reading and writing and releases the lock. It waits for the calls
// that are under way; a Write that the line does not take is given up after a
// second with an error, and the node closes when that Write ends.
func (p *Port) Close() error {
	p.stop()
	return p.settle()
}

// settle ends the port and waits until the node and its lock are free.
func (p *Port) settle() error {
	p.end()
	h := p.current()
	if h == nil {
		return nil
	}
	if !h.waitClosed() {
		return &Error{Op: "close", Port: p.config.Name, Kind: Other, Err: errStuck}
	}
	if h.err != nil {
		return wrap("close", p.config.Name, h.err)
	}
	return nil
}

// end lets no further call in and wakes a waiting reader.
func (p *Port) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ended {
		return
	}
	p.ended = true
	close(p.closing)
	if p.handle != nil {
		p.handle.shut()
	}
}
