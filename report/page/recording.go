package page

import (
	"net/http"
	"slices"
)

func (s *server) checkKinds(w http.ResponseWriter, _ *http.Request) error {
	return reply(w, http.StatusOK, notNil(s.CheckKinds()))
}

func (s *server) checks(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	list, err := s.Checks(r.Context(), record)
	if err != nil {
		return err
	}
	return reply(w, http.StatusOK, checkList{list.Record, list.Job, notNil(list.Checks), notNil(list.Missing)})
}

func (s *server) check(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	var c CheckRequest
	if err := receive(w, r, &c); err != nil {
		return err
	}
	if err := need(needed{"job", c.Job}, needed{"kind", c.Kind}); err != nil {
		return err
	}
	if c.Values == nil {
		c.Values = map[string]string{}
	}
	if err := unsigned("by", c.Values["by"]); err != nil {
		return err
	}
	done, err := s.Check(r.Context(), record, c)
	if err != nil {
		return err
	}
	return reply(w, http.StatusCreated, done)
}

func (s *server) listen(w http.ResponseWriter, r *http.Request) error {
	rows, err := s.Listen(r.Context())
	if err != nil {
		return err
	}
	return reply(w, http.StatusOK, notNil(rows))
}

func (s *server) offers(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	list, err := s.Offers(r.Context(), record)
	if err != nil {
		return err
	}
	list.Offers, list.Refused = notNil(list.Offers), notNil(list.Refused)
	return reply(w, http.StatusOK, list)
}

func (s *server) takeOver(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	var t TakeOverRequest
	if err := receive(w, r, &t); err != nil {
		return err
	}
	if err := need(needed{"job", t.Job}, needed{"from", t.From}); err != nil {
		return err
	}
	if err := unsigned("by", t.By); err != nil {
		return err
	}
	done, err := s.TakeOver(r.Context(), record, t)
	if err != nil {
		return err
	}
	return reply(w, http.StatusCreated, done)
}

func (s *server) live(w http.ResponseWriter, _ *http.Request) error {
	return reply(w, http.StatusOK, wholeState(s.Live()))
}

func (s *server) start(w http.ResponseWriter, r *http.Request) error {
	var start StartRequest
	if err := receive(w, r, &start); err != nil {
		return err
	}
	if err := need(needed{"job", start.Job}); err != nil {
		return err
	}
	if start.Record != "" && !RecordName(start.Record) {
		return unprocessable("a record cannot be called "+start.Record, recordRule, FieldProblem{Field: "record", Error: recordRule})
	}
	if err := knowingly(start); err != nil {
		return err
	}
	if err := unsigned("by", start.By); err != nil {
		return err
	}
	started, err := s.Start(r.Context(), start)
	if err != nil {
		return err
	}
	return reply(w, http.StatusCreated, started)
}

func (s *server) stop(w http.ResponseWriter, r *http.Request) error {
	stopped, err := s.Stop(r.Context())
	if err != nil {
		return err
	}
	return reply(w, http.StatusOK, stopped)
}

func (s *server) strip(w http.ResponseWriter, _ *http.Request) error {
	strip, err := s.Strip()
	if err != nil {
		return err
	}
	strip.Lines = notNil(strip.Lines)
	return reply(w, http.StatusOK, strip)
}

func (s *server) bead(w http.ResponseWriter, _ *http.Request) error {
	bead, err := s.Bead()
	if err != nil {
		return err
	}
	bead.Pieces = notNil(bead.Pieces)
	return reply(w, http.StatusOK, bead)
}

func (s *server) seen(w http.ResponseWriter, r *http.Request) error {
	var seen SeenRequest
	if err := receive(w, r, &seen); err != nil {
		return err
	}
	if err := need(needed{"record", seen.Record}); err != nil {
		return err
	}
	state, err := s.Seen(r.Context(), seen)
	if err != nil {
		return err
	}
	return reply(w, http.StatusOK, wholeState(&state))
}

func (s *server) liveNote(w http.ResponseWriter, r *http.Request) error {
	note, err := receiveNote(w, r)
	if err != nil {
		return err
	}
	kept, err := s.LiveNote(r.Context(), note)
	if err != nil {
		return err
	}
	return reply(w, http.StatusCreated, kept)
}

func (s *server) note(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	note, err := receiveNote(w, r)
	if err != nil {
		return err
	}
	kept, err := s.Note(r.Context(), record, note)
	if err != nil {
		return err
	}
	return reply(w, http.StatusCreated, kept)
}

var noteKinds = []NoteKind{NoteTemperature, NoteGasFlow, NoteText, NoteTorchAt, NoteEndOfPass}

func receiveNote(w http.ResponseWriter, r *http.Request) (n NoteRequest, err error) {
	if err := receive(w, r, &n); err != nil {
		return n, err
	}
	if err := unsigned("by", n.By); err != nil {
		return n, err
	}
	needs := []needed{{"by", n.By}, {"kind", string(n.Kind)}}
	if n.Kind != NoteEndOfPass {
		needs = append(needs, needed{"value", n.Value})
	}
	if err := need(needs...); err != nil {
		return n, err
	}
	if !slices.Contains(noteKinds, n.Kind) {
		reason := "there are temperature, gas_flow, text, torch_at and end_of_pass"
		return n, unprocessable("there is no note of the kind "+string(n.Kind), reason, FieldProblem{Field: "kind", Error: reason})
	}
	return n, nil
}
