package capture

import (
	"fmt"
	"time"

	"arctally/acquire/series"
)

// window is how much time one event may cover, so that thousands of damaged
// rows become a short list that still says where they are.
const window = int64(time.Minute)

// merged gathers rows of one kind into events.
type merged struct {
	kind series.EventKind
	noun string // for one row
	rest string
	send func(series.Event) error

	event  series.Event
	first  int64 // line
	last   int64
	detail string
}

// add counts a row; what is wrong is kept from the first row of an event only.
func (m *merged) add(epoch int, tick int64, r *row) error {
	if e := &m.event; e.Count > 0 && (e.Epoch != epoch || tick-e.Tick > window || tick < e.Tick-window) {
		if err := m.flush(); err != nil {
			return err
		}
	}
	e := &m.event
	if e.Count == 0 {
		*e = series.Event{Kind: m.kind, Epoch: epoch, Tick: tick, Until: tick}
		m.first, m.detail = r.line, ""
		if r.state == unreadable {
			m.detail = ": " + r.why
			if r.text != "" {
				m.detail += fmt.Sprintf(" in %q", r.text)
			}
		}
	}
	e.Count++
	e.Tick, e.Until = min(e.Tick, tick), max(e.Until, tick)
	m.last = r.line
	return nil
}

// flush sends the event that is under way, if any.
func (m *merged) flush() error {
	e := m.event
	m.event = series.Event{}
	if e.Count == 0 {
		return nil
	}
	where := fmt.Sprintf("line %d", m.first)
	if m.last != m.first {
		where = fmt.Sprintf("lines %d to %d", m.first, m.last)
	}
	e.Text = plural(e.Count, m.noun) + m.rest + ", " + where + m.detail
	return m.send(e)
}
