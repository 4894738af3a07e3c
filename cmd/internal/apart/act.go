package apart

import (
	"encoding/json"

	"arctally/acquire/record"
	"arctally/analyze/note"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/shelf"
	"arctally/report/page"
)

// The answers and questions that are values of the program are packed as it keeps them in
// memory: both ends are of one speech.
type (
	touched struct {
		IDs  []int64
		More bool
	}
	picture struct {
		Mime    string
		Content []byte
	}
)

// act does what is asked for.
func (h *host) act(asked frame) ([]byte, error) {
	switch asked.Kind {
	case askState:
		return encoded(h.monitor.Current()), nil
	case askStrip:
		return encoded(h.monitor.Strip()), nil
	case askBead:
		return encoded(h.monitor.Bead()), nil
	case askStop:
		h.end()
		return nil, nil
	case askSeen:
		var t touched
		if err := json.Unmarshal(asked.body, &t); err != nil {
			return nil, err
		}
		return encoded(h.monitor.Seen(t.IDs, t.More)), nil
	case askSilence:
		return nil, h.takeSilence(asked.body)
	case askNote:
		var n note.Note
		if err := shelf.Unpack(asked.body, &n); err != nil {
			return nil, err
		}
		when, err := h.monitor.Note(n)
		return []byte(when), err
	default:
		return h.amend(asked)
	}
}

// amend puts on record what people found.
func (h *host) amend(asked frame) ([]byte, error) {
	writer := h.monitor.Writer()
	if writer == nil {
		return nil, recording.ErrNotRecording
	}
	switch asked.Kind {
	case askEntries:
		var act []record.Entry
		if err := shelf.Unpack(asked.body, &act); err != nil {
			return nil, err
		}
		first, err := writer.Entries(act)
		if err == nil {
			err = writer.Sync()
		}
		return encoded(first), err
	case askPhotograph:
		var p picture
		if err := shelf.Unpack(asked.body, &p); err != nil {
			return nil, err
		}
		digest, err := writer.Photograph(p.Mime, p.Content)
		return []byte(digest), err
	}
	return nil, errNoQuestion
}

var _ recording.Audience = (*host)(nil)

var _ recording.Audience = (*page.Hub)(nil)
