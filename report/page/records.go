package page

import (
	"encoding/json"
	"math"
	"net/http"
	"strings"

	"arctally/acquire/calib"
	"arctally/analyze/inspect"
	"arctally/report/page/trace"
	"arctally/report/sheet"
)

// checkList is a sheet.CheckList whose lists are there even when they are empty.
type checkList struct {
	Record  string          `json:"record"`
	Job     string          `json:"job"`
	Checks  []*calib.Check  `json:"checks"`
	Missing []calib.Subject `json:"missing"`
}

// judged sends a result, or how far its making is.
func judged[T any](w http.ResponseWriter, result *T, judging *Judging, err error) error {
	switch {
	case err != nil:
		return err
	case result == nil:
		return reply(w, http.StatusAccepted, judging)
	default:
		return reply(w, http.StatusOK, result)
	}
}

func (s *server) review(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	reviewed, judging, err := s.Review(r.Context(), record)
	if err == nil && reviewed != nil {
		all := *reviewed
		all.Epochs, all.Channels = notNil(all.Epochs), notNil(all.Channels)
		reviewed = &all
	}
	return judged(w, reviewed, judging, err)
}

func (s *server) trace(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	q := query{r: r}
	window := trace.Window{
		Epoch: int(q.number("epoch", 0, math.MaxInt32, -1)),
		From:  q.number("from", math.MinInt64+1, math.MaxInt64, math.MinInt64), Until: q.number("until", math.MinInt64+1, math.MaxInt64, math.MinInt64),
		Columns: int(q.number("columns", 1, trace.MostColumns, 0)),
	}
	if q.wrong == nil && window.From >= window.Until {
		q.wrong = []FieldProblem{{Field: "until", Error: "it must lie after from"}}
	}
	if err := q.err(); err != nil {
		return err
	}
	var channels []string
	if text := r.URL.Query().Get("channels"); text != "" {
		channels = strings.Split(text, ",")
	}
	traced, err := s.Trace(r.Context(), record, window, channels)
	if err != nil {
		return err
	}
	text, err := traced.AppendJSON(nil)
	if err != nil {
		return err
	}
	return replyJSON(w, http.StatusOK, text)
}

func (s *server) comparison(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	q := query{r: r}
	pass, with := int(q.number("pass", 1, math.MaxInt32, 0)), int(q.number("with", 0, math.MaxInt32, 0))
	if q.wrong == nil && pass == with {
		q.wrong = []FieldProblem{{Field: "with", Error: "a pass laid over itself shows nothing"}}
	}
	if err := q.err(); err != nil {
		return err
	}
	comparison, judging, err := s.Compare(r.Context(), record, pass, with)
	return judged(w, comparison, judging, err)
}

// entryRow is an entry as it stands in the record, with what stands beside it there.
type entryRow struct {
	Number      int                  `json:"number"`
	At          string               `json:"at"`
	By          string               `json:"by"`
	SignedBy    string               `json:"signed_by,omitempty"`
	Corrects    int                  `json:"corrects,omitempty"`
	Disposition *inspect.Disposition `json:"disposition,omitempty"`
	Machining   json.RawMessage      `json:"machining,omitempty"`
	Photographs []inspect.Photograph `json:"photographs,omitempty"`
}

func rowOfEntry(e *inspect.Entry) (row entryRow, err error) {
	text, err := e.Encode()
	if err != nil {
		return row, err
	}
	err = json.Unmarshal([]byte(text), &row)
	row.Number, row.At, row.By, row.SignedBy = e.Number, sheet.Timestamp(e.At), e.By, e.Signed
	return row, err
}

func (s *server) entries(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	entries, err := s.Entries(r.Context(), record)
	if err != nil {
		return err
	}
	list := struct {
		Entries []entryRow `json:"entries"`
	}{[]entryRow{}}
	for k := range entries {
		row, err := rowOfEntry(&entries[k])
		if err != nil {
			return err
		}
		list.Entries = append(list.Entries, row)
	}
	return reply(w, http.StatusOK, list)
}

func (s *server) enter(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	var e EntryRequest
	if err := receive(w, r, &e); err != nil {
		return err
	}
	if err := need(needed{"by", e.By}); err != nil {
		return err
	}
	if err := unsigned("by", e.By); err != nil {
		return err
	}
	about := 0
	for _, is := range []bool{e.Finding != 0, e.Event != 0, len(e.Events) > 0, e.Machining != nil} {
		if is {
			about++
		}
	}
	if about != 1 || e.Finding < 0 || e.Event < 0 {
		return unprocessable("an entry is about one finding, about events, or about the machined bore", "send finding, event, events or machining",
			FieldProblem{Field: "finding", Error: "this, event, events or machining, and only one of them"})
	}
	if len(e.Events) > 0 && e.Corrects != 0 {
		return unprocessable("several events at once correct nothing", "correct the entries of one event", FieldProblem{Field: "corrects", Error: "leave it out"})
	}
	kept, err := s.Enter(r.Context(), record, e)
	if err != nil {
		return err
	}
	return reply(w, http.StatusCreated, kept)
}

func (s *server) integrity(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	answer, err := s.Integrity(r.Context(), record)
	if err != nil {
		return err
	}
	return reply(w, http.StatusOK, answer)
}
