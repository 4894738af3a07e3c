package page

import "slices"

// page is one browser that listens.
type page struct {
	hub  *Hub
	sent int64         // all up to here was sent
	lost bool          // what the browser had last leads nowhere
	wake chan struct{} // has one element where there is something new; closed by Close
}

// leave ends the listening.
func (p *page) leave() {
	p.hub.mutex.Lock()
	defer p.hub.mutex.Unlock()
	delete(p.hub.pages, p)
}

// message is an event as it is sent.
type message struct {
	id, kind string
	data     []byte
	text     []byte // as it is sent
	event    *event // nil is none that others are sent too
}

// first returns what a page is told as it begins to listen: to one that was away,
// what it missed; to a new one, where things stand.
func (p *page) first(begins bool) []message {
	if !begins {
		return p.next()
	}
	p.hub.mutex.Lock()
	defer p.hub.mutex.Unlock()
	return p.messages(p.hub.newest(0))
}

// next returns what is new since the last call, oldest first.
func (p *page) next() []message {
	h := p.hub
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if p.lost || p.sent < h.dropped {
		return p.restart()
	}
	events := h.newest(p.sent)
	for k := range h.strips {
		if e := h.strips[(h.oldest+k)%len(h.strips)]; e.number > p.sent {
			events = append(events, e)
		}
	}
	p.sent = h.last
	return p.messages(events)
}

// restart tells that strips are lost. The states go first, under an identifier
// that leads nowhere: who is cut off before the restart itself gets it again.
func (p *page) restart() []message {
	h := p.hub
	messages := p.messages(h.newest(0))
	for k := range messages {
		messages[k] = own("lost-0", messages[k].kind, messages[k].data)
	}
	p.lost, p.sent = false, h.last
	return append(messages, own(h.id(h.last), eventRestart, []byte("{}")))
}

// own is a message for one page alone.
func own(id, kind string, data []byte) message {
	return message{id: id, kind: kind, data: data, text: frame(id, kind, data)}
}

func (p *page) messages(events []*event) []message {
	slices.SortFunc(events, func(a, b *event) int { return int(a.number - b.number) })
	messages := make([]message, len(events))
	for k, e := range events {
		messages[k] = message{p.hub.id(e.number), e.kind, e.data, e.text, e}
	}
	return messages
}
